"""What coating has to say beside its numbers: figures with their working, questions, cautions and assumptions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from tierwright.coating.ganache import Chocolate, Season, split_ganache
from tierwright.coating.model import CoatStyle, Need, Part, PartMass
from tierwright.coating.order import Spread, TierToCoat
from tierwright.coating.parts import OUTSIDE_PARTS, dam_spread, spread_density, wants_dam
from tierwright.coating.ranges import total
from tierwright.coating.tables import Amount, amount, kind
from tierwright.coating.tier import WorkedTier
from tierwright.coating.warnings import bulge_question, slide_question, slump_question
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Estimate,
    Figure,
    Given,
    Question,
    Severity,
    Source,
)

SHEET: Final = "coats"
STEINER: Final = Source(
    basis=Basis.PUBLISHED,
    text="parallel bodies (Steiner 1840); Schneider, Convex Bodies: The Brunn-Minkowski Theory, 2nd ed. 2014, sec. 4.1",
)
SQUEEZE: Final = Source(
    basis=Basis.PUBLISHED,
    text="Scott, Trans. Inst. Rubber Ind. 7 (1931) 169; Covey and Stanmore, J. Non-Newtonian Fluid Mech. 8 (1981) 249",
)
FOOD_CODE: Final = Source(
    basis=Basis.PUBLISHED, text="FDA Food Code 2022, 3-501.16(A)(2): 5 C (41 F) or less; the local code goes first"
)
LIFT_G: Final = 10_000.0
GANACHES: Final = {"dark_ganache": Chocolate.DARK, "milk_ganache": Chocolate.MILK, "white_ganache": Chocolate.WHITE}
NUT_KINDS: Final = {"marzipan": "almond", "praline": "hazelnut or almond"}


def _of(worked: WorkedTier, parts: Iterable[Part]) -> list[PartMass]:
    wanted = set(parts)
    return [part for part in worked.coated.parts if part.part in wanted]


def _mass(parts: list[PartMass]) -> Estimate:
    return total([part.on_cake_g for part in parts])


def _range_text(estimate: Estimate) -> str:
    return f"{estimate.value:.3g} ({estimate.low:.3g} to {estimate.high:.3g})"


def _density(spread: Spread | None) -> tuple[Given, ...]:
    if spread is None:
        return ()
    of = kind(spread.kind)
    text = _range_text(spread_density(spread))
    overrun = (
        () if spread.measured_g_per_ml is not None else (Given(name="overrun", value=of.overrun_percent, unit="%"),)
    )
    return (Given(name=f"density of {of.name}", value=text, unit="g/ml"), *overrun)


def tier_figures(worked: WorkedTier, expected_c: float, road_c: float) -> tuple[Figure, ...]:
    """
    Figures of one tier, each with its working.

    Parameters
    ----------
    worked
        The tier.
    expected_c, road_c
        Warmest that it is expected to get, and its temperature on the road. [C]
    """
    figures: list[Figure] = []
    order, coated, place, name = worked.order, worked.coated, worked.place, worked.name
    outline = order.cake.outline
    plan = Given(name="outline of the cake", value=outline.describe())
    area = Given(name="its area", value=outline.area_mm2, unit="mm2")

    outside = _of(worked, OUTSIDE_PARTS)
    if outside:
        skins = tuple(
            Given(
                name=f"{skin.part.value}: side; top",
                value=f"{_range_text(skin.side_mm)}; {_range_text(skin.top_mm)}",
                unit="mm",
            )
            for skin in worked.skins
        )
        figures.append(
            Figure.of(
                _mass(outside),
                key=f"{place}.coat_g",
                label=f"Coat on {name}, all coats together",
                unit="g",
                equation=(
                    "each coat: (A(o) (H + top) - A(i) H - covered x top) x density, with A(t) = A + P t + pi t2 "
                    "the area inside the line t outside the cake"
                ),
                inputs=(
                    plan,
                    area,
                    Given(name="its perimeter", value=outline.perimeter_mm, unit="mm"),
                    Given(name="height of the side", value=worked.body.height_mm, unit="mm"),
                    Given(name="top under the next tier", value=worked.body.covered_mm2, unit="mm2"),
                    *skins,
                    *_density(order.coat),
                    *(Given(name=one.part.value, value=one.on_cake_g.value, unit="g") for one in outside),
                ),
                source=STEINER,
                sheet=SHEET,
            )
        )
    for part, label in ((Part.FILLING, "Filling in"), (Part.DAM, "Dam round the filling of")):
        parts = _of(worked, (part,))
        if not parts:
            continue
        spread = order.filling if part is Part.FILLING else dam_spread(order)
        ring = "(area - ring of the dam)" if part is Part.FILLING else "area of the ring"
        figures.append(
            Figure.of(
                _mass(parts),
                key=f"{place}.{part.value}_g",
                label=f"{label} {name}",
                unit="g",
                equation=f"{ring} x depth x number of fillings x density",
                inputs=(
                    plan,
                    area,
                    Given(name="depth", value=order.depth_mm, unit="mm"),
                    Given(name="fillings", value=float(order.gaps)),
                    Given(
                        name="width of the dam", value=0.0 if worked.joint is None else worked.joint.dam_mm, unit="mm"
                    ),
                    *_density(spread),
                ),
                source=ARITHMETIC,
                sheet=SHEET,
            )
        )
    soaked = _of(worked, (Part.SOAK,))
    if soaked:
        rate = order.soak_ml_per_cm2 or amount("soak_ml_per_cm2").value
        figures.append(
            Figure.of(
                _mass(soaked),
                key=f"{place}.soak_g",
                label=f"Syrup on the cut sides of {name}",
                unit="g",
                equation="(2 layers - 1) x area x syrup a side x density",
                inputs=(
                    area,
                    Given(name="layers", value=float(order.cake.layers)),
                    Given(name="syrup a side", value=_range_text(rate), unit="ml/cm2"),
                    *_density(order.soak),
                ),
                source=COMMON_PRACTICE if order.soak_ml_per_cm2 else amount("soak_ml_per_cm2").source,
                sheet=SHEET,
            )
        )
    figures.append(
        Figure.of(
            coated.mass_g,
            key=f"{place}.mass_g",
            label=f"Mass of {name} with its board",
            unit="g",
            equation="sum of its parts",
            inputs=tuple(Given(name=one.part.value, value=one.on_cake_g.value, unit="g") for one in coated.parts),
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    figures.append(
        Figure(
            key=f"{place}.finished_height_mm",
            label=f"Height of {name} with board and coat",
            value=coated.finished_height_mm,
            unit="mm",
            equation="board + layers + fillings + coats on top",
            inputs=tuple(
                Given(name=band.material, value=band.top_mm - band.bottom_mm, unit="mm") for band in coated.bands
            ),
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    figures += _sheet_figures(worked)
    figures += _strength_figures(worked, expected_c, road_c)
    return tuple(figures)


def _sheet_figures(worked: WorkedTier) -> list[Figure]:
    figures: list[Figure] = []
    parts = [part for part in worked.coated.parts if part.part in (Part.ROLLED, Part.MARZIPAN)]
    for part, rolling in zip(parts, worked.rollings, strict=True):
        named = "marzipan" if part.part is Part.MARZIPAN else "rolled"
        figures += [
            Figure.of(
                sheet.roll_out_g,
                key=f"{worked.place}.{named}_{sheet.use}_g",
                label=f"Roll out the {sheet.use} of {part.part.value} for {worked.name}",
                unit="g",
                equation=(
                    "sheet area x thickness x density; a cover is diameter + 2 heights + margin each way, a disc the "
                    "top + margin, a wrap perimeter by height + margin"
                ),
                inputs=(
                    Given(name="width", value=sheet.width_mm, unit="mm"),
                    Given(name="length", value=sheet.length_mm, unit="mm"),
                    Given(name="thickness", value=_range_text(part.thickness_mm), unit="mm"),
                    Given(name="trim", value=_range_text(sheet.trim_g), unit="g"),
                    Given(name="to knead back", value=_range_text(sheet.knead_back_g), unit="g"),
                ),
                source=COMMON_PRACTICE,
                sheet=SHEET,
            )
            for sheet in rolling.sheets
        ]
    return figures


def _strength_figures(worked: WorkedTier, expected_c: float, road_c: float) -> list[Figure]:
    joint = worked.joint
    if joint is None:
        return []
    values = {bound: joint.bearing_mm(expected_c, bound) for bound in ("low", "value", "high")}
    slide = {bound: joint.sliding_share(road_c, bound) for bound in ("low", "value", "high")}
    inputs = (
        Given(name="load on the lowest filling", value=joint.pressure_pa, unit="Pa"),
        Given(name="filling", value=joint.filling.name),
        Given(name="its temperature at the warmest", value=expected_c, unit="C"),
        Given(name="its temperature on the road", value=road_c, unit="C"),
        Given(name="supports carry the tiers above", value="yes" if joint.supported else "no"),
    )
    return [
        Figure.of(
            Estimate(value=values["value"], low=values["low"], high=values["high"]),
            key=f"{worked.place}.filling_limit_mm",
            label=f"Depth of {joint.filling.name} that holds without a dam in {worked.name}",
            unit="mm",
            equation="2/3 x yield stress x radius / pressure",
            inputs=inputs,
            source=SQUEEZE,
            sheet=SHEET,
        ),
        Figure.of(
            Estimate(value=slide["value"], low=slide["low"], high=slide["high"]),
            key=f"{worked.place}.slide_share",
            label=f"Sideways force, over the weight, at which the layers of {worked.name} slide",
            unit="",
            equation="mean yield stress over the joint / pressure",
            inputs=inputs,
            source=Source(basis=Basis.EXACT, text="statics"),
            sheet=SHEET,
        ),
    ]


def need_figures(needs: Sequence[Need], details: dict[str, tuple[Given, ...]]) -> tuple[Figure, ...]:
    """Figures of what has to be made of each formula."""
    return tuple(
        Figure.of(
            need.grams,
            key=f"need.{need.formula}.g",
            label=f"To make of {need.formula}",
            unit="g",
            equation=(
                "sum over tiers of (on the cake / (1 - bowl) / (1 - bag or scrape)); for sheets what must be at hand "
                "to roll them one after another, the largest first"
            ),
            inputs=details.get(need.formula, ()),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        )
        for need in needs
    )


def ganache_notes(
    needs: Sequence[Need], kind_of: dict[str, str], season: Season
) -> tuple[tuple[Figure, ...], tuple[Assumption, ...]]:
    """Chocolate and cream of each ganache by the usual ratio, with the spread of ratios."""
    figures: list[Figure] = []
    assumptions: list[Assumption] = []
    for need in needs:
        chocolate = GANACHES.get(kind_of.get(need.formula, ""))
        if chocolate is None:
            continue
        split = split_ganache(chocolate, season, need.grams.value)
        given = (
            Given(name="ganache", value=need.grams.value, unit="g"),
            Given(name="chocolate to cream", value=_range_text(split.ratio)),
            Given(name="season", value=season.value),
        )
        for what, grams, equation in (
            ("chocolate", split.chocolate_g, "ganache x ratio / (1 + ratio)"),
            ("cream", split.cream_g, "ganache / (1 + ratio)"),
        ):
            figures.append(
                Figure.of(
                    grams,
                    key=f"need.{need.formula}.{what}_g",
                    label=f"{what.capitalize()} for {need.formula} by the usual ratio",
                    unit="g",
                    equation=equation,
                    inputs=given,
                    source=split.source,
                    sheet=SHEET,
                )
            )
        note = f"; {split.disagreement}" if split.disagreement else ""
        assumptions.append(
            Assumption(
                key=f"need.{need.formula}.ratio",
                text=f"chocolate to cream in {chocolate.value} ganache, {season.value}{note}",
                value=f"{split.ratio.value:g} to 1",
                source=split.source,
            )
        )
    return tuple(figures), tuple(assumptions)


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
                        value=f"{_range_text(of.density_g_per_ml)} g/ml",
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
