"""What a pot of syrup has to say beside its numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tierwright.sugar.cautions import HONEY_INFANTS, SHEET, hot_caramel, hot_sugar
from tierwright.sugar.cooking import Burner, Cook, Pan
from tierwright.sugar.crystals import CrystalRisk, Crystals
from tierwright.sugar.mix import Line, Mix
from tierwright.sugar.syrup_model import Target
from tierwright.sugar.thermometer import Thermometer
from tierwright.sugar.told import degrees, step
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

BOILING_SOURCE: Final = Source(
    basis=Basis.PUBLISHED,
    text="Starzak and Peacock 1997, Zuckerindustrie 122, 380 (sucrose); Norrish 1966 (other sugars); IAPWS R7-97(2012)",
)
RULE_SOURCE: Final = Source(
    basis=Basis.COMMON_PRACTICE, text="1 C off for each 1000 ft; McGee, On Food and Cooking, sugar syrups"
)


def syrup_notes(
    name: str,
    lines: Sequence[Line],
    start: Mix,
    target: Target,
    cook: Cook | None,
    crystals: Crystals | None,
    altitude_m: float,
    pressure_pa: float,
    thermometer: Thermometer | None,
    pan: Pan | None,
    burner: Burner | None,
) -> Notes:
    """
    Figures, questions, cautions and assumptions of one pot.

    Parameters
    ----------
    name
        Short name for the keys.
    lines, start
        What goes in, and the pot it makes.
    target, cook, crystals
        What was found for it.
    altitude_m, pressure_pa
        Where it is cooked. [m], [Pa]
    thermometer, pan, burner
        The kitchen's own; None where a default was used.

    Returns
    -------
    notes
        Hot-sugar cautions stand at the step ``pot``.
    """
    figures = [
        Figure.of(
            target.true_c,
            key=f"syrup.{name}.target_c",
            label=f"{target.label}: true temperature here",
            unit="C",
            equation="temperature at which water activity of the wanted solids times the vapour pressure of water "
            "equals the air's pressure",
            source=BOILING_SOURCE,
            sheet=SHEET,
            inputs=(
                Given(name="altitude", value=altitude_m, unit="m"),
                Given(name="air pressure", value=pressure_pa, unit="Pa"),
                Given(name="by the sea", value=target.sea_level_c, unit="C"),
                Given(name="solids", value="past the boil" if target.solids_share is None else target.solids_share),
            ),
        ),
        Figure.of(
            target.reading_c,
            key=f"syrup.{name}.reading_c",
            label="Wait for this on your thermometer",
            unit="C",
            equation="true temperature + what your thermometer showed in boiling water - where water boils here",
            source=COMMON_PRACTICE,
            sheet=SHEET,
        ),
        Figure(
            key=f"syrup.{name}.rule_c",
            label="What the rule of 1 C for each 1000 ft would say",
            value=target.rule_c,
            unit="C",
            equation="by the sea - altitude / 1000 ft",
            source=RULE_SOURCE,
            sheet=SHEET,
        ),
    ]
    if cook is not None:
        figures += [
            Figure(
                key=f"syrup.{name}.water_off_g",
                label="Water to boil off",
                value=cook.water_off_g,
                unit="g",
                equation="water at the start - solids x (1 - share) / share",
                source=ARITHMETIC,
                sheet=SHEET,
            ),
            Figure(
                key=f"syrup.{name}.yield_g",
                label="Yield in the pot",
                value=cook.yield_g,
                unit="g",
                equation="start weight - water boiled off",
                source=ARITHMETIC,
                sheet=SHEET,
            ),
            Figure.of(
                cook.total_min,
                key=f"syrup.{name}.total_min",
                label="Time from cold to target",
                unit="min",
                equation="(heat into syrup + steam + pan + room) / (burner power x efficiency)",
                source=Source(basis=Basis.PUBLISHED, text="energy balance; latent heat IAPWS; burner efficiency DOE"),
                sheet=SHEET,
            ),
        ]
    return Notes(
        figures=tuple(figures),
        questions=_questions(name, start, target, crystals, thermometer),
        cautions=_cautions(lines, target),
        assumptions=_assumptions(name, thermometer, pan, burner),
    )


def _cautions(lines: Sequence[Line], target: Target) -> tuple[Caution, ...]:
    cautions = list(hot_sugar("pot", hottest_c=target.true_c.value))
    if target.true_c.value >= 160.0:
        cautions.append(hot_caramel("pot"))
    if any(line.ingredient == "honey" and line.grams > 0 for line in lines):
        cautions.append(HONEY_INFANTS)
    return tuple(cautions)


def _questions(
    name: str, start: Mix, target: Target, crystals: Crystals | None, thermometer: Thermometer | None
) -> tuple[Question, ...]:
    found: list[Question] = []
    if thermometer is None or thermometer.boiling_reading_c is None:
        found.append(
            Question(
                key=f"syrup.{name}.thermometer",
                severity=Severity.ASK,
                sheet=SHEET,
                text="What does your thermometer show in plain boiling water?",
                reason="A kitchen thermometer may be off by several degrees, which is a whole stage.",
                figure=f"water boils at {degrees(target.water_boils_c, 1)} here",
                change="Boil water for a minute, read it, and enter the reading.",
            )
        )
    if crystals is not None and crystals.risk is CrystalRisk.HIGH:
        found.append(
            Question(
                key=f"syrup.{name}.grain",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="Nothing in the pot keeps this syrup from turning grainy; is that meant?",
                reason="Plain sugar above saturation grains from one crystal on the side of the pot.",
                figure=f"{crystals.supersaturation:.1f} times what the water holds at {degrees(20)}",
                change="A fifth of the sugar as glucose syrup, or a pinch of acid.",
            )
        )
    if start.reducing_share > 0.3 and target.true_c.value > 110.0:
        found.append(
            Question(
                key=f"syrup.{name}.other_sugars",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="Check the first batch by the cold-water test.",
                reason="More than 30 % of the solids is not sucrose; their constants were measured at 25 C.",
                figure=f"{start.reducing_share * 100:.0f} % reducing sugars",
            )
        )
    if start.inert_g > 0.02 * start.total_g and target.true_c.value > 112.0:
        found.append(
            Question(
                key=f"syrup.{name}.scorch",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="Stir the bottom all the time and lower the flame towards the end.",
                reason="Milk solids and fruit catch on the bottom long before the syrup is hot enough.",
                figure=f"breaks down near {degrees(start.highest_c)}",
            )
        )
    return tuple(found)


def _assumptions(
    name: str, thermometer: Thermometer | None, pan: Pan | None, burner: Burner | None
) -> tuple[Assumption, ...]:
    used: list[Assumption] = []
    if thermometer is None:
        used.append(
            Assumption(
                key=f"syrup.{name}.thermometer",
                text="The thermometer was not checked",
                value=f"may be off by {step(2)} either way",
                source=COMMON_PRACTICE,
            )
        )
    if pan is None:
        used.append(
            Assumption(
                key=f"syrup.{name}.pan",
                text="The pan",
                value="stainless steel, 1200 g, 180 mm wide, 100 mm high",
                source=COMMON_PRACTICE,
            )
        )
    if burner is None:
        used.append(
            Assumption(key=f"syrup.{name}.burner", text="The burner", value="electric, 1500 W", source=COMMON_PRACTICE)
        )
    return tuple(used)
