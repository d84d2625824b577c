"""What coating has to say beside its figures: questions, cautions and assumptions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tierwright.coating.figures import SHEET, range_text
from tierwright.coating.model import CoatStyle, Part
from tierwright.coating.order import Spread, TierToCoat
from tierwright.coating.parts import dam_spread, spread_density, wants_dam
from tierwright.coating.tables import amount, kind
from tierwright.coating.tier import WorkedTier
from tierwright.coating.warnings import bulge_question, slide_question, slump_question
from tierwright.larder import Amount
from tierwright.working import COMMON_PRACTICE, Assumption, Basis, Caution, Question, Severity, Source

FOOD_CODE: Final = Source(
    basis=Basis.PUBLISHED, text="FDA Food Code 2022, 3-501.16(A)(2): 5 C (41 F) or less; the local code goes first"
)
LIFT_G: Final = 10_000.0
NUT_KINDS: Final = {"marzipan": "almond", "praline": "hazelnut or almond"}


def tier_questions(worked: WorkedTier, expected_c: float, road_c: float, braking_share: float) -> tuple[Question, ...]:
    """
    Everything about one tier that has to be settled.

    Parameters
    ----------
    worked
        The tier.
    expected_c, road_c
        Warmest that it is expected to get, and its temperature on the road. [C]
    braking_share
        Braking that it has to stand, over gravity. [-]
    """
    order, place, name = worked.order, worked.place, worked.name
    found: list[Question | None] = list(_missing(worked))
    joint = worked.joint
    if joint is not None:
        usual = dam_spread(order)
        found.append(bulge_question(joint, place, name, expected_c, None if usual is None else kind(usual.kind)))
        found.append(slide_question(joint, place, name, road_c, braking_share))
    spread = [skin for skin in worked.skins if skin.part in (Part.CRUMB_COAT, Part.COAT) and skin.spread is not None]
    if spread and spread[-1].spread is not None:
        outer = spread[-1].spread
        thick = sum(skin.side_mm.value for skin in spread)
        found.append(slump_question(kind(outer.kind), spread_density(outer).value, thick, place, name, expected_c))
    if worked.overhangs:
        found.append(
            Question(
                key=f"{place}.overhang",
                severity=Severity.ASK,
                sheet=SHEET,
                text=f"Is what stands on {name} meant to reach beyond its edge?",
                reason="its coat or board is wider than the top below it",
                figure=f"{worked.coated.finished_outline.describe()}",
                change="a smaller tier or board above, or a wider one below",
            )
        )
    return tuple(question for question in found if question is not None)


def _ask(place: str, key: str, text: str, reason: str, change: str) -> Question:
    return Question(key=f"{place}.{key}", severity=Severity.ASK, sheet=SHEET, text=text, reason=reason, change=change)


def _missing(worked: WorkedTier) -> list[Question]:
    order, place, name = worked.order, worked.place, worked.name
    asked: list[Question] = []
    if order.style is not CoatStyle.NAKED and order.coat is None:
        asked.append(
            _ask(place, "coat", f"What is {name} coated with?", f"its style is {order.style.value}", "name a formula")
        )
    if order.style is CoatStyle.NAKED and order.is_dummy:
        reason = "it is foam, and a naked coat leaves that to be seen"
        asked.append(_ask(place, "foam", f"What covers {name}?", reason, "a coat for all tiers, or one tier fewer"))
    if order.style is CoatStyle.ROLLED and order.undercoat is None and not order.is_dummy:
        reason = "a rolled coat needs something smooth to stick to; its mass is not in the weights"
        asked.append(_ask(place, "undercoat", f"What goes under the rolled coat of {name}?", reason, "name a formula"))
    if order.coat is not None and order.style is not CoatStyle.NAKED:
        solid = kind(order.coat.kind).stiffness == "solid"
        if solid is not (order.style is CoatStyle.ROLLED):
            asked.append(
                _ask(
                    place,
                    "style",
                    f"Is {name} rolled or spread?",
                    f"{kind(order.coat.kind).name} does not make a {order.style.value} coat",
                    "another style, or another coat",
                )
            )
    if not order.is_dummy and order.filling is None and order.cake.layers > 1 and order.depth_mm > 0:
        asked.append(
            _ask(place, "filling", f"What fills {name}?", f"it has {order.cake.layers} layers", "name a formula")
        )
    if wants_dam(order) and dam_spread(order) is None:
        reason = (
            "its filling needs one and neither coat nor undercoat pipes; without it the filling is reckoned to the edge"
        )
        asked.append(_ask(place, "dam", f"What is the dam of {name} piped with?", reason, "name a firm buttercream"))
    for spread, what in ((order.filling, "filling"), (order.coat, "coat"), (order.soak, "soak")):
        used = spread is not None and not (what in ("filling", "soak") and order.is_dummy)
        if (
            used
            and spread is not None
            and not spread.formula
            and not (what == "coat" and order.style is CoatStyle.NAKED)
        ):
            reason = f"{kind(spread.kind).name} is weighed, but nothing is made of it"
            asked.append(_ask(place, f"{what}.formula", f"Which formula is the {what} of {name}?", reason, "name it"))
    return asked


def cautions(worked: Sequence[WorkedTier], stack_g: float) -> tuple[Caution, ...]:
    """
    Hazards that go with what is spread on and in these tiers, and with the stack's mass.

    Parameters
    ----------
    worked
        Tiers and kitchen cakes.
    stack_g
        Mass of all tiers together. [g]
    """
    used: dict[str, None] = {}
    for one in worked:
        for spread in _used(one.order):
            used.setdefault(spread.kind)
    found: list[Caution] = []
    for key in used:
        of = kind(key)
        if of.must_chill:
            found.append(
                Caution(
                    key=f"chill.{key}",
                    sheet=SHEET,
                    step="holding",
                    text=f"Keep all that has {of.name} in it at 5 C or colder until set-up; write down the times.",
                    reason="reckoned as needing the cold unless a laboratory result for this formula says otherwise",
                    source=FOOD_CODE,
                )
            )
        if key in NUT_KINDS:
            found.append(
                Caution(
                    key=f"nuts.{key}",
                    sheet=SHEET,
                    step="rolling and filling",
                    text=f"{of.name.capitalize()} is {NUT_KINDS[key]}: open it last, then clean down.",
                    reason="traces carried on hands, pins and turntables can harm an allergic guest",
                    source=COMMON_PRACTICE,
                )
            )
    if stack_g > LIFT_G:
        found.append(
            Caution(
                key="lift.stack",
                sheet=SHEET,
                step="stacking",
                text=f"Two people lift it, or it goes in tiers: stacked it weighs about {stack_g / 1000:.1f} kg.",
                reason="over 10 kg held level at arm's length",
                source=COMMON_PRACTICE,
            )
        )
    return tuple(found)


def _used(order: TierToCoat) -> list[Spread]:
    spreads = [order.coat, order.undercoat] if order.style is not CoatStyle.NAKED else []
    if not order.is_dummy:
        spreads += [order.filling, order.marzipan, order.soak]
        if wants_dam(order):
            spreads.append(dam_spread(order))
    return [spread for spread in spreads if spread is not None]


def assumptions(
    worked: Sequence[WorkedTier], given_c: bool, given_road_c: bool, given_road: bool
) -> tuple[Assumption, ...]:
    """Every usual density, amount and loss that was used, once each."""
    found: dict[str, Assumption] = {}
    amounts: dict[str, Amount] = {}

    def usual(key: str) -> None:
        amounts.setdefault(key, amount(key))

    for one in worked:
        order = one.order
        for item in one.assumptions:
            found.setdefault(item.key, item)
        for spread in _used(order):
            if spread.measured_g_per_ml is None:
                of = kind(spread.kind)
                found.setdefault(
                    f"density.{of.key}",
                    Assumption(
                        key=f"density.{of.key}",
                        text=f"density of {of.name}; weigh a cup of yours and give it instead",
                        value=f"{range_text(of.density_g_per_ml)} g/ml",
                        source=of.source,
                    ),
                )
        if one.joint is not None and one.joint.dam is not None and order.dam_mm is None:
            usual("dam_width_mm")
        if order.soak is not None and not order.is_dummy:
            if order.soak_ml_per_cm2 is None:
                usual("soak_ml_per_cm2")
            usual("soak_loss")
        parts = {part.part for part in one.coated.parts}
        if parts & {Part.FILLING, Part.DAM, Part.CRUMB_COAT, Part.COAT}:
            usual("bowl_loss")
        if Part.DAM in parts:
            usual("bag_loss")
        if parts & {Part.CRUMB_COAT, Part.COAT}:
            usual("semi_naked_scrape_loss" if order.style is CoatStyle.SEMI_NAKED else "scrape_loss")
        if one.rollings:
            usual("sheet_margin_mm" if any(sheet.use == "cover" for sheet in one.coated.sheets) else "wrap_margin_mm")
            usual("knead_back")
        if order.board and order.board_g is None:
            usual("board_g_per_ml")
        if order.is_dummy:
            usual("foam_g_per_ml")
    if not given_c:
        usual("expected_c")
    if not given_road_c:
        usual("road_c")
    if not given_road:
        usual("braking_share")
    listed = [
        Assumption(key=f"coats.{one.key}", text=one.name, value=_amount_text(one), source=one.source)
        for one in amounts.values()
    ]
    return (*found.values(), *listed)


def _amount_text(one: Amount) -> str:
    if one.unit == "1":
        return f"{one.value.value * 100:g} % ({one.value.low * 100:g} to {one.value.high * 100:g})"
    return f"{one.value.value:g} ({one.value.low:g} to {one.value.high:g}) {one.unit}"
