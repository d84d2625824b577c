"""The money of one commission: its quotation in versions, its invoice, what was paid, and what is open."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from tierwright.errors import BadInput, TierwrightError
from tierwright.price import CapReading, EntryKind, Quotation, question_on, show_money
from tierwright.sheets.papers import quotation_page
from tierwright.web.access import Door, owner
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.models import Commission, Kitchen
from tierwright.web.money.amounts import read_amount
from tierwright.web.money.ledger import balance, cap_reading, currency_of, enter, kind_words, promised, take_back
from tierwright.web.money.models import LedgerEntry, Offer
from tierwright.web.money.offers import (
    Standing,
    Stood,
    locale_of,
    make,
    offers_of,
    propose,
    quotation_of,
    withdraw,
)
from tierwright.web.prints.views import hand_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """An entry of the ledger in words."""

    entry: LedgerEntry
    kind: str
    amount: str
    gone: bool


def money_words(amount: Decimal, currency: str, kitchen: Kitchen) -> str:
    """Return an amount as the kitchen's papers write it."""
    return show_money(amount, currency, locale_of(kitchen))


def rows_of(entries: Any, kitchen: Kitchen) -> list[Row]:
    """Return entries in words; they come with what corrects them."""
    from tierwright.web.money.ledger import entry_of

    return [
        Row(
            entry=entry,
            kind=kind_words(entry.kind),
            amount=money_words(entry_of(entry).amount, entry.currency, kitchen),
            gone=hasattr(entry, "corrected_by"),
        )
        for entry in entries
    ]


def _accepted(stood: list[Stood]) -> Stood | None:
    return next((one for one in stood if one.standing is Standing.ACCEPTED), None)


def _invoice_of(commission: Commission) -> LedgerEntry | None:
    return (
        LedgerEntry.objects.filter(commission=commission, kind=EntryKind.INVOICE.value, corrected_by=None)
        .order_by("-number")
        .first()
    )


def _cap(door: Door, desk: Desk, gross: Decimal) -> CapReading | None:
    """Hold the year of the handover against the cap, with all that is promised and this commission beside it."""
    year = desk.brief.day.day.year
    coming = gross + promised(door.kitchen, year, but=desk.commission)
    found = cap_reading(door.kitchen, year, coming)
    return found if found is not None and found.question is not None else None


def _shown(request: HttpRequest, door: Door, desk: Desk, status: int = 200, **more: Any) -> HttpResponse:
    kitchen, commission = door.kitchen, desk.commission
    stood = offers_of(commission)
    newest, accepted = (stood[0] if stood else None), _accepted(stood)
    proposed: Quotation | None = None
    trouble = ""
    if newest is None or newest.offer.version.number != commission.head or newest.standing in (
        Standing.WITHDRAWN, Standing.ENDED,
    ):  # fmt: skip
        try:
            proposed = propose(commission, desk.version)
        except TierwrightError as error:
            trouble = str(error)
    offer = proposed or (quotation_of(newest.offer) if newest is not None else None)
    invoice = _invoice_of(commission)
    held = balance(commission)
    currency = currency_of(kitchen)
    entries = (
        LedgerEntry.objects.filter(commission=commission).select_related("corrected_by", "corrects").order_by("number")
    )
    retainer = (
        question_on(offer.rungs, offer.dues[0].amount) if offer is not None and offer.dues and offer.dues[0].on is None
        else None
    )  # fmt: skip
    context: dict[str, Any] = {
        "stood": stood,
        "newest": newest,
        "accepted": accepted,
        "proposed": quotation_page(proposed, None, locale_of(kitchen)).data if proposed is not None else None,
        "proposed_mark": proposed.mark if proposed is not None else "",
        "turn": proposed.version if proposed is not None else 0,
        "trouble": trouble,
        "cap": _cap(door, desk, offer.totals.gross) if offer is not None else None,
        "retainer": retainer,
        "invoice": invoice,
        "invoice_due": accepted is not None and (invoice is None or invoice.paper.get("mark") != accepted.offer.mark),
        "entries": rows_of(entries, kitchen),
        "balance": {
            "invoiced": money_words(held.invoiced, currency, kitchen),
            "paid": money_words(held.paid - held.refunded, currency, kitchen),
            "open": money_words(abs(held.open), currency, kitchen),
            "over": held.open < 0,
            "settled": held.open == 0,
        },
        "currency": currency,
        "dues": [
            (due.text, due.on, money_words(due.amount, currency, kitchen))
            for due in (quotation_of(accepted.offer).dues if accepted is not None else ())
        ],
        "links": commission.client_links.filter(withdrawn_at=None).exists(),
    }
    answer = page(request, desk, "money/commission.html", "money", **(context | more))
    answer.status_code = status
    answer["Cache-Control"] = "no-store"
    return answer


