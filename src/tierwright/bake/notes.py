"""What a bake has to say beside its numbers: figures with their working, questions, cautions, defaults."""

from __future__ import annotations

from typing import Final

from tierwright.bake.model import Aids, BakingPan, Batter, Option, OvenSetting, Trial
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Estimate,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

SHEET: Final = "bakes"
HEAT_SOURCE: Final = Source(
    basis=Basis.PUBLISHED,
    text="Choi and Okos 1986 (properties); Maxwell 1873 and Krischer (pores, vapour); McAdams 1954 (films); "
    "finite volumes",
)
DONE_SOURCE: Final = Source(
    basis=Basis.COMMON_PRACTICE, text="96 to 99 degC by the sea; 2 K under boiling water, IAPWS R7-97 and ISA 1976"
)
UNDER_SET_C: Final = 92.0
"""Core temperature under which the setting of sweet crumb is in doubt: egg sets from about 80 degC, starch in
high-sugar batters up to 100 degC (Shelke, Faubion and Hoseney 1990, Cereal Chem 67:575). [degC]"""

HOT_CAUTIONS: Final = (
    Caution(
        key="bake.hot_oven",
        sheet=SHEET,
        step="open the oven",
        text="Stand aside of the door and let the steam out first; dry gloves for pans, racks and heating cores.",
        reason="Steam and hot metal burn; wet cloth carries the heat through.",
        source=COMMON_PRACTICE,
    ),
    Caution(
        key="bake.raw_batter",
        sheet=SHEET,
        step="fill the pans",
        text="Do not taste raw batter; wash hands, bowls and bench before anything that is baked touches them.",
        reason="Raw flour and raw egg can carry Salmonella and E. coli.",
        source=Source(basis=Basis.PUBLISHED, text="FDA and CDC consumer guidance on raw flour and raw egg"),
    ),
)


def bake_notes(
    pan: BakingPan,
    batter: Batter,
    setting: OvenSetting,
    aids: Aids,
    trial: Trial,
    done: Estimate | None,
    overflow: bool,
    options: tuple[Option, ...],
) -> Notes:
    """Return everything that is said about one bake."""
    place = f"bake.{pan.key}"
    return Notes(
        figures=_figures(place, pan, batter, setting, trial, done),
        questions=_questions(place, pan, batter, setting, trial, done, overflow, options),
        cautions=HOT_CAUTIONS,
        assumptions=_assumptions(place, pan, batter, setting, aids),
    )


