"""What purchase has to say beside its list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from tierwright.purchase.model import FromStock, Item, Policy, PurchaseLine, Shop, SplitDone, Unmet
from tierwright.words import listed
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

SHEET = "buying"
WORTH_KEEPING_G = 50.0
"""Leftovers of a split below this are not asked about. [g]"""
SEARCH = Source(
    basis=Basis.EXACT, text="integer programme searched to proof; shared out anew in whole tenths of a gram"
)


def notes_on(
    *,
    items: Mapping[str, Item],
    shops: Mapping[str, Shop],
    lines: Sequence[PurchaseLine],
    from_stock: Sequence[FromStock],
    splits: Sequence[SplitDone],
    unmet: Sequence[Unmet],
    goods: Decimal,
    fees: Decimal,
    bound: Decimal,
    proven: bool,
    policy: Policy,
    today: date | None,
) -> Notes:
    """Return figures, questions, cautions and assumptions of a shopping list."""
    figures = [
        Figure(
            key="buying.total",
            label="To pay in the shops",
            value=float(goods + fees),
            unit="money",
            equation="sum of whole packs and delivery charges, least of all choices (or within the near-equal share, "
            "with less left over)",
            inputs=(
                Given(name="packs", value=float(goods)),
                Given(name="charges", value=float(fees)),
                Given(name="nothing cheaper than", value=float(bound)),
                Given(name="near-equal share", value=policy.near_equal),
            ),
            source=SEARCH,
            sheet=SHEET,
        )
    ]
    left = sum((_worth_left(line) for line in lines), Decimal(0))
    figures.append(
        Figure(
            key="buying.left_over",
            label="Worth of what is left in opened packs",
            value=float(left),
            unit="money",
            equation="sum of left over / bought × paid",
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    return Notes(
        figures=tuple(figures),
        questions=tuple(_questions(items, shops, lines, from_stock, splits, unmet, proven, bound, today)),
        cautions=tuple(_cautions(lines, from_stock)),
        assumptions=(
            Assumption(
                key="buying.near_equal",
                text="Extra cost accepted for less left over",
                value=f"{policy.near_equal:.1%}",
                source=COMMON_PRACTICE,
            ),
        ),
    )


def _worth_left(line: PurchaseLine) -> Decimal:
    bought = line.content * line.packs
    return line.price * Decimal(repr(line.left)) / Decimal(repr(bought))


def _questions(
    items: Mapping[str, Item],
    shops: Mapping[str, Shop],
    lines: Sequence[PurchaseLine],
    from_stock: Sequence[FromStock],
    splits: Sequence[SplitDone],
    unmet: Sequence[Unmet],
    proven: bool,
    bound: Decimal,
    today: date | None,
) -> list[Question]:
    asked: list[Question] = []

    def ask(key: str, severity: Severity, text: str, reason: str, figure: str = "", change: str = "") -> None:
        asked.append(
            Question(
                key=f"buying.{key}",
                severity=severity,
                sheet=SHEET,
                text=text,
                reason=reason,
                figure=figure,
                change=change,
            )
        )

    without = [one for one in unmet if one.reason == "no price in the book"]
    if without:
        names = sorted({one.name for one in without})
        ask(
            "no_price",
            Severity.ASK,
            f"What do {listed(names)} cost?" if len(names) > 1 else f"What does {names[0]} cost?",
            "The list says how much of each to buy, but the sum leaves them out.",
            f"{len(names)} without a price",
            "enter them under prices in the kitchen",
        )
    for one in unmet:
        if one not in without:
            ask(
                f"unmet.{one.item}.{one.commissions[0]}",
                Severity.STOP,
                f"Where does the {one.name} for {listed(one.commissions)} come from?",
                f"{one.reason.capitalize()}.",
                f"{one.amount:.0f} {one.unit.value}",
                "another pack, whose label is read, or another shop",
            )
    unread: dict[str, list[str]] = {}
    packets = [(line.name, line.label_unread) for line in lines]
    packets += [(one.name, one.label_unread) for one in from_stock]
    for name, found in packets:
        for one_allergen in found:
            unread.setdefault(one_allergen.value, []).append(name)
    for allergen, names in unread.items():
        ask(
            f"label.{allergen}",
            Severity.DANGER,
            f"Do the labels of {listed(names)} rule out {allergen}?",
            "What a label does not say is unknown, and unknown is never absent.",
            change="read each packet before it goes into the basket, and tick it off as read",
        )
    over: dict[str, float] = {}
    for done in splits:
        for part, grams in done.left:
            over[part] = over.get(part, 0.0) + grams
    for part, grams in over.items():
        if grams < WORTH_KEEPING_G:
            continue
        ask(
            f"by_product.{part}",
            Severity.NOTE,
            f"What is the {items[part].name} that is left over for?",
            "It is paid for; frozen or used, it is not binned.",
            f"{grams:.0f} g",
            "book it into stock when it is there, so that the next list uses it first",
        )
    if not proven:
        ask(
            "search",
            Severity.NOTE,
            "May the list cost a little more than it need?",
            "The search for the best packs ran out of time.",
            f"nothing below {bound:.2f} is possible",
        )
    if today is not None:
        late = [line for line in lines if line.order_by == today]
        ordered = [line for line in late if shops[line.shop].lead_days > 0]
        if ordered:
            ask(
                "order_today",
                Severity.ASK,
                f"Is the order for {listed(sorted({shops[line.shop].name for line in ordered}))} placed today?",
                "Tomorrow is too late for its delivery.",
                f"{len(ordered)} lines",
            )
    return asked


def _cautions(lines: Sequence[PurchaseLine], from_stock: Sequence[FromStock]) -> list[Caution]:
    if not any(line.label_unread for line in lines) and not any(one.label_unread for one in from_stock):
        return []
    return [
        Caution(
            key="buying.labels",
            sheet=SHEET,
            step="",
            text="Another brand is another list of ingredients: read every packet again, its 'may contain' too.",
            reason="A guest with an allergy relies on the very packet that was used.",
            source=COMMON_PRACTICE,
        )
    ]
