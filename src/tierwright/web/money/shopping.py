"""Shopping: one list for any commissions, ticked in the shop with or without a network, received with price and lot."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from functools import lru_cache
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from pydantic import TypeAdapter

from tierwright.brief import Kitchen as BriefKitchen
from tierwright.dossier import Dossier
from tierwright.dossier.finish_stage import wares_needed
from tierwright.dossier.purchase_stage import book_of, shopping_list, uses_of
from tierwright.dossier.support_stage import supports_needed
from tierwright.errors import TierwrightError
from tierwright.larder import Allergen, ingredient
from tierwright.price import show_money
from tierwright.purchase import PurchasePlan, Shop, list_csv, list_xlsx
from tierwright.sheets import Page
from tierwright.sheets import buying as printed
from tierwright.web.access import Door, member, owner
from tierwright.web.arriving import entries_in, told, too_many
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Commission, Version
from tierwright.web.money.amounts import read_day
from tierwright.web.money.models import ShoppingList
from tierwright.web.money.offers import locale_of, today_of
from tierwright.web.money.shop_entries import MOST_AT_ONCE, standing, take
from tierwright.web.prints.views import hand_out
from tierwright.web.whole import whole
from tierwright.working import Caution

MOST: Final = 40
ROWS: Final = 30
PAST: Final = timedelta(days=1)
"""Commissions whose last slice was longer ago need no more shopping."""


@lru_cache(maxsize=1)
def _adapter() -> TypeAdapter[PurchasePlan]:
    return TypeAdapter(PurchasePlan)


def plan_of(shopping: ShoppingList) -> PurchasePlan:
    """Return what a list says."""
    return _adapter().validate_python(shopping.content)


def _coming(door: Door) -> Any:
    return (
        Commission.objects.filter(kitchen=door.kitchen, put_away_at=None, last_slice_at__gte=timezone.now() - PAST)
        .order_by("handover_at", "pk")
        .only("pk", "title", "handover_at", "head", "kitchen_id")[:200]
    )


@require_http_methods(["GET", "HEAD", "POST"])
@member
def lists(request: HttpRequest, door: Door) -> HttpResponse:
    """Show the lists that stand; work out one for the commissions that are chosen."""
    if request.method != "POST":
        return _lists(request, door)
    if not door.membership.owns:
        return _lists(request, door, 403)
    wanted = {text for text in request.POST.getlist("commission") if whole(text, 11) is not None}
    chosen = list(Commission.objects.filter(kitchen=door.kitchen, pk__in=wanted).order_by("handover_at", "pk")[:MOST])
    day, wrong = read_day(request.POST.get("from_day", ""))
    if not chosen:
        wrong = wrong or _("Choose at least one commission.")
    if wrong:
        return _lists(request, door, 422, wrong=wrong, chosen=wanted)
    day = day or today_of(door.kitchen)
    heads = {
        version.commission_id: version
        for version in Version.objects.filter(commission__in=chosen).order_by("number")
        if version.number == next(one.head for one in chosen if one.pk == version.commission_id)
    }
    names = _unlike([one.title for one in chosen])
    try:
        asked = [
            _asked(dossier_of(heads[one.pk]), name) for one, name in zip(chosen, names, strict=True) if one.pk in heads
        ]
        plan = shopping_list(asked, door.kitchen.parsed(), today=day)
    except TierwrightError as error:
        return _lists(request, door, 422, wrong=str(error), chosen=wanted)
    made = ShoppingList.objects.create(
        kitchen=door.kitchen,
        whose=[
            {"pk": one.pk, "title": name, "version": one.head, "handover": one.handover_at.date().isoformat()}
            for one, name in zip(chosen, names, strict=True)
        ],
        content=_adapter().dump_python(plan, mode="json"),
        from_day=day,
        made_by=door.user,
    )
    door.note("shopping list made", str(made))
    return HttpResponseRedirect(reverse("shop-list", kwargs={"kitchen": door.kitchen.pk, "shopping": made.pk}))


def _unlike(titles: list[str]) -> list[str]:
    """Return titles of which no two are alike: the list names commissions by them."""
    seen: dict[str, int] = {}
    names: list[str] = []
    for title in titles:
        seen[title] = seen.get(title, 0) + 1
        names.append(title if seen[title] == 1 else f"{title} ({seen[title]})")
    return names


def _asked(dossier: Dossier, name: str) -> Any:
    commission = dossier.commission.model_copy(update={"title": name})
    return uses_of(
        commission,
        dossier.kitchen,
        dossier.formulas,
        dossier.coating,
        dossier.sizing,
        supports_needed(dossier.support),
        wares_needed(dossier.finish),
    )


def _lists(request: HttpRequest, door: Door, status: int = 200, **more: Any) -> HttpResponse:
    found = ShoppingList.objects.filter(kitchen=door.kitchen, put_away_at=None).defer("content")[:ROWS]
    context: dict[str, Any] = {
        "door": door,
        "place": "shopping",
        "lists": list(found),
        "commissions": list(_coming(door)) if door.membership.owns else [],
        "today": today_of(door.kitchen),
        "chosen": set(),
    }
    context |= more
    context["ticked"] = {int(text) for text in context["chosen"]}
    return render(request, "money/lists.html", context, status=status)


def _found(door: Door, shopping: int | str) -> ShoppingList:
    return get_object_or_404(ShoppingList, kitchen=door.kitchen, pk=int(shopping))


@require_safe
@member
def shopping_list_page(request: HttpRequest, door: Door, shopping: int) -> HttpResponse:
    """Show a list by day, shop and the walk through it, to be ticked in the shop."""
    found = _found(door, shopping)
    plan = plan_of(found)
    kitchen = door.kitchen.parsed()
    sees = door.membership.may_see_prices
    page = list_page(plan, kitchen, prices=sees)
    stands = standing(found.entries.all())
    data: Any = page.data
    for trip in data["trips"]:
        for row in trip["rows"]:
            line = plan.lines[int(row["key"].partition(".")[2])]
            row["price_each"] = f"{line.price:f}" if sees else ""
            row["count"] = line.packs
            row["stand"] = stands.get(row["key"], {})
    spent = sum((_paid(stand) for stand in stands.values()), 0)
    context = {
        "door": door,
        "place": "shopping",
        "shopping": found,
        "list": data,
        "stands": stands,
        "allergens": [allergen.value for allergen in Allergen],
        "currency": kitchen.currency,
        "spent": show_money(spent, kitchen.currency, locale_of(door.kitchen)) if sees and spent else "",
        "sees": sees,
    }
    return render(request, "money/list.html", context)


def _paid(stand: dict[str, Any]) -> Any:
    from decimal import Decimal

    return Decimal(stand["bought"]["paid"]) if stand.get("bought") else Decimal(0)


def shops_of(plan: PurchasePlan, kitchen: BriefKitchen) -> dict[str, Shop]:
    """Return the shops of a list by their keys; one that has left the price book since goes by its key."""
    known = {shop.key: shop for shop in book_of(kitchen).shops}
    return {key: Shop(key=key, name=key) for key in {line.shop for line in plan.lines}} | known


def list_page(plan: PurchasePlan, kitchen: BriefKitchen, *, prices: bool, cautions: Sequence[Caution] = ()) -> Page:
    """Return a list as a page to print, without prices where they may not be seen."""
    return printed.page(
        plan, shops_of(plan, kitchen), display=kitchen.units.display(), currency=kitchen.currency if prices else "",
        cautions=cautions, names=_names(plan, kitchen.units.english.value == "uk"),
    )  # fmt: skip


def _names(plan: PurchasePlan, british: bool) -> dict[str, str]:
    keys = {done.whole for done in plan.splits} | {part for done in plan.splits for part, _grams in done.left}
    return {key: ingredient(key).name_uk if british else ingredient(key).name_us for key in keys}


@require_safe
@never_cache
@member
def state(request: HttpRequest, door: Door, shopping: int) -> JsonResponse:
    """Say how every line stands, and hand out a fresh token for sending."""
    found = _found(door, shopping)
    stands = standing(found.entries.all())
    if not door.membership.may_see_prices:
        for stand in stands.values():
            if stand["bought"]:
                stand["bought"] = {"lot": stand["bought"]["lot"]}
    return JsonResponse({"token": get_token(request), "lines": stands})


@require_POST
@never_cache
@member
def entries(request: HttpRequest, door: Door, shopping: int) -> JsonResponse:
    """Take entries from a phone; each is answered with what became of it."""
    found = _found(door, shopping)
    raws = entries_in(request.body, MOST_AT_ONCE)
    if raws is None:
        return too_many(MOST_AT_ONCE)
    return JsonResponse({"outcomes": told(take(door, found, plan_of(found), raws))})


@require_POST
@owner
def put_away(request: HttpRequest, door: Door, shopping: int) -> HttpResponse:
    """Put a list away, or bring it back; nothing is deleted."""
    found = _found(door, shopping)
    found.put_away_at = None if found.put_away_at is not None else timezone.now()
    found.save(update_fields=["put_away_at"])
    if found.put_away_at is not None:
        again = reverse("shop-put-away", kwargs={"kitchen": door.kitchen.pk, "shopping": found.pk})
        messages.success(request, _("The list is put away."), extra_tags=f"undo {again}")
    return HttpResponseRedirect(reverse("shop-lists", kwargs={"kitchen": door.kitchen.pk}))


def list_name(found: ShoppingList) -> str:
    """Return the name of a list's files."""
    return f"to-buy-{found.from_day.isoformat()}"


