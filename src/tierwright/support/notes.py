"""What support has to say beside its numbers: figures with their working, questions, cautions, assumptions."""

from __future__ import annotations

from math import atan, degrees
from typing import Final

from tierwright.support.model import Air as AirAnswer
from tierwright.support.model import (
    Anchor,
    Answer,
    Ask,
    BoardAnswer,
    Carrying,
    Level,
    Lift,
    TierLoad,
    Trials,
)
from tierwright.support.tables import (
    bonds,
    drives,
    factor,
    find_crumb,
    find_filling,
    find_material,
    friction,
    surfaces,
)
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

PLATES: Final = Source(
    basis=Basis.PUBLISHED,
    text="Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., chapters 3 and 4",
)
COLUMNS: Final = Source(
    basis=Basis.PUBLISHED, text="Euler's and J. B. Johnson's column formulas, Shigley, Mechanical Engineering Design"
)
STATICS: Final = Source(basis=Basis.EXACT, text="moments about the edge; Coulomb friction")
LIFTING: Final = Source(
    basis=Basis.PUBLISHED,
    text="Revised NIOSH lifting equation, DHHS (NIOSH) 94-110 (revised 9/2021); HSE INDG143 filter (from memory)",
)
FOOD_CONTACT: Final = Source(
    basis=Basis.PUBLISHED,
    text="US FDA Food Code 2022, 4-101.17 (wood as a food-contact surface); local food code goes first",
)
LIKELY: Final = 0.02
"""Chance of a failure from which it becomes a question. [-]"""


def collect_notes(
    ask: Ask,
    loads: tuple[TierLoad, ...],
    levels: tuple[Level, ...],
    base: BoardAnswer,
    carrying: Carrying,
    air: AirAnswer,
    lifts: tuple[Lift, ...],
    trials: Trials | None,
    lean: float,
) -> Notes:
    """Gather the notes of the whole answer."""
    return (
        _load_notes(ask, loads)
        + _level_notes(ask, levels)
        + _base_notes(base)
        + _road_notes(ask, carrying, air, trials, lean)
        + _lift_notes(lifts)
        + _assumptions(ask, levels)
    )


def _load_notes(ask: Ask, loads: tuple[TierLoad, ...]) -> Notes:
    figures = []
    for tier, load in zip(ask.tiers, loads, strict=True):
        figures.append(
            Figure.of(
                load.mass_g,
                key=f"support.{load.tier}.mass_g",
                label=f"Mass of {tier.name} with its board and decoration",
                unit="g",
                equation="sum of its cake, fillings, coats, board and decoration",
                inputs=tuple(Given(name=p.name, value=p.mass_g.value, unit="g") for p in tier.parts),
                source=ARITHMETIC,
                sheet="supports",
            )
        )
        figures.append(
            Figure.of(
                load.cg_mm,
                key=f"support.{load.tier}.balance_mm",
                label=f"Centre of gravity of {tier.name} above the underside of its board",
                unit="mm",
                equation="sum of mass x height / sum of mass; range: heavy top with light bottom and the reverse",
                source=STATICS,
                sheet="road",
            )
        )
    return Notes(figures=tuple(figures))