def _figures(
    place: str, pan: BakingPan, batter: Batter, setting: OvenSetting, trial: Trial, done: Estimate | None
) -> tuple[Figure, ...]:
    inputs = (
        Given(name="pan", value=f"{pan.outline.describe()}, {pan.height_mm:.0f} mm high, {pan.finish}"),
        Given(name="batter", value=round(batter.batter_g, 1), unit="g"),
        Given(name="specific gravity", value=batter.specific_gravity),
        Given(name="set point", value=setting.set_point_c, unit="degC"),
        Given(name="oven mode", value=setting.mode.value),
        Given(name="oven factor", value=setting.factor),
        Given(name="oven offset", value=setting.offset_c, unit="degC"),
        Given(name="altitude", value=setting.altitude_m, unit="m"),
    )
    figures = [
        Figure(
            key=f"{place}.depth_mm",
            label="batter depth",
            value=round(trial.depth_mm, 1),
            unit="mm",
            equation="batter mass / (specific gravity x density of water x pan area)",
            inputs=inputs[:3],
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure(
            key=f"{place}.core_c",
            label="core temperature at done",
            value=round(trial.target_c, 1),
            unit="degC",
            equation="boiling point of water at this altitude - 2 K",
            inputs=inputs[-1:],
            source=DONE_SOURCE,
            sheet=SHEET,
        ),
        Figure(
            key=f"{place}.weight_loss",
            label="weight lost in the oven",
            value=round(100.0 * trial.weight_loss, 1),
            unit="%",
            equation="water boiled off and evaporated / batter mass",
            inputs=inputs,
            source=HEAT_SOURCE,
            sheet=SHEET,
        ),
        Figure.of(
            Estimate(
                value=trial.dome_mm,
                low=0.5 * trial.dome_mm,
                high=1.5 * trial.dome_mm,
            ),
            key=f"{place}.dome_mm",
            label="dome to trim",
            unit="mm",
            equation="batter stays level until it sets at 85 degC; the edge sets first",
            inputs=inputs,
            source=Source(basis=Basis.FROM_MEMORY, text="a balance of volume, half its value either way"),
            sheet=SHEET,
        ),
    ]
    if done is not None:
        figures.append(
            Figure.of(
                done,
                key=f"{place}.done_min",
                label="time in the oven",
                unit="min",
                equation="first moment when the coldest crumb below 3/4 of the height reaches the core temperature",
                inputs=inputs,
                source=HEAT_SOURCE,
                sheet=SHEET,
            )
        )
    return tuple(figures)


def _questions(
    place: str,
    pan: BakingPan,
    batter: Batter,
    setting: OvenSetting,
    trial: Trial,
    done: Estimate | None,
    overflow: bool,
    options: tuple[Option, ...],
) -> tuple[Question, ...]:
    found: list[Question] = []
    if done is None:
        found.append(
            Question(
                key=f"{place}.not_reached",
                severity=Severity.STOP,
                sheet=SHEET,
                text=f"The middle of {pan.key} never reaches {trial.target_c:.0f} degC in this oven.",
                reason="The oven is too cool for the water that the top gives off, or the batter is too deep.",
                figure=f"oven {setting.oven_c:.0f} degC",
                change="set the oven higher, or put less batter in the pan",
            )
        )
    if overflow:
        fits = batter.batter_g * pan.height_mm / max(trial.centre_height_mm, batter.rise * trial.depth_mm)
        found.append(
            Question(
                key=f"{place}.overflow",
                severity=Severity.STOP,
                sheet=SHEET,
                text=f"The batter in {pan.key} rises over the rim.",
                reason=f"{trial.depth_mm:.0f} mm of batter rises to {batter.rise * trial.depth_mm:.0f} mm in a pan of "
                f"{pan.height_mm:.0f} mm.",
                figure=f"{trial.centre_height_mm:.0f} mm",
                change=f"fill at most {fits:.0f} g, or line the side with a collar",
            )
        )
    elif trial.centre_height_mm > pan.height_mm:
        found.append(
            Question(
                key=f"{place}.dome_over_rim",
                severity=Severity.NOTE,
                sheet=SHEET,
                text=f"The middle of {pan.key} stands over the rim, the edge does not.",
                reason="A dome above the rim is safe but cannot be levelled against it.",
                figure=f"{trial.centre_height_mm:.0f} mm",
            )
        )
    if trial.target_c < UNDER_SET_C:
        found.append(
            Question(
                key=f"{place}.under_set",
                severity=Severity.ASK,
                sheet=SHEET,
                text="Has this formula set properly at this altitude before?",
                reason="Water boils too low for the core to pass the temperature at which starch in sweet batter sets; "
                "a sugary crumb may stay gummy or sink.",
                figure=f"{trial.target_c:.0f} degC",
                change="less sugar, more egg or flour; bake a trial layer first",
            )
        )
    advised = [option for option in options if option.advised]
    if done is not None and advised:
        best = min(advised, key=lambda option: option.rim_wait_min)
        found.append(
            Question(
                key=f"{place}.edge_waits",
                severity=Severity.ASK,
                sheet=SHEET,
                text=f"The side of {pan.key} is done {trial.rim_wait_min:.0f} min before its middle. Bake it so?",
                reason="The edge dries while the middle catches up.",
                figure=f"{trial.rim_wait_min:.0f} min",
                change=f"{best.label}: the side then waits {best.rim_wait_min:.0f} min",
            )
        )
    if setting.calibrated == 0:
        found.append(
            Question(
                key=f"{place}.oven_unknown",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="Write down when it was really done; this oven has no record yet.",
                reason="Ovens differ; one done-time narrows every later range from about 15 to 6 %.",
            )
        )
    return tuple(found)


def _assumptions(
    place: str, pan: BakingPan, batter: Batter, setting: OvenSetting, aids: Aids
) -> tuple[Assumption, ...]:
    found = [
        Assumption(
            key=f"{place}.rise",
            text="finished height over batter depth",
            value=f"{batter.rise:g}",
            source=Source(basis=Basis.COMMON_PRACTICE, text="0.85 batter to 0.45 cake, American Society of Baking"),
        ),
        Assumption(
            key=f"{place}.pan_finish",
            text="how the pan's outside takes up radiation",
            value=pan.finish,
            source=Source(basis=Basis.PUBLISHED, text="Incropera and DeWitt, table A.11"),
        ),
        Assumption(
            key=f"{place}.preheated",
            text="the oven has reached its set point and the pan stands on a rack with air all round",
            value="yes",
            source=COMMON_PRACTICE,
        ),
    ]
    if setting.calibrated == 0:
        found.append(
            Assumption(
                key=f"{place}.factor",
                text="oven factor, without a record of this oven",
                value=f"{setting.factor:g}",
                source=Source(basis=Basis.PUBLISHED, text="Baik et al. 1999: coefficients of a cake oven"),
            )
        )
    if aids.strip:
        found.append(
            Assumption(
                key=f"{place}.strip",
                text="insulating strip, water in it not counted",
                value="0.05 m2 K/W",
                source=Source(basis=Basis.FROM_MEMORY, text="2 mm of felt"),
            )
        )
    if aids.core:
        found.append(
            Assumption(
                key=f"{place}.core",
                text="heating core",
                value="40 mm wide, 1 mm aluminium, full of batter",
                source=COMMON_PRACTICE,
            )
        )
    return tuple(found)
