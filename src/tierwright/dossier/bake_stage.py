"""From filled pans to bakes and oven loads."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from tierwright.bake import (
    Bake,
    BakingPan,
    Batter,
    Leavening,
    LoadPlan,
    Oven,
    OvenMode,
    OvenSetting,
    PanToBake,
    bake,
    plan_loads,
)
from tierwright.brief import Commission, FormulaSheet, Kitchen
from tierwright.brief.kitchen import Oven as WrittenOven
from tierwright.brief.kitchen import OvenMode as WrittenMode
from tierwright.dossier.making import makes_of
from tierwright.errors import Infeasible, OutOfRange
from tierwright.formula import Formula, FormulaWork, PanFill, formula_class
from tierwright.keeping import Make
from tierwright.sizing import PanChoice
from tierwright.working import COMMON_PRACTICE, Assumption, Estimate, Given, Notes, Question, Severity

USUAL_C = 350 / 1.8 - 32 / 1.8
LARGE_C = 325 / 1.8 - 32 / 1.8
FAN_LESS_C = 25 / 1.8
LARGE_MM = 310.0
DEEP_MM = 60.0
"""Common practice: 350 F up to 12 in; 325 F for wider pans and for pans of 3 in; 25 F less with a fan. [C], [mm]"""

FINISHES = {
    "aluminium_dull": "dull",
    "aluminium_bright": "bright",
    "aluminium_dark": "dark",
    "tinplate_dark": "steel",
    "glass": "glass",
    "silicone": "silicone",
}
WALL_MM = 2.0
RIM_MM = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PanBake:
    """
    How like layers bake.

    Attributes
    ----------
    jobs
        Pan jobs that it answers, such as ``tier.1``.
    formula, pan
        Their batter and pan.
    bake_c
        True oven temperature wanted. [C]
    dial_c
        What the dial is set to for it, after the oven's own offset. [C]
    answer
        Times, curves, heights.
    """

    jobs: tuple[str, ...]
    formula: str
    pan: str
    bake_c: float
    dial_c: float
    answer: Bake


@dataclass(frozen=True, slots=True, kw_only=True)
class Bakes:
    """Every kind of layer, and the loads in which they are baked; no loads where something does not go in."""

    pans: tuple[PanBake, ...]
    loads: LoadPlan | None


def bake_layers(
    commission: Commission,
    kitchen: Kitchen,
    works: Sequence[FormulaWork],
    choices: tuple[PanChoice, ...],
    names: Mapping[str, str],
) -> tuple[Bakes, Notes]:
    """Run the bake stage for every filled pan, in the kitchen's roomiest oven."""
    oven = max(kitchen.ovens, key=lambda one: one.width * one.depth * one.shelves)
    depths = {choice.key: choice.depth_mm for choice in choices}
    owned = {choice.key: choice.owned for choice in choices}
    sheets = {sheet.key: sheet for sheet in commission.formulas}
    finishes = {entry.pan or f"own_{number}": entry.material for number, entry in enumerate(kitchen.pans, start=1)}
    makes = {make.key: make for make in makes_of(commission, works)}
    notes = Notes()
    done: list[PanBake] = []
    waiting: list[PanToBake] = []
    pans_of: dict[str, str] = {}
    for work in works:
        if work.batch is None or work.composition is None or not work.batch.fills:
            continue
        key = work.formula.text.key
        groups: dict[tuple[str, int], list[PanFill]] = {}
        for fill in work.batch.fills:
            groups.setdefault((fill.pan, round(fill.batter_g.value)), []).append(fill)
        for (pan, _), fills in groups.items():
            height = depths.get(pan, fills[0].fill_mm / max(fills[0].fill_share, 1e-6))
            wanted = _bake_c(sheets[key], fills[0].outline.largest_mm, height, oven)
            dial = wanted - (oven.offset or 0.0)
            try:
                answer = _bake(
                    BakingPan(
                        key=fills[0].job,
                        outline=fills[0].outline,
                        height_mm=height,
                        finish=FINISHES.get(finishes.get(pan) or "aluminium_dull", "dull"),
                    ),
                    _batter(work, fills[0], kitchen),
                    _setting(oven, dial, kitchen),
                )
            except OutOfRange as error:
                notes = notes + Notes(questions=(_beyond(key, pan, error),))
                continue
            jobs = tuple(dict.fromkeys(fill.job for fill in fills))
            done.append(PanBake(jobs=jobs, formula=key, pan=pan, bake_c=wanted, dial_c=dial, answer=answer))
            if answer.done_min is None:
                continue
            waiting += [_to_bake(fill, makes[key], wanted, answer, height) for fill in fills]
            pans_of |= {f"{fill.job}.{fill.number}": pan for fill in fills}
        notes = notes + _temperature_assumed(sheets[key], oven)
    for one in done:
        job = one.jobs[0]
        notes = notes + _named(one.answer.notes, job, names.get(job, job))
    loads, more = _loads(oven, waiting, together=commission.cake.shared_oven)
    if loads is not None:
        more = more + _pans_short(loads, pans_of, owned)
    return Bakes(pans=tuple(done), loads=loads), _once(notes + more)