@require_safe
@owner
def money(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show a commission's quotation, its invoice, what was paid and what is open."""
    return _shown(request, door, lay_out(door, commission))


def _back(desk: Desk) -> HttpResponseRedirect:
    return HttpResponseRedirect(desk.url("money-of"))


def _said(error: BadInput) -> str:
    return " ".join(
        _("%(place)s: found %(found)s; expected %(expected)s.")
        % {"place": problem.place, "found": problem.found, "expected": problem.expected}
        for problem in error.problems
    )


@require_POST
@owner
def offer(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Keep the next version of the quotation, as the maker has just seen it."""
    desk = lay_out(door, commission)
    try:
        written = propose(desk.commission, desk.version)
        over = _cap(door, desk, written.totals.gross)
        if over is not None and over.room < written.totals.gross and request.POST.get("cap") != "read":
            return _shown(request, door, desk, 422, wrong=_("Say that you have read about the cap, then offer it."))
        made = make(door, desk.commission, desk.version, request.POST.get("mark", ""))
    except BadInput:
        return _shown(
            request, door, desk, 409, wrong=_("The commission has changed since you opened this page: read it again.")
        )
    messages.success(request, _("%(number)s, version %(turn)d, is before the client.") % {
        "number": made.number, "turn": made.turn,
    })  # fmt: skip
    return _back(desk)


@require_POST
@owner
def take_offer_back(request: HttpRequest, door: Door, commission: int, turn: int) -> HttpResponse:
    """Take an offer back that nobody has accepted."""
    desk = lay_out(door, commission)
    found = get_object_or_404(Offer, commission=desk.commission, turn=turn)
    try:
        withdraw(door, found)
    except BadInput:
        return _shown(request, door, desk, 409, wrong=_("The client has accepted it in the meantime."))
    messages.success(request, _("The offer is taken back."))
    return _back(desk)


@require_safe
@owner
def offer_pdf(request: HttpRequest, door: Door, commission: int, turn: int) -> HttpResponse:
    """Hand out one version of the quotation as a PDF."""
    found = get_object_or_404(Offer, commission=door.commission(commission), turn=turn)
    back = reverse("money-of", kwargs={"kitchen": door.kitchen.pk, "commission": commission})
    return hand_out(request, door, "money.offer", {"offer": found.pk}, back=back)


@require_POST
@owner
def invoice(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Invoice the version that was accepted; an invoice of another version is taken back in the same stroke."""
    desk = lay_out(door, commission)
    accepted = _accepted(offers_of(desk.commission))
    if accepted is None:
        return _shown(request, door, desk, 409, wrong=_("Nothing has been accepted yet."))
    quotation = quotation_of(accepted.offer)
    try:
        with transaction.atomic():
            # Whoever presses twice gets one invoice: the second waits here and then finds the first.
            Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
            before = _invoice_of(desk.commission)
            if before is not None and before.paper.get("mark") == accepted.offer.mark:
                return _back(desk)
            if before is not None:
                words = _("another version has been accepted: %(offer)s") % {"offer": accepted.offer}
                take_back(door, before, words)
            row = enter(
                door,
                desk.commission,
                EntryKind.INVOICE,
                quotation.totals.gross,
                f"{quotation.number}, version {quotation.version}: {quotation.title}"[:400],
                tax=quotation.totals.tax,
                paper={
                    "client": quotation.client,
                    "title": quotation.title,
                    "maker": quotation.maker,
                    "mark": accepted.offer.mark,
                    "turn": accepted.offer.turn,
                },
            )
    except BadInput as error:
        return _shown(request, door, desk, 422, wrong=_said(error))
    messages.success(request, _("%(paper)s is entered.") % {"paper": row.document})
    return _back(desk)


@require_POST
@owner
def pay(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Enter a payment, or what is paid back."""
    desk = lay_out(door, commission)
    kind = EntryKind.REFUND if request.POST.get("kind") == EntryKind.REFUND else EntryKind.PAYMENT
    typed = {name: request.POST.get(name, "")[:400] for name in ("kind", "amount", "text")}
    amount, wrong = read_amount(typed["amount"], currency_of(door.kitchen))
    bad = {"amount": wrong} if wrong else {}
    if not typed["text"].strip():
        bad["text"] = _("Say what it is for, such as: retainer, in cash.")
    if bad or amount is None:
        return _shown(request, door, desk, 422, bad=bad, typed=typed)
    last = LedgerEntry.objects.filter(commission=desk.commission).order_by("-number").first()
    paper = {"client": desk.brief.client, "title": desk.brief.title, "maker": door.kitchen.name}
    try:
        row = enter(door, desk.commission, kind, amount, typed["text"].strip(), paper=paper)
    except BadInput as error:
        return _shown(request, door, desk, 422, bad={"amount": _said(error)}, typed=typed)
    if last is not None and (last.kind, last.coins, last.text) == (row.kind, row.coins, row.text):
        messages.warning(request, _("The same has been entered twice, %(first)s and %(second)s: is that meant?") % {
            "first": last.document, "second": row.document,
        })  # fmt: skip
    messages.success(request, _("%(paper)s is entered.") % {"paper": row.document})
    return _back(desk)
