"""How fast bakes, learning and oven loads are; run by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from benchmarks.bench_heat import best_ms
from tierwright.bake import (
    BakingPan,
    Batter,
    DoneTime,
    Leavening,
    Oven,
    OvenRecord,
    OvenSetting,
    PanToBake,
    ProbeRecord,
    bake,
    calibrate,
    plan_loads,
    run_trial,
)
from tierwright.heat import Solver, compiled_available
from tierwright.larder import Composition
from tierwright.shapes import Outline

MADE_OF = Composition(water_g=35.0, carbohydrate_g=45.0, fat_g=13.5, protein_g=5.0, ash_g=1.5)
TIERS = ((152.0, 25.0), (203.0, 25.0), (254.0, 25.0), (305.0, 25.0))


def filled(diameter: float, depth: float) -> tuple[BakingPan, Batter]:
    pan = BakingPan(key=f"{diameter:.0f}", outline=Outline.round(diameter), height_mm=76.0)
    grams = pan.outline.area_mm2 * depth * 0.85 / 1000.0
    return pan, Batter(batter_g=grams, specific_gravity=0.85, composition=MADE_OF)


def four_tiers(solver: Solver, advise: bool) -> None:
    oven = Oven(
        key="oven", width_mm=460.0, depth_mm=400.0, height_mm=360.0, rack_heights_mm=(60.0, 130.0, 200.0, 270.0)
    )
    pans: list[PanToBake] = []
    for diameter, depth in TIERS:
        pan, batter = filled(diameter, depth)
        answer = bake(pan, batter, OvenSetting(set_point_c=177.0), advise=advise, solver=solver)
        assert answer.done_min is not None
        one = PanToBake(
            key=pan.key,
            outline=pan.outline.grown(2.0),
            height_mm=pan.height_mm,
            set_point_c=177.0,
            done_min=answer.done_min,
            heat_kj=answer.trial.heat_kj,
            leavening=Leavening.DOUBLE_ACTING,
            mix="vanilla",
        )
        pans += [one, replace(one, key=pan.key + " b")]
    plan_loads(oven, pans)


def evidence() -> tuple[DoneTime, ProbeRecord]:
    pan, batter = filled(203.0, 25.0)
    trial = run_trial(pan, batter, OvenSetting(set_point_c=177.0, factor=0.9))
    assert trial.done_min is not None
    minutes, celsius = zip(*trial.probe_c, strict=True)
    noise = np.random.default_rng(1).normal(0.0, 0.5, len(celsius))
    log = ProbeRecord(
        key="log",
        pan=pan,
        batter=batter,
        set_point_c=177.0,
        minutes=minutes,
        celsius=tuple(float(c) for c in np.asarray(celsius) + noise),
    )
    return DoneTime(key="done", pan=pan, batter=batter, set_point_c=177.0, done_min=trial.done_min), log


def rows() -> list[tuple[str, float, str]]:
    found: list[tuple[str, float, str]] = []
    done, log = evidence()
    small, deep = filled(229.0, 17.5), filled(229.0, 30.0)
    setting = OvenSetting(set_point_c=177.0)
    for solver in (Solver.COMPILED, Solver.PLAIN):
        if solver is Solver.COMPILED and not compiled_available():
            continue
        name = "compiled" if solver is Solver.COMPILED else "NumPy"

        def one(which: tuple[BakingPan, Batter], how: Solver = solver) -> None:
            run_trial(*which, setting, solver=how)

        def learn(record: OvenRecord, how: Solver = solver) -> None:
            calibrate(record, solver=how)

        def oven_part(advise: bool, how: Solver = solver) -> None:
            four_tiers(how, advise)

        one(small)
        found.append((f"one bake, 229 x 17.5 mm, {name}", best_ms(lambda: one(small)), "ms"))
        found.append((f"one bake, 229 x 30 mm, {name}", best_ms(lambda: one(deep)), "ms"))
        found.append((f"learning from one done-time, {name}", best_ms(lambda: learn(_record(done)), 3), "ms"))
        found.append((f"learning from one log, {name}", best_ms(lambda: learn(_record(log)), 3), "ms"))
        found.append((f"oven part of four tiers, 8 pans, {name}", best_ms(lambda: oven_part(False), 3), "ms"))
        found.append((f"the same with advice on large pans, {name}", best_ms(lambda: oven_part(True), 2), "ms"))
    return found


def _record(one: DoneTime | ProbeRecord) -> OvenRecord:
    return OvenRecord(oven="oven", evidence=(one,))