def bake_losses(bakes: Bakes) -> dict[str, Estimate]:
    """Share of each formula's batter that leaves as steam, where a bake was computed. [-]"""
    losses: dict[str, list[float]] = {}
    for one in bakes.pans:
        losses.setdefault(one.formula, []).append(one.answer.trial.weight_loss)
    return {
        formula: Estimate(value=sum(found) / len(found), low=0.8 * min(found), high=1.2 * max(found))
        for formula, found in losses.items()
    }


@lru_cache(maxsize=512)
def _bake(pan: BakingPan, batter: Batter, setting: OvenSetting) -> Bake:
    """Bake one pan; the same pan in another version of a commission is not computed again."""
    return bake(pan, batter, setting)


def _bake_c(sheet: FormulaSheet, width_mm: float, depth_mm: float, oven: WrittenOven) -> float:
    if sheet.bake_at is not None:
        return sheet.bake_at
    return _usual_c(oven, is_large=width_mm > LARGE_MM or depth_mm > DEEP_MM)


def _usual_c(oven: WrittenOven, *, is_large: bool) -> float:
    usual = LARGE_C if is_large else USUAL_C
    return usual - FAN_LESS_C if oven.mode is WrittenMode.CONVECTION else usual


def _temperature_assumed(sheet: FormulaSheet, oven: WrittenOven) -> Notes:
    if sheet.bake_at is not None:
        return Notes()
    usual, large = _usual_c(oven, is_large=False), _usual_c(oven, is_large=True)
    fan = ", the fan counted" if oven.mode is WrittenMode.CONVECTION else ""
    assumed = Assumption(
        key=f"bakes.{sheet.key}.bake_at",
        text=f"Oven temperature for {sheet.name}",
        value=f"{usual:.1f} C; {large:.1f} C for pans over 305 mm wide, or 76 mm deep and more{fan}",
        source=COMMON_PRACTICE,
    )
    return Notes(assumptions=(assumed,))


def _batter(work: FormulaWork, fill: PanFill, kitchen: Kitchen) -> Batter:
    assert work.composition is not None
    known = formula_class(work.formula.text.kind)
    return Batter(
        batter_g=round(fill.batter_g.value, 1),
        specific_gravity=work.formula.text.specific_gravity or known.density.value,
        composition=work.composition,
        rise=known.rise.value,
        start_c=kitchen.room,
        leavening=leavening_of(work.formula),
    )


def leavening_of(formula: Formula) -> Leavening:
    """Say what lifts a batter; it decides how long the batter may wait."""
    inside = {line.ingredient for line in formula.parts}
    if formula.text.kind.is_foam:
        return Leavening.FOAM
    if inside & {"baking_powder", "baking_powder_sas"}:
        return Leavening.DOUBLE_ACTING
    if "baking_soda" in inside:
        return Leavening.SINGLE_ACTING
    return Leavening.NONE


def _setting(oven: WrittenOven, dial_c: float, kitchen: Kitchen) -> OvenSetting:
    base = OvenSetting(
        set_point_c=dial_c,
        mode=OvenMode.FAN if oven.mode is WrittenMode.CONVECTION else OvenMode.STATIC,
        altitude_m=kitchen.altitude,
        offset_c=oven.offset or 0.0,
    )
    if oven.factor is None:
        return base
    return OvenSetting(
        set_point_c=base.set_point_c,
        mode=base.mode,
        altitude_m=base.altitude_m,
        offset_c=base.offset_c,
        factor=oven.factor,
        factor_sd=oven.factor_sd,
        calibrated=oven.bakes_learnt,
    )


