"""The target for a pot of syrup in this kitchen, on this thermometer, and what to know before the burner is lit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tierwright.errors import MissingData, OutOfRange, require_range
from tierwright.sugar.activity import HOTTEST_C, water_activity
from tierwright.sugar.boiling import boiling_c, boiling_range, solids_at
from tierwright.sugar.cautions import HONEY_INFANTS, SHEET, hot_caramel, hot_sugar
from tierwright.sugar.cooking import Burner, Cook, Pan, boil_down
from tierwright.sugar.crystals import CrystalRisk, Crystals, crystal_risk
from tierwright.sugar.mix import Line, Mix, mix_of
from tierwright.sugar.properties import Flow, density_g_ml, flow_class
from tierwright.sugar.stages import Stage, stage, stage_near
from tierwright.sugar.thermometer import Thermometer, reading_at
from tierwright.units import FOOT_M
from tierwright.water import SEA_LEVEL_PA, air_pressure_pa, boiling_point_c
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

BOILING_SOURCE: Final = Source(
    basis=Basis.PUBLISHED,
    text="Starzak and Peacock 1997, Zuckerindustrie 122, 380 (sucrose); Norrish 1966 (other sugars); IAPWS R7-97(2012)",
)
RULE_SOURCE: Final = Source(
    basis=Basis.COMMON_PRACTICE, text="1 C off for each 1000 ft; McGee, On Food and Cooking, sugar syrups"
)
RULE_C_PER_1000_FT: Final = 1.0
# Carrying a stage to another height by solids trusts the model only for how the rise changes with pressure.
CARRY_DOUBT_C: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class SyrupState:
    """
    A syrup at a temperature.

    Attributes
    ----------
    solids_share
        Dissolved solids of the solution; a refractometer shows it times 100 as Brix. [1]
    water_activity
        At the temperature asked for. [1]
    density_g_ml
        [g/ml]
    flow
        How it pours.
    boils_c
        Where it boils under this air, with the span in which tables part. [C]
    crystals
        Whether it turns grainy at that temperature.
    """

    solids_share: float
    water_activity: float
    density_g_ml: float
    flow: Flow
    boils_c: Estimate
    crystals: Crystals


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """
    Where to stop the pot.

    Attributes
    ----------
    label
        The stage's name, or the solids in words.
    solids_share
        Solids of the solution there; None past the boil, where no water is left to reckon with. [1]
    sea_level_c
        Where the same syrup would stand by the sea. [C]
    true_c
        Where it stands in this kitchen. [C]
    stage_low_c, stage_high_c
        The stage's span carried to this kitchen; both equal to ``true_c`` where solids were asked for. [C]
    reading_c
        What to wait for on this kitchen's thermometer. [C]
    water_boils_c
        Plain water here. [C]
    rule_c
        What the rule of 1 C for each 1000 ft would say. [C]
    rule_difference_c
        That, less ``true_c``. [C]
    cold_water_test
        The stage's test by hand.
    """

    label: str
    solids_share: float | None
    sea_level_c: float
    true_c: Estimate
    stage_low_c: float
    stage_high_c: float
    reading_c: Estimate
    water_boils_c: float
    rule_c: float
    rule_difference_c: float
    cold_water_test: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SyrupPlan:
    """What syrup answers: where to stop, how long it takes, what is left, and what to mind."""

    name: str
    start: Mix
    target: Target
    cook: Cook | None
    crystals: Crystals | None
    volume_ml: float | None
    altitude_m: float
    pressure_pa: float
    notes: Notes


def syrup_state(mix: Mix, *, temperature_c: float = 20.0, pressure_pa: float = SEA_LEVEL_PA) -> SyrupState:
    """
    Describe a syrup as it stands: a soaking syrup, a simple syrup, a bottle from the shelf.

    Parameters
    ----------
    mix
        The syrup.
    temperature_c
        Its temperature. [C], 0 to 100
    pressure_pa
        Air pressure, for its boiling point. [Pa]

    Returns
    -------
    state
        Solids, water activity, density, flow, boiling point and graininess.
    """
    require_range("temperature", temperature_c, 0.0, 100.0, "C")
    pairs = [(part.solute, part.grams) for part in mix.dissolved]
    return SyrupState(
        solids_share=mix.solids_share,
        water_activity=float(water_activity(pairs, mix.water_g, temperature_c, mix.salt_g)),
        density_g_ml=float(density_g_ml(mix.solids_share, temperature_c)),
        flow=flow_class(mix.solids_share, temperature_c),
        boils_c=boiling_range(mix, pressure_pa),
        crystals=crystal_risk(mix, kept_at_c=temperature_c),
    )


def find_target(
    mix: Mix,
    *,
    altitude_m: float,
    stage_key: str = "",
    solids_share: float | None = None,
    sea_level_c: float | None = None,
    thermometer: Thermometer | None = None,
    pressure_pa: float | None = None,
) -> Target:
    """
    Where to stop a pot in this kitchen: by its solids, not by shifting a number.

    Parameters
    ----------
    mix
        The sugars in the pot; its present water does not matter.
    altitude_m
        Height of the kitchen. [m], -500 to 6000
    stage_key
        A stage of the table, such as ``soft-ball``, its middle is aimed at; or
    solids_share
        wanted solids of the solution [1], 0.001 to 0.98; or
    sea_level_c
        a recipe's temperature, valid by the sea. [C]
    thermometer
        The maker's own thermometer as checked; an unchecked one if None.
    pressure_pa
        Measured air pressure in place of the standard day's. [Pa]

    Returns
    -------
    target
        True temperature, the reading to wait for, and what the rule of thumb would say.

    Raises
    ------
    MissingData
        Not exactly one of the three wishes given.
    UnknownName
        No such stage.
    OutOfRange
        A height, solids or temperature that cannot be computed, or above the breakdown of one of the sugars.

    Notes
    -----
    A stage is a texture, a texture is a water content, and the same water content boils cooler under thinner air. Past
    160 C no water boils any more: those stages are heat alone and do not move with height.

    References
    ----------
    .. [1] Starzak and Peacock 1997, Zuckerindustrie 122, 380; IAPWS R7-97(2012); U.S. Standard Atmosphere 1976.
    """
    if sum((bool(stage_key), solids_share is not None, sea_level_c is not None)) != 1:
        raise MissingData("exactly one of a stage, solids or a sea-level temperature", "a syrup's target")
    standard_pa = air_pressure_pa(altitude_m)
    here_pa = standard_pa if pressure_pa is None else pressure_pa
    water_c = boiling_point_c(here_pa)
    row = stage(stage_key) if stage_key else None
    if row is not None:
        sea_level_c = (row.low_c + row.high_c) / 2
    rule_shift = RULE_C_PER_1000_FT * altitude_m / (1000.0 * FOOT_M)
    if sea_level_c is not None:
        require_range("temperature, against the breakdown of these sugars,", sea_level_c, 90.0, mix.highest_c, "C")
        if sea_level_c > HOTTEST_C or (row is not None and not row.boils):
            return _past_boil(sea_level_c, row, water_c, rule_shift, thermometer, here_pa)
        solids = solids_at(mix, sea_level_c, SEA_LEVEL_PA)
        sea = sea_level_c
        true = boiling_c(mix.at_share(solids), here_pa)
        doubt = CARRY_DOUBT_C if abs(true - sea) > 0.05 else 0.0
        estimate = Estimate(value=true, low=true - doubt, high=true + doubt)
    else:
        assert solids_share is not None
        solids = solids_share
        pot = mix.at_share(solids)
        sea = boiling_c(pot, SEA_LEVEL_PA)
        estimate = boiling_range(pot, here_pa)
    breaks_c = mix.highest_c
    require_range("temperature, against the breakdown of these sugars,", estimate.value, 0.0, breaks_c, "C")
    low = high = estimate.value
    if row is not None:
        low, high = (boiling_c(mix.at_share(solids_at(mix, c, SEA_LEVEL_PA)), here_pa) for c in (row.low_c, row.high_c))
    return Target(
        label=row.label if row else f"{solids * 100:.1f} % solids, {stage_near(sea)}",
        solids_share=solids,
        sea_level_c=sea,
        true_c=estimate,
        stage_low_c=low,
        stage_high_c=high,
        reading_c=_reading(estimate, thermometer, here_pa),
        water_boils_c=water_c,
        rule_c=sea - rule_shift,
        rule_difference_c=sea - rule_shift - estimate.value,
        cold_water_test=row.cold_water_test if row else "",
    )


def _past_boil(
    wanted_c: float,
    row: Stage | None,
    water_c: float,
    rule_shift: float,
    thermometer: Thermometer | None,
    pressure_pa: float,
) -> Target:
    exact = Estimate.exact(wanted_c)
    return Target(
        label=row.label if row else f"{wanted_c:.0f} C, {stage_near(wanted_c)}",
        solids_share=None,
        sea_level_c=wanted_c,
        true_c=exact,
        stage_low_c=row.low_c if row else wanted_c,
        stage_high_c=row.high_c if row else wanted_c,
        reading_c=_reading(exact, thermometer, pressure_pa),
        water_boils_c=water_c,
        rule_c=wanted_c - rule_shift,
        rule_difference_c=-rule_shift,
        cold_water_test=row.cold_water_test if row else "",
    )


def _reading(true: Estimate, thermometer: Thermometer | None, pressure_pa: float) -> Estimate:
    # The thermometer's doubt alone: the target's own doubt is told with the true temperature.
    return reading_at(true.value, thermometer or Thermometer(), pressure_pa)


def plan_syrup(
    lines: Sequence[Line],
    *,
    altitude_m: float,
    stage_key: str = "",
    solids_share: float | None = None,
    sea_level_c: float | None = None,
    thermometer: Thermometer | None = None,
    pan: Pan | None = None,
    burner: Burner | None = None,
    start_c: float = 20.0,
    room_c: float = 20.0,
    pressure_pa: float | None = None,
    acid: bool = False,
    name: str = "syrup",
) -> SyrupPlan:
    """
    Plan one pot: target on this kitchen's thermometer, water to boil off, yield, time, graininess and cautions.

    Parameters
    ----------
    lines
        Start weights. [g]
    altitude_m
        Height of the kitchen. [m], -500 to 6000
    stage_key, solids_share, sea_level_c
        One wish, as in ``find_target``. [-], [1], [C]
    thermometer, pan, burner
        The kitchen's own; defaults are listed among the assumptions.
    start_c, room_c
        Temperatures of the start and of the room. [C]
    pressure_pa
        Measured air pressure in place of the standard day's. [Pa]
    acid
        Whether lemon juice or cream of tartar goes in.
    name
        Short name that goes into the keys of the figures.

    Returns
    -------
    plan
        Everything for one page; ``cook`` is None where the pot is past the boil.

    Raises
    ------
    OutOfRange
        More water in the target than in the pot, or a wish that cannot be computed.
    """
    start = mix_of(lines)
    target = find_target(
        start,
        altitude_m=altitude_m,
        stage_key=stage_key,
        solids_share=solids_share,
        sea_level_c=sea_level_c,
        thermometer=thermometer,
        pressure_pa=pressure_pa,
    )
    here_pa = air_pressure_pa(altitude_m) if pressure_pa is None else pressure_pa
    cook: Cook | None = None
    crystals: Crystals | None = None
    volume: float | None = None
    if target.solids_share is not None:
        if target.solids_share < start.solids_share:
            raise OutOfRange(
                "solids wanted (the pot already holds more; add water)",
                target.solids_share,
                start.solids_share,
                0.98,
                "of the solution",
            )
        cook = boil_down(
            start,
            target.solids_share,
            here_pa,
            pan=pan or Pan(),
            burner=burner or Burner(),
            start_c=start_c,
            room_c=room_c,
        )
        end = start.at_share(target.solids_share)
        acid = acid or any(line.ingredient in ("cream-of-tartar", "lemon-juice") and line.grams > 0 for line in lines)
        crystals = crystal_risk(end, acid=acid)
        volume = (end.total_g - end.inert_g) / float(density_g_ml(end.solids_share, min(target.true_c.value, 160.0)))
        volume += end.inert_g / 0.92
    notes = _notes(name, lines, start, target, cook, crystals, altitude_m, here_pa, thermometer, pan, burner)
    return SyrupPlan(
        name=name,
        start=start,
        target=target,
        cook=cook,
        crystals=crystals,
        volume_ml=volume,
        altitude_m=altitude_m,
        pressure_pa=here_pa,
        notes=notes,
    )


def _notes(
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
                figure=f"water boils at {target.water_boils_c:.1f} C here",
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
                figure=f"{crystals.supersaturation:.1f} times what the water holds at 20 C",
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
                figure=f"breaks down near {start.highest_c:.0f} C",
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
                value="may be off by 2 C either way",
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