def _level_notes(ask: Ask, levels: tuple[Level, ...]) -> Notes:
    figures: list[Figure] = []
    questions: list[Question] = []
    cautions: list[Caution] = []
    names = {tier.number: tier.name for tier in ask.tiers}
    for level in levels:
        where = names[level.tier]
        figures.append(
            Figure.of(
                level.crumb_strain,
                key=f"support.{level.tier}.crumb_strain",
                label=f"How far {where} would give without supports, as a share of its height",
                unit="",
                equation="weight above / area of the board / modulus of the crumb; " + level.why,
                inputs=(Given(name="pressure", value=level.crumb_pressure_kpa.value, unit="kPa"),),
                source=find_crumb(next(t.crumb for t in ask.tiers if t.number == level.tier)).source,
                sheet="supports",
            )
        )
        if not level.count:
            continue
        worst = max(level.checks, key=lambda check: check.utilisation)
        figures += [
            Figure(
                key=f"support.{level.tier}.count",
                label=f"Supports in {where}",
                value=float(level.count),
                equation=(
                    "fewest with which every check of support and board passes"
                    if not level.by_hand
                    else "as set by hand"
                ),
                inputs=(
                    Given(name="load above", value=level.load_g.value, unit="g"),
                    Given(name="support", value=level.stock.name),
                    Given(name="greatest force on one, at rest", value=max(level.reactions_n), unit="N"),
                ),
                source=PLATES,
                sheet="supports",
            ),
            Figure(
                key=f"support.{level.tier}.ring_mm",
                label=f"Ring radius of the supports in {where}",
                value=level.ring_mm,
                unit="mm",
                equation=(
                    "widest ring on which the board passes, 15 mm inside its rim; a wide ring keeps from tipping"
                    if not level.by_hand
                    else "mean distance from the middle, as set by hand"
                ),
                inputs=(
                    Given(name="ring with the least sag", value=level.stiffest_ring_mm, unit="mm"),
                    Given(name="greatest force on one, at rest", value=max(level.reactions_n), unit="N"),
                ),
                source=PLATES,
                sheet="supports",
            ),
            Figure(
                key=f"support.{level.tier}.cut_mm",
                label=f"Cut length of the supports in {where}",
                value=level.cut_mm,
                unit="mm",
                low=level.cut_mm - level.tolerance_mm / 2,
                high=level.cut_mm + level.tolerance_mm / 2,
                equation="finished height - board - settling; measure the finished tier at its lowest place first",
                source=COMMON_PRACTICE,
                sheet="supports",
            ),
            Figure(
                key=f"support.{level.tier}.utilisation",
                label=f"{worst.label}, in {where}: share of what it stands",
                value=worst.utilisation,
                equation=(
                    f"load factor {factor('load')} x (1 + jolt) x force with one support short by the tolerance, over "
                    "the low strength x what damp leaves / material factor"
                ),
                inputs=(
                    Given(name="demand", value=worst.demand, unit=worst.unit),
                    Given(name="capacity", value=worst.capacity, unit=worst.unit),
                ),
                source=COLUMNS,
                sheet="supports",
            ),
            Figure(
                key=f"support.{level.tier}.sag_mm",
                label=f"Sag of the board under {names[level.carries]} after a day",
                value=level.board.sag_mm,
                unit="mm",
                equation="thin plate on points, x (1 + creep) / what damp leaves",
                inputs=(
                    Given(name="board", value=level.board.board),
                    Given(name="limit", value=level.board.limit_mm, unit="mm"),
                    Given(name="free span", value=level.board.span_mm, unit="mm"),
                ),
                source=PLATES,
                sheet="supports",
            ),
        ]
        questions += [
            Question(
                key=f"support.{level.tier}.{check.key.rsplit('.', 1)[1]}",
                severity=Severity.STOP,
                sheet="supports",
                text=f"{check.label[0].upper()}{check.label[1:]} in {where}: use another support or more of them?",
                reason="it stands less than its load with the factors asked",
                figure=f"{check.utilisation:.2f} of what it stands",
                change="a thicker or stiffer support",
            )
            for check in level.checks
            if not check.passes
        ]
        if level.fewer:
            questions.append(
                Question(
                    key=f"support.{level.tier}.fewer",
                    severity=Severity.NOTE,
                    sheet="supports",
                    text=f"Is a stiffer board better than {level.count} supports in {where}?",
                    reason=f"{level.fewer}: fewer holes, fewer to count out",
                    figure=f"{level.count} supports",
                    change=level.fewer,
                )
            )
        failing = [check for check in level.board.checks if not check.passes]
        if failing:
            check = max(failing, key=lambda c: c.utilisation)
            questions.append(
                Question(
                    key=f"support.board.{level.carries}",
                    severity=Severity.STOP,
                    sheet="supports",
                    text=f"Which board goes under {names[level.carries]}?",
                    reason=f"{check.label}: {check.demand:.2f} {check.unit}, allowed {check.capacity:.2f} {check.unit}",
                    figure=f"{check.utilisation:.2f} of what it stands",
                    change=f"use {level.board.needed}" if level.board.needed else "a stiffer or thicker board",
                )
            )
        if find_material(level.stock.material).family == "wood":
            cautions.append(
                Caution(
                    key=f"support.{level.tier}.raw_wood",
                    sheet="supports",
                    step="cut",
                    text="Use only clean, untreated wood sold for food, or sleeve it; sand and wash the cut ends.",
                    reason="splinters, glue or preservative in the cake",
                    source=FOOD_CONTACT,
                )
            )
        cautions.append(
            Caution(
                key=f"support.{level.tier}.cutting",
                sheet="supports",
                step="cut",
                text="Cut supports on a bench, held down, blade away from the body; wear eye protection.",
                reason="a slipping blade or a flying end",
                source=COMMON_PRACTICE,
            )
        )
        cautions.append(
            Caution(
                key=f"support.{level.tier}.count_out",
                sheet="table",
                step=f"cut {where}",
                text=f"Take out and count {level.count} supports from {where} before the first slice of it is served.",
                reason="a support left in a slice can choke or break a tooth",
                source=COMMON_PRACTICE,
            )
        )
    return Notes(figures=tuple(figures), questions=tuple(questions), cautions=tuple(cautions))