@require_safe
@member
def list_file(request: HttpRequest, door: Door, shopping: str, kind: str) -> HttpResponse:
    """Hand a list out as CSV, XLSX or PDF; without prices to those who may not see them."""
    found = _found(door, shopping)
    sees = door.membership.may_see_prices
    if kind == "pdf":
        back = reverse("shop-list", kwargs={"kitchen": door.kitchen.pk, "shopping": found.pk})
        return hand_out(request, door, "money.shopping", {"list": found.pk, "prices": sees}, back=back)
    plan = plan_of(found)
    shops = shops_of(plan, door.kitchen.parsed())
    made = datetime.combine(found.from_day, time.min)
    if kind == "csv":
        data, mime = list_csv(plan, shops, prices=sees).encode(), "text/csv; charset=utf-8"
    else:
        data = list_xlsx(plan, shops, made=made, prices=sees)
        mime = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    answer = HttpResponse(data, content_type=mime)
    answer["Content-Disposition"] = f'attachment; filename="{list_name(found)}.{kind}"'
    return answer


def lists_of(commission: Commission) -> list[ShoppingList]:
    """Return the lists that a commission was bought with, put away or not."""
    found = ShoppingList.objects.filter(kitchen=commission.kitchen).prefetch_related("entries")
    return [one for one in found if any(entry["pk"] == commission.pk for entry in one.whose)]
