"""The cutting guide: how each tier comes off, how it is cut, how many portions it gives, and what is not food."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tierwright.dossier import Dossier
from tierwright.drawings import cutting_guide, order_of_cutting, shortage_chart
from tierwright.sheets.naming import Words, outline_words
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import count_of, of_sheet, steps_with_cautions
from tierwright.sizing.model import Cutting, Demand, KitchenCake, Stack, Tier, TierKind
from tierwright.units import Display
from tierwright.working import Caution


@dataclass(frozen=True, slots=True, kw_only=True)
class Inedible:
    """
    Something in or on the cake that is not food.

    Attributes
    ----------
    what
        What and where it is.
    count
        How many there are; None where they are counted in by hand, on the sheet.
    """

    what: str
    count: int | None


def page(
    stack: Stack,
    *,
    demand: Demand | None = None,
    flavours: Sequence[str] = (),
    remove: Iterable[Inedible] = (),
    cautions: Iterable[Caution] = (),
    display: Display,
) -> Page:
    """
    Return the cutting guide.

    Parameters
    ----------
    stack
        The tiers and kitchen cakes, with the pieces into which they are cut.
    demand
        How many portions are wanted; adds the chart.
    flavours
        Names of the flavours, in the brief's order.
    remove
        What is not food and must come out first.
    cautions
        All hazards; those of the table are printed here.
    display
        The maker's units.
    """
    out = tuple(remove)
    steps, left = steps_with_cautions(_dismantling(stack), of_sheet(cautions, "table"))
    cut = [t.cutting for t in stack.tiers if t.cutting is not None] + [k.cutting for k in stack.kitchen_cakes]
    facts = [["portions in all", str(stack.portions)]]
    if cut:
        facts.append(
            [
                "one portion, from above",
                f"{display.show_length(cut[0].portion_width_mm)} by {display.show_length(cut[0].portion_depth_mm)}",
            ]
        )
    if demand is not None:
        facts.append(["wanted, at the risk accepted", str(demand.wanted)])
    kept = [tier.name for tier in stack.tiers if tier.keepsake]
    if kept:
        facts.append(["kept, not cut", f"{', '.join(kept)} tier"])
    # One rule for all stands at the head of the sheet; else each tier has its own.
    rules = {cutting.rule for cutting in cut}
    rule = rules.pop() if len(rules) == 1 else ""
    # From the top down: the order in which they come to the knife.
    tiers: list[Json] = [
        _tier(tier, flavours, rule, display) for tier in reversed(stack.tiers) if tier.cutting is not None
    ]
    tiers += [_kitchen(cake, i, stack, flavours, rule, display) for i, cake in enumerate(stack.kitchen_cakes)]
    data: dict[str, Json] = {
        "title": "Cutting guide",
        "cautions": left,
        "facts": [list(pair) for pair in facts],
        "rule": rule,
        "remove": [{"what": thing.what, "count": _count(thing)} for thing in out],
        "dismantling": steps,
        "tiers": tiers,
        "chart": picture(shortage_chart(demand, stack.portions)) if demand is not None else None,
    }
    return Page(template="cutting", sheet="cutting guide", data=data)


def inedibles(dossier: Dossier) -> list[Inedible]:
    """Return what has to come out of the cake: boards, supports, and every decoration until it is known to be food."""
    tiers = dossier.sizing.stack.tiers
    boards = sum(1 for tier in dossier.coating.tiers if tier.board)
    if dossier.support is not None:
        names = {tier.number: f"{tier.name} tier" for tier in tiers}
        found = [
            Inedible(what=f"{names.get(thing.tier, 'base')}: {thing.what}, {thing.where}", count=thing.count)
            for thing in sorted(dossier.support.found.inedibles, key=lambda thing: -thing.tier)
        ]
        return found + _to_ask(dossier)
    found = [Inedible(what="board under a tier", count=boards)] if boards else []
    if len(tiers) > 1:
        carrying = ", ".join(tier.name for tier in tiers[:-1])
        found.append(Inedible(what=f"supports and rods in the {carrying} tier", count=None))
    return found + _to_ask(dossier)


def _to_ask(dossier: Dossier) -> list[Inedible]:
    """Return every decoration: counted in by hand until it is known to be food."""
    return [Inedible(what=f"{wish}: all that is not food", count=None) for wish in dossier.commission.cake.decoration]


def _count(thing: Inedible) -> str:
    return "in ......  out ......" if thing.count is None else str(thing.count)


def _dismantling(stack: Stack) -> list[str]:
    if len(stack.tiers) < 2:
        return []
    steps = ["Clear the table, warm the knife in hot water and dry it; wipe it after every cut."]
    for tier in reversed(stack.tiers[1:]):
        use = "set it aside whole, in its box" if tier.keepsake else "set it down to cut"
        if tier.kind is TierKind.DUMMY:
            use = "set it aside: it is foam, not cake"
        steps.append(f"Lift the {tier.name} tier off on its own board and {use}.")
    steps.append(f"Cut the {stack.tiers[0].name} tier last, where it stands.")
    return steps


def _tier(tier: Tier, flavours: Sequence[str], rule: str, display: Display) -> dict[str, Json]:
    flavour = flavours[tier.flavour] if 0 <= tier.flavour < len(flavours) else ""
    title = f"{tier.name.capitalize()} tier" + (f": {flavour}" if flavour else "")
    assert tier.cutting is not None
    extra = [["kept", "a keepsake, not counted; cut it so when its day comes"]] if tier.keepsake else []
    return _cake(title, f"cut-{tier.number}", tier, tier.cutting, extra, rule, display)


def _kitchen(
    cake: KitchenCake, place: int, stack: Stack, flavours: Sequence[str], rule: str, display: Display
) -> dict[str, Json]:
    name = "Kitchen cake" if len(stack.kitchen_cakes) == 1 else f"Kitchen cake {place + 1}"
    flavour = flavours[cake.flavour] if 0 <= cake.flavour < len(flavours) else ""
    title = name + (f": {flavour}" if flavour else "")
    extra = [["number of like cakes", str(cake.count)]] if cake.count > 1 else []
    return _cake(title, f"cut-kitchen-{place + 1}", cake, cake.cutting, extra, rule, display)


def _cake(
    title: str,
    prefix: str,
    cake: Tier | KitchenCake,
    cutting: Cutting,
    extra: Sequence[Sequence[str]],
    rule: str,
    display: Display,
) -> dict[str, Json]:
    outline = cake.outline
    offcuts = len(cutting.slices) - cutting.portions
    facts = [
        ["cake", outline_words(outline, display)],
        ["portions", str(cutting.portions)],
        ["cut in", cutting.pattern.value],
    ]
    if offcuts:
        facts.append(["not counted", count_of(offcuts, "offcut")])
    facts.extend(list(pair) for pair in extra)
    drawing = cutting_guide(
        cutting, outline, display=display, prefix=prefix, title=title, width_mm=70.0, height_mm=76.0
    )
    return {
        "title": title,
        "drawing": picture(drawing),
        "facts": [list(pair) for pair in facts],
        "steps": [{"text": step} for step in order_of_cutting(cutting, outline, display)],
        "rule": "" if rule else cutting.rule,
    }


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the cutting guide of a dossier."""
    return (
        page(
            dossier.sizing.stack,
            demand=dossier.sizing.demand,
            flavours=words.flavours,
            remove=inedibles(dossier),
            cautions=dossier.notes.cautions,
            display=words.display,
        ),
    )