def _base_notes(base: BoardAnswer) -> Notes:
    failing = [check for check in base.checks if not check.passes]
    figure = Figure(
        key="support.base.sag_mm",
        label="Sag of the base board when it is lifted by two edges",
        value=base.sag_mm,
        unit="mm",
        equation="thin plate held by a hand's width on two opposite edges",
        inputs=(Given(name="limit", value=base.limit_mm, unit="mm"),),
        source=PLATES,
        sheet="supports",
    )
    if not failing:
        return Notes(figures=(figure,))
    worst = max(failing, key=lambda check: check.utilisation)
    return Notes(
        figures=(figure,),
        questions=(
            Question(
                key="support.base",
                severity=Severity.ASK,
                sheet="supports",
                text="Is there a stiffer base board, or will it be slid and carried with the hands under the middle?",
                reason=f"{worst.label} when lifted by two edges; the coat of the lowest tier may crack",
                figure=f"{worst.utilisation:.2f} of what it stands",
                change=f"use {base.needed}" if base.needed else "two base boards glued together",
            ),
        ),
    )


def _road_notes(ask: Ask, carrying: Carrying, air: AirAnswer, trials: Trials | None, lean: float) -> Notes:
    road, means = ask.road, ask.means
    drive = drives()[road.drive]
    figures = [
        Figure(
            key="support.road.answer",
            label="How to carry it",
            value=carrying.answer.value,
            equation=carrying.words,
            inputs=(
                Given(name="drive to be stood", value=drive.name),
                Given(name="grade", value=road.grade),
                Given(name="surface", value=surfaces()[road.surface].name),
            ),
            source=drive.source,
            sheet="road",
        ),
        Figure(
            key="support.road.tips_at_g",
            label="Whole stack: sideways push at which something tips, over gravity",
            value=carrying.whole.tips_at_g,
            equation="(half base - offset) / height of the centre of gravity, least over all joints",
            source=STATICS,
            sheet="road",
        ),
        Figure(
            key="support.road.slides_at_g",
            label="Whole stack: sideways push at which something slides, over gravity",
            value=carrying.whole.slides_at_g,
            equation="friction + grip over weight, least over all joints",
            source=STATICS,
            sheet="road",
        ),
        Figure(
            key="support.road.balance_mm",
            label="Whole stack: height of its centre of gravity, for trolleys and stairs",
            value=carrying.whole.cg_mm,
            unit="mm",
            equation="sum of mass x height / sum of mass, above the floor that the base board stands on",
            source=STATICS,
            sheet="road",
        ),
        Figure(
            key="support.road.lean",
            label="Lean at the top from supports that differ by their tolerance",
            value=lean,
            equation="sum of tolerance over width, every tier leaning the same way",
            source=ARITHMETIC,
            sheet="road",
        ),
        Figure(
            key="support.road.air_growth",
            label="Growth of shut-in air on the way",
            value=air.growth,
            equation="(p1 / p2) (T2 / T1)",
            inputs=(
                Given(name="from", value=road.from_m, unit="m"),
                Given(name="to", value=road.to_m, unit="m"),
                Given(name="covered at", value=road.cold_c, unit="C"),
                Given(name="warmest", value=road.warm_c, unit="C"),
            ),
            source=Source(basis=Basis.PUBLISHED, text="ideal gas; U.S. Standard Atmosphere 1976"),
            sheet="road",
        ),
    ]
    questions: list[Question] = []
    if carrying.answer is not Answer.STACKED and road.wish_stacked:
        questions.append(
            Question(
                key="support.road.wish",
                severity=Severity.STOP,
                sheet="road",
                text="Will you stack it on site (or in part), or change what holds it together?",
                reason=carrying.words,
                figure=f"{carrying.governing.utilisation:.2f} of what it stands",
                change=carrying.change.do if carrying.change else "stack it on site",
            )
        )
    failing = [piece for piece in carrying.pieces if not piece.checks[0].passes]
    if failing:
        worst = max((piece.checks[0] for piece in failing), key=lambda check: check.utilisation)
        mend = carrying.piece_change
        questions.append(
            Question(
                key="support.road.pieces",
                severity=Severity.STOP,
                sheet="road",
                text=f"How will the pieces be kept from this: {worst.label}?",
                reason="even carried apart they do not stand the drive",
                figure=f"{worst.utilisation:.2f} of what it stands",
                change=mend.do if mend else "a firmer filling, a wider base or a gentler way",
            )
        )
    if trials is not None:
        likeliest = trials.chances[0]
        if trials.any_failure > LIKELY:
            questions.append(
                Question(
                    key="support.chance",
                    severity=Severity.ASK,
                    sheet="road",
                    text=f"Is a chance of {100 * trials.any_failure:.0f} % that something gives acceptable?",
                    reason=f"likeliest: {likeliest.label}, {100 * likeliest.chance:.1f} %",
                    figure=f"{100 * likeliest.chance:.1f} % give or take {100 * likeliest.error:.1f}",
                    change=f"mind the {trials.sensitivities[0].label}" if trials.sensitivities else "",
                )
            )
        figures.append(
            Figure(
                key="support.chance.any",
                label="Chance that anything gives on the way",
                value=trials.any_failure,
                equation=f"share of {trials.trials} trials in which a check fails, seed {trials.seed}",
                source=Source(basis=Basis.EXACT, text="Monte Carlo; binomial standard error"),
                sheet="road",
            )
        )
        figures += [
            Figure(
                key=f"support.chance.{chance.key}",
                label=f"Chance: {chance.label}",
                value=chance.chance,
                low=max(0.0, chance.chance - 1.28 * chance.error),
                high=chance.chance + 1.28 * chance.error,
                equation=f"share of {trials.trials} trials, seed {trials.seed}",
                source=Source(basis=Basis.EXACT, text="Monte Carlo; binomial standard error"),
                sheet="road",
            )
            for chance in trials.chances
        ]
    cautions = [
        Caution(
            key="support.road.secure",
            sheet="road",
            step="load",
            text="Stand it on the flat floor of the vehicle, never on a seat or lap; nothing loose beside it.",
            reason="a seat slopes and a loose load hits the cake or people in a hard stop",
            source=drive.source,
        )
    ]
    if road.stairs:
        slope = degrees(atan(min(piece.tips_at_g for piece in carrying.pieces)))
        cautions.append(
            Caution(
                key="support.road.stairs",
                sheet="road",
                step="carry",
                text=(
                    f"{road.stairs} steps: carry each piece level, one person below it and one above, hands free of "
                    f"anything else. It tips at a slope of {slope:.0f} degrees; never lean a trolley half as far."
                ),
                reason="a fall on the stairs; a tier that tips out of its stack",
                source=STATICS,
            )
        )
    if means.rod is not None and means.rod.anchor is not Anchor.NONE:
        cautions.append(
            Caution(
                key="support.rod.count_out",
                sheet="table",
                step="take down",
                text="Draw the centre rod first and count it out; then lift the tiers apart.",
                reason="a rod through the tiers cannot be cut and its tip can hurt an eye",
                source=COMMON_PRACTICE,
            )
        )
    return Notes(figures=tuple(figures), questions=tuple(questions), cautions=tuple(cautions))


