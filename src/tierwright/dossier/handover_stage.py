"""From everything worked out so far to what goes along with the cake."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from tierwright.brief import Commission, Kitchen
from tierwright.brief.kitchen import Bond
from tierwright.brief.venue_file import CallFor
from tierwright.coating import CoatedTier, Coating, Finish, Part
from tierwright.dossier.bake_stage import Bakes
from tierwright.dossier.finish_stage import FinishWork
from tierwright.dossier.handover_dates import dates_of, last_slice
from tierwright.dossier.support_stage import SupportWork
from tierwright.formula import Formulas
from tierwright.handover import (
    CoatToMend,
    FlowerToSpare,
    Handover,
    HandoverAsk,
    Meanwhile,
    PieceToLoad,
    Place,
    StockToSpare,
    TierToHand,
    count_in,
    hand_over,
)
from tierwright.keeping import Keeping
from tierwright.larder import board
from tierwright.purchase import PurchasePlan
from tierwright.sizing import Sizing, TierKind
from tierwright.support import BOX_MARGIN_G, BOX_MARGIN_MM, Answer, Inedible, plan_lift
from tierwright.words import FormulaKind, listed

SET_UP_MIN: Final = 45.0
"""Set-up before the handover where keeping could not be worked out. [min] Common practice."""
BONDS: Final = {
    Bond.BUTTERCREAM: ("Buttercream to stick boards down, in a bag", 25.0),
    Bond.ROYAL_ICING: ("Royal icing to stick boards down, in a closed bag", 15.0),
    Bond.CHOCOLATE: ("Chocolate to melt, to stick boards down", 25.0),
}
"""What sticks a board down, and how much of it. [g] Common practice."""
FACTS: Final = frozenset(
    {
        "tiers",
        "supports",
        "on_site",
        "rod",
        "buttercream",
        "ganache",
        "rolled",
        "combed",
        "textured",
        "piping",
        "bands",
        "leaf",
        "flowers",
        "cold",
        "delivery",
    }
)
"""Words that may be said of how a cake is made; the tools of the kit are chosen by them."""


def hand_over_stage(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    bakes: Bakes,
    support: SupportWork | None,
    keeping: Keeping | None,
    purchase: PurchasePlan,
    finish: FinishWork | None = None,
) -> Handover:
    """
    Run the handover stage.

    Parameters
    ----------
    commission, kitchen, sizing, formulas, coating
        The brief, and the answers of the stages before.
    bakes, support, keeping, purchase, finish
        How it is baked, what carries it, how it keeps, what is bought and what it wears; None where that could not be
        worked out.
    """
    return hand_over(
        handover_ask(
            commission,
            kitchen,
            sizing,
            formulas,
            coating,
            bakes=bakes,
            support=support,
            keeping=keeping,
            purchase=purchase,
            finish=finish,
        )
    )


def handover_ask(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    formulas: Formulas,
    coating: Coating,
    *,
    bakes: Bakes,
    support: SupportWork | None,
    keeping: Keeping | None,
    purchase: PurchasePlan,
    finish: FinishWork | None = None,
) -> HandoverAsk:
    """Translate a commission that has been worked through; see ``hand_over_stage``."""
    stack = sizing.stack
    names = {tier.number: tier.name for tier in stack.tiers}
    levels = () if support is None else tuple(level for level in support.found.levels if level.count)
    set_up = (
        commission.handover_at - timedelta(minutes=SET_UP_MIN) if keeping is None else keeping.card.set_up_at
    ).astimezone(ZoneInfo(commission.day.timezone))
    return HandoverAsk(
        title=commission.title,
        tiers=_tiers(sizing, coating),
        counted=count_in(
            _boards(coating, finish) if support is None else support.found.inedibles,
            names=names,
            stocks={level.stock.name for level in levels},
        ),
        supports=tuple(
            StockToSpare(
                name=name,
                count=sum(level.count for level in levels if level.stock.name == name),
                longest_mm=max(level.cut_mm for level in levels if level.stock.name == name),
            )
            for name in dict.fromkeys(level.stock.name for level in levels)
        ),
        coats=_coats(commission, formulas, coating, names),
        flowers=_flowers(finish),
        facts=_facts(commission, coating, support, keeping),
        bond=None if kitchen.carrying.bond is None else BONDS.get(kitchen.carrying.bond),
        levels=len(stack.tiers) - 1,
        pieces=() if support is None else _pieces(support, names),
        extra_pieces=_kitchen_cakes(sizing, coating, boxed=bool(kitchen.carrying.box)),
        whole_g=None if support is None else support.found.carrying.whole.mass_g,
        foot_mm=None if support is None else support.ask.base.outline.extent_mm,
        place=_place(commission),
        meanwhile=_meanwhile(commission),
        cut_by=commission.portion.cut_by,
        portion_depth_mm=commission.portion.depth,
        support_places=levels[0].positions if levels and levels[0].tier == 1 else (),
        collected=commission.travel.collected_by_client,
        handover_at=commission.handover_at,
        cutting_at=commission.cutting_at,
        set_up_at=set_up,
        last_slice_at=last_slice(commission),
        first_set_up=None if keeping is None else keeping.window.not_before,
        last_set_up=None if keeping is None else keeping.window.not_after,
        throw_away_by=None if keeping is None else keeping.card.throw_away_by,
        stands_cold=keeping is None or any(part.is_controlled for part in keeping.safety),
        dates=dates_of(commission, kitchen, bakes, keeping, purchase, set_up),
    )


def _tiers(sizing: Sizing, coating: Coating) -> tuple[TierToHand, ...]:
    return tuple(
        TierToHand(
            number=tier.number,
            name=tier.name,
            outline=coated.finished_outline,
            mass_g=coated.mass_g,
            is_cake=tier.kind is TierKind.CAKE,
            is_kept=tier.keepsake,
            portions=0 if tier.cutting is None or tier.keepsake else tier.cutting.portions,
        )
        for tier, coated in zip(sizing.stack.tiers, coating.tiers, strict=True)
    )


def _boards(coating: Coating, finish: FinishWork | None) -> tuple[Inedible, ...]:
    """Return boards and picks alone, where nothing that carries the tiers has been found."""
    found = [(0, coating.base_board, "under the whole cake")] if coating.base_board else []
    found += [(tier.number, tier.board, "under the tier") for tier in coating.tiers if tier.board]
    return tuple(
        Inedible(
            tier=tier,
            what=f"board: {board(key).kind.replace('_', ' ')}" if tier else board(key).kind.replace("_", " "),
            count=1,
            where=where,
            reusable=False,
        )
        for tier, key, where in found
    ) + tuple(
        Inedible(tier=tier, what=what, count=count, where="top and side", reusable=False)
        for tier, what, count in (() if finish is None else finish.picks)
    )


def _coats(
    commission: Commission, formulas: Formulas, coating: Coating, names: dict[int, str]
) -> tuple[CoatToMend, ...]:
    """Return every coat that shows, by formula and wanted colour."""
    wanted = {colour.tier: colour.wanted for colour in commission.decor.colours}
    works = {work.formula.text.key: work for work in formulas.works}
    shown: dict[tuple[str, str], list[tuple[float, Part, int]]] = {}
    for tier in coating.tiers:
        cm2 = (tier.side_mm2 + tier.top_mm2) / 100.0
        outer = [part for part in tier.parts if part.part in (Part.COAT, Part.ROLLED) and part.on_cake_g.value > 0]
        for part in outer:
            worn = (part.formula, wanted.get(tier.number, ""))
            shown.setdefault(worn, []).append((part.on_cake_g.value / cm2, part.part, tier.number))
    found = []
    for (key, colour), tiers in shown.items():
        work = works.get(key)
        rolled = any(part is Part.ROLLED for _, part, _ in tiers)
        ganache = work is not None and work.formula.text.kind is FormulaKind.GANACHE
        found.append(
            CoatToMend(
                # A colour is whatever somebody typed; a key stands in addresses.
                key=key if not colour else ".".join((key, "-".join(re.findall(r"\w+", colour)))),
                name=work.formula.text.name if work is not None else key.replace("_", " ").replace("-", " "),
                kind="rolled" if rolled else "ganache" if ganache else "buttercream",
                g_per_cm2=max(grams for grams, _, _ in tiers),
                tiers=len(tiers),
                # A number of a colour says nothing to the hand that packs: the bowl is known by its tier.
                colour=f"coloured as the {listed([names[number] for *_, number in tiers])} tier" if colour else "",
                over_g=None if work is None or work.batch is None else max(0.0, work.batch.spare_g),
            )
        )
    return tuple(found)


def _flowers(finish: FinishWork | None) -> tuple[FlowerToSpare, ...]:
    """Return the flowers by species, state and size, with what was counted in to spare."""
    if finish is None or finish.flowers.order is None:
        return ()
    counts: dict[str, tuple[int, int]] = {}
    for line in finish.flowers.order.lines:
        name = f"{line.sort.state.value} {line.sort.species}, {line.sort.diameter_mm:.0f} mm"
        placed, spares = counts.get(name, (0, 0))
        counts[name] = (placed + line.on_cake, spares + line.spares)
    return tuple(FlowerToSpare(name=name, count=placed, spares=spares) for name, (placed, spares) in counts.items())


def _facts(
    commission: Commission, coating: Coating, support: SupportWork | None, keeping: Keeping | None
) -> frozenset[str]:
    decor, cake = commission.decor, commission.cake
    tiers = coating.tiers
    finishes = {tier.finish for tier in tiers}
    textures = {texture.kind.value for texture in decor.textures}
    parts = {part.part for tier in tiers for part in tier.parts}
    ganache = {sheet.key for sheet in commission.formulas if sheet.kind is FormulaKind.GANACHE}
    coats = {part.formula for tier in tiers for part in tier.parts if part.part is Part.COAT}
    truths = {
        "tiers": len(tiers) > 1,
        "supports": support is not None and any(level.count for level in support.found.levels),
        "on_site": support is not None and len(tiers) > 1 and support.found.carrying.answer is not Answer.STACKED,
        "rod": support is not None and support.ask.means.rod is not None,
        "buttercream": bool(coats - ganache),
        "ganache": bool(coats & ganache),
        "rolled": Part.ROLLED in parts,
        "combed": Finish.COMBED in finishes or "combed" in textures,
        "textured": Finish.TEXTURED in finishes or "spread" in textures,
        "piping": bool(decor.borders) or any(words.tip is not None for words in decor.lettering),
        "bands": bool(decor.bands),
        "leaf": bool(decor.leaf),
        "flowers": bool(decor.flowers or cake.decoration),
        "cold": keeping is None or any(part.is_controlled for part in keeping.safety),
        "delivery": not commission.travel.collected_by_client,
    }
    assert truths.keys() == FACTS
    return frozenset(word for word, true in truths.items() if true)


def _pieces(work: SupportWork, names: dict[int, str]) -> tuple[PieceToLoad, ...]:
    found = work.found
    # Lifts come in the order of the pieces; the whole stack may follow as one more.
    lifts = {piece.tiers: lift for piece, lift in zip(found.carrying.pieces, found.lifts, strict=False)}
    return tuple(
        PieceToLoad(
            holds=_holds(step.tiers, names),
            footprint_mm=step.footprint_mm,
            height_mm=step.height_mm,
            mass_kg=lifts[step.tiers].mass_kg,
            limit_kg=lifts[step.tiers].limit_kg,
            people=step.people,
            where=step.where,
            how=step.how,
        )
        for step in found.loading
    )


def _holds(tiers: tuple[int, ...], names: dict[int, str]) -> str:
    if len(tiers) == len(names):
        return "the whole cake"
    said = [names.get(number, str(number)) for number in tiers]
    return f"the {listed(said)} tier{'s, stacked' if len(said) > 1 else ''}"


def _kitchen_cakes(sizing: Sizing, coating: Coating, *, boxed: bool) -> tuple[PieceToLoad, ...]:
    pieces: list[PieceToLoad] = []
    margin, box = (2 * BOX_MARGIN_MM, BOX_MARGIN_G) if boxed else (0.0, 0.0)
    for number, (cake, coated) in enumerate(
        zip(sizing.stack.kitchen_cakes, coating.kitchen_cakes, strict=True), start=1
    ):
        name = "the kitchen cake" if len(sizing.stack.kitchen_cakes) == 1 else f"kitchen cake {number}"
        lift = plan_lift(name, mass_kg=(coated.mass_g.high + box) / 1000.0, width_mm=coated.finished_outline.largest_mm)
        one = PieceToLoad(
            holds=name,
            footprint_mm=_stands_on(coated) + margin,
            height_mm=coated.finished_height_mm + margin / 2,
            mass_kg=lift.mass_kg,
            limit_kg=lift.limit_kg,
            people=lift.people,
            where="on the flat floor, where nothing is set on it",
            how="in a closed box" if boxed else "room round it filled so that it cannot move",
        )
        pieces += [one] * cake.count
    return tuple(pieces)


def _stands_on(coated: CoatedTier) -> float:
    wide = coated.finished_outline.largest_mm
    return max(wide, board(coated.board).outline.largest_mm) if coated.board else wide


def _place(commission: Commission) -> Place:
    venue, file = commission.venue, commission.venue.file
    table, lift = file.table, file.lift

    def called(*wanted: CallFor) -> str:
        found = [f"{one.name}, {one.phone}" if one.phone else one.name for one in file.contacts if one.calls in wanted]
        return found[0] if found else ""

    collected = commission.travel.collected_by_client
    return Place(
        table_width_mm=table.width,
        table_depth_mm=table.depth,
        table_bears_g=table.bears,
        table_said=venue.table,
        level=table.level,
        linen=table.linen,
        shakes=file.shakes,
        door_mm=file.door,
        lift_mm=None if lift is None else (lift.width, lift.depth),
        lift_bears_g=None if lift is None else lift.carries,
        stairs=venue.stairs,
        receiver=commission.handing_over.collector if collected else file.receiver,
        called=called(CallFor.CAKE),
        called_there=called(CallFor.VENUE, CallFor.CATERER, CallFor.CLIENT) or venue.contact,
    )


def _meanwhile(commission: Commission) -> tuple[Meanwhile, ...]:
    found: list[Meanwhile] = []
    file = commission.venue.file
    if file.room_turn is not None:
        begins, ends = _span(commission, file.room_turn.begins, file.room_turn.ends)
        settled = bool(file.room_turn.cake)
        found.append(
            Meanwhile(key="room_turn", what="the turn of the room", begins=begins, ends=ends, cake_is_settled=settled)
        )
    for number, event in enumerate(file.other_events, start=1):
        begins, ends = _span(commission, event.begins or time(0, 0), event.ends or time(23, 59))
        found.append(
            Meanwhile(
                key=f"other_event.{number}",
                what=event.what,
                begins=begins,
                ends=ends,
                cake_is_settled=event.cake is False,
            )
        )
    return tuple(found)


def _span(commission: Commission, begins: time, ends: time) -> tuple[datetime, datetime]:
    """Set two times of day on the day of the handover; one that ends before it begins ends on the day after."""
    first = _at(commission, begins)
    last = _at(commission, ends)
    return first, last if last > first else _at(commission, ends, days=1)


def _at(commission: Commission, clock: time, days: int = 0) -> datetime:
    day = commission.day.day + timedelta(days=days)
    return datetime.combine(day, clock, tzinfo=ZoneInfo(commission.day.timezone))
