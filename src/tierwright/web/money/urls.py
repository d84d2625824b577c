"""Addresses of the money room: below a kitchen's, below a commission's, and behind a client's link."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path, re_path

from tierwright.web.money import after, books, client, shopping, views

Routes = list[URLPattern | URLResolver]

kitchen: Routes = [
    path("money/", books.ledger, name="money"),
    path("money/seals/", books.seals, name="money-seals"),
    path("money/<int:number>/correct/", books.correct, name="money-correct"),
    path("money/<int:number>/paper.pdf", books.paper, name="money-paper"),
    re_path(r"^money/ledger\.(?P<kind>csv|pdf|jsonl)$", books.ledger_file, name="money-file"),
    path("money/year/<int:year>/", books.year, name="money-year"),
    re_path(r"^money/year/(?P<year>[0-9]{4})\.(?P<kind>csv|pdf)$", books.year_file, name="money-year-file"),
    path("shopping/", shopping.lists, name="shop-lists"),
    path("shopping/<int:shopping>/", shopping.shopping_list_page, name="shop-list"),
    path("shopping/<int:shopping>/state/", shopping.state, name="shop-state"),
    path("shopping/<int:shopping>/entries/", shopping.entries, name="shop-entries"),
    path("shopping/<int:shopping>/put-away/", shopping.put_away, name="shop-put-away"),
    re_path(r"^shopping/(?P<shopping>[0-9]{1,9})/list\.(?P<kind>csv|xlsx|pdf)$", shopping.list_file, name="shop-file"),
]
commission: Routes = [
    path("money/", views.money, name="money-of"),
    path("money/offer/", views.offer, name="money-offer"),
    path("money/offer/<int:turn>/withdraw/", views.take_offer_back, name="money-withdraw"),
    path("money/offer/<int:turn>/paper.pdf", views.offer_pdf, name="money-offer-paper"),
    path("money/invoice/", views.invoice, name="money-invoice"),
    path("money/pay/", views.pay, name="money-pay"),
    path("after/", after.after, name="money-after"),
]
shared: Routes = [
    path("offer/", client.offer, name="shared-offer"),
    path("offer/accept/", client.accept, name="shared-accept"),
    path("offer/paper.pdf", client.paper, name="shared-paper"),
]