def _to_bake(fill: PanFill, make: Make, wanted_c: float, answer: Bake, height_mm: float) -> PanToBake:
    assert answer.done_min is not None
    return PanToBake(
        key=f"{fill.job}.{fill.number}",
        outline=fill.outline.grown(RIM_MM),
        height_mm=max(height_mm, answer.trial.centre_height_mm),
        set_point_c=wanted_c,
        done_min=answer.done_min,
        heat_kj=answer.trial.heat_kj,
        leavening=answer.batter.leavening,
        mix=f"{make.name}, mix {fill.mix}",
        contains=make.contains,
        unknown=make.unknown,
        keep_free_of=make.keep_free_of,
    )


def _loads(oven: WrittenOven, waiting: list[PanToBake], *, together: bool) -> tuple[LoadPlan | None, Notes]:
    if not waiting:
        return None, Notes()
    step = oven.height / (oven.shelves + 1)
    space = Oven(
        key=oven.name,
        width_mm=oven.width,
        depth_mm=oven.depth,
        height_mm=oven.height,
        rack_heights_mm=tuple(step * (number + 0.5) for number in range(oven.shelves)),
        racks_at_once=oven.shelves,
        mode=OvenMode.FAN if oven.mode is WrittenMode.CONVECTION else OvenMode.STATIC,
        power_w=oven.power or 2400.0,
    )
    try:
        plan = _planned(space, tuple(waiting), together)
    except Infeasible as error:
        question = Question(
            key="bakes.loads",
            severity=Severity.STOP,
            sheet="bakes",
            text=f"How is this baked? {error.wish}: {error.reason}.",
            reason="A pan needs air all round it.",
            change=error.cheapest_change,
        )
        return None, Notes(questions=(question,))
    return plan, plan.notes


@lru_cache(maxsize=256)
def _planned(oven: Oven, pans: tuple[PanToBake, ...], together: bool) -> LoadPlan:
    """Plan loads; another version of a commission with the same pans and times is not planned again."""
    return plan_loads(oven, pans, together=together)


def _pans_short(plan: LoadPlan, pans_of: dict[str, str], owned: dict[str, int]) -> Notes:
    """Ask for pans where one load holds more of a kind than the maker owns."""
    short: dict[str, int] = {}
    for load in plan.loads:
        held = Counter(pans_of[placed.key] for shelf in load.shelves for placed in shelf.pans)
        for pan, count in held.items():
            if count > owned.get(pan, count):
                short[pan] = max(count, short.get(pan, 0))
    return Notes(
        questions=tuple(
            Question(
                key=f"bakes.pans.{pan}",
                severity=Severity.ASK,
                sheet="bakes",
                text=f"Can another {pan.replace('_', ' ')} be borrowed? One load has room for {count}.",
                reason="With fewer pans the layers bake one after the other.",
                figure=f"{owned[pan]} owned",
                change="borrow the pan, or bake the last layer in a load of its own",
            )
            for pan, count in short.items()
        )
    )


def _beyond(formula: str, pan: str, error: OutOfRange) -> Question:
    return Question(
        key=f"bakes.{formula}.{pan}",
        severity=Severity.ASK,
        sheet="bakes",
        text=f"How long does {pan} take? It is beyond what can be computed: bake a trial.",
        reason=str(error),
    )


def _named(notes: Notes, job: str, name: str) -> Notes:
    """Say the tier's name where the bake room, which knows pans alone, says the job's key."""
    return Notes(
        figures=tuple(
            replace(f, label=f"{name}: {f.label}", unit="C" if f.unit == "degC" else f.unit, inputs=_celsius(f.inputs))
            for f in notes.figures
        ),
        questions=tuple(replace(q, text=q.text.replace(job, f"the {name}")) for q in notes.questions),
        cautions=notes.cautions,
        assumptions=notes.assumptions,
    )


def _celsius(inputs: tuple[Given, ...]) -> tuple[Given, ...]:
    return tuple(replace(given, unit="C") if given.unit == "degC" else given for given in inputs)


def _once(notes: Notes) -> Notes:
    """Keep each note once: several pans of one oven say the same of it."""
    return Notes(
        figures=tuple({figure.key: figure for figure in notes.figures}.values()),
        questions=tuple({question.text: question for question in notes.questions}.values()),
        cautions=tuple({(c.key, c.text): c for c in notes.cautions}.values()),
        assumptions=tuple({assumption.key: assumption for assumption in notes.assumptions}.values()),
    )
