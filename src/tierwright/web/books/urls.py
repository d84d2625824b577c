"""Addresses of the books, below a kitchen's."""

from __future__ import annotations

from django.urls import include, path

from tierwright.web.books import clients, colours, formulas, kitchen, records

urlpatterns = [
    path("", kitchen.books, name="books"),
    path("formulas/", formulas.formulas, name="book-formulas"),
    path("formulas/<int:formula>/", formulas.formula, name="book-formula"),
    path("formulas/<int:formula>/put-away/", formulas.put_away, name="book-put-away"),
    path("clients/", clients.clients, name="book-clients"),
    path("clients/<int:client>/", clients.client, name="book-client"),
    path("clients/<int:client>/erase/", clients.erase, name="book-erase"),
    path("clients/<int:client>/erase-everywhere/", clients.erase_everywhere, name="book-erase-everywhere"),
    path("records/", records.records, name="book-records"),
    path("colours/", colours.colours, name="book-colours"),
    path("packets/", include("tierwright.web.lots.urls")),
    path("kitchen/<slug:part>/", kitchen.kitchen, name="book-kitchen"),
]