def _lift_notes(lifts: tuple[Lift, ...]) -> Notes:
    figures = tuple(
        Figure(
            key=f"support.lift.{i}",
            label=f"People to lift {lift.what}",
            value=float(lift.people),
            equation="mass against 23 kg x reach, height, travel and grip, and the British filter; two count 4/3",
            inputs=(
                Given(name="mass", value=lift.mass_kg, unit="kg"),
                Given(name="limit for one", value=lift.limit_kg, unit="kg"),
                Given(name="reach", value=lift.reach_mm, unit="mm"),
            ),
            source=LIFTING,
            sheet="road",
        )
        for i, lift in enumerate(lifts, start=1)
    )
    cautions = tuple(
        Caution(
            key=f"support.lift.{i}",
            sheet="road",
            step="carry",
            text=f"{lift.words[0].upper()}{lift.words[1:]}. Hold it low and close, look where you step, doors first.",
            reason="back injury; a fall with the cake",
            source=LIFTING,
        )
        for i, lift in enumerate(lifts, start=1)
        if lift.people > 1
    )
    return Notes(figures=figures, cautions=cautions)


def _assumptions(ask: Ask, levels: tuple[Level, ...]) -> Notes:
    found = [
        Assumption(
            key="support.factor.load",
            text="Partial factor on weights",
            value=f"{factor('load'):g}",
            source=Source(basis=Basis.PUBLISHED, text="EN 1990:2002 Table A1.2(B) (from memory)"),
        ),
        Assumption(
            key="support.settling",
            text="Share of its height that a tier settles before supports are cut",
            value="none" if all(t.settled for t in ask.tiers) else f"{100 * factor('settle-share'):g} %",
            source=COMMON_PRACTICE,
        ),
        Assumption(
            key="support.cutting_error",
            text="Difference between supports cut to one length (standard deviation)",
            value=f"{ask.means.cutting_error_mm:g} mm",
            source=COMMON_PRACTICE,
        ),
        Assumption(
            key="support.surface",
            text="Jolt of the road's worst surface",
            value=f"{surfaces()[ask.road.surface].value.value:g} g",
            source=surfaces()[ask.road.surface].source,
        ),
    ]
    if ask.means.bond != "none":
        grip = bonds()[ask.means.bond]
        found.append(
            Assumption(
                key="support.bond", text=f"Grip of {grip.name}", value=f"{grip.value.value:g} kPa", source=grip.source
            )
        )
    for crumb in sorted({tier.crumb for tier in ask.tiers}):
        kind = find_crumb(crumb)
        found.append(
            Assumption(
                key=f"support.crumb.{crumb}",
                text=f"Modulus of {kind.name}",
                value=f"{kind.modulus_kpa.value:g} kPa ({kind.modulus_kpa.low:g} to {kind.modulus_kpa.high:g})",
                source=kind.source,
            )
        )
    for filling in sorted({key for tier in ask.tiers for f in tier.fillings for key in (f.filling, f.dam) if key}):
        soft = find_filling(filling)
        found.append(
            Assumption(
                key=f"support.filling.{filling}",
                text=f"Yield stress of {soft.name}",
                value=f"{soft.yield_pa.value:g} Pa ({soft.yield_pa.low:g} to {soft.yield_pa.high:g})",
                source=soft.source,
            )
        )
    for key in sorted(
        {level.stock.material for level in levels if level.count}
        | {level.board.material for level in levels if level.count}
    ):
        material = find_material(key)
        low, high = material.modulus_mpa.low, material.modulus_mpa.high
        found.append(
            Assumption(
                key=f"support.material.{key}",
                text=f"Stiffness of {material.name}",
                value=f"{material.modulus_mpa.value:g} MPa ({low:g} to {high:g})",
                source=material.source,
            )
        )
    if any(level.count for level in levels):
        rub = friction()["board-support"]
        found.append(
            Assumption(
                key="support.friction.board",
                text=f"Friction: {rub.name}",
                value=f"{rub.value.value:g} ({rub.value.low:g} to {rub.value.high:g})",
                source=rub.source,
            )
        )
    return Notes(assumptions=tuple(found))
