"""Meringues: heat that the whites really got, volume, water, and whether the batch counts as heat-treated."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tierwright.errors import MissingData, require_range
from tierwright.sugar.activity import solute, water_activity
from tierwright.sugar.holding import Holding, faults_of
from tierwright.sugar.lethality import TARGET_LOGS, egg_limits, meets, time_at_or_above, white_kill
from tierwright.sugar.meringue_model import (
    HeatVerdict,
    LimitCheck,
    MeringueKind,
    MeringuePlan,
    Whites,
    foam_kinds,
)
from tierwright.sugar.meringue_notes import meringue_notes
from tierwright.sugar.mix import Line
from tierwright.sugar.pouring import Bowl, Pour, pour_syrup
from tierwright.sugar.properties import density_g_ml
from tierwright.sugar.syrup import plan_syrup
from tierwright.sugar.syrup_model import SyrupPlan
from tierwright.sugar.thermometer import Thermometer, reading_at
from tierwright.sugar.told import degrees
from tierwright.water import air_pressure_pa
from tierwright.working import Estimate, Notes

# USDA FoodData Central, egg white, raw: shares of its mass; salt from its sodium.
WHITE_WATER: Final = 0.876
WHITE_SALT: Final = 0.0042
WHITE_DENSITY: Final = 1.035  # g/ml, textbook
COOKED_SYRUP_SEA_C: Final = 116.7
"""242 F: common practice for a boiled-sugar meringue by the sea. [C]"""
SYRUP_WATER_SHARE: Final = 0.30
"""Water to start a syrup with, against its sugar; common practice. [1]"""
SAFE_C: Final = 71.1


def plan_meringue(
    kind: MeringueKind,
    *,
    whites: Whites,
    whites_g: float,
    sugar_g: float,
    altitude_m: float = 0.0,
    dry_sugar_g: float = 0.0,
    syrup_water_g: float | None = None,
    syrup_sea_level_c: float = COOKED_SYRUP_SEA_C,
    whites_c: float = 20.0,
    bowl: Bowl | None = None,
    pour_s: float = 45.0,
    warmed_to_c: float | None = None,
    held_s: float = 0.0,
    room_c: float = 21.0,
    humidity_share: float = 0.5,
    acid: bool = True,
    thermometer: Thermometer | None = None,
    cup_weight_g_ml: float | None = None,
    name: str = "meringue",
) -> MeringuePlan:
    """
    Plan a meringue and judge its heat.

    Parameters
    ----------
    kind
        Boiled, warmed, raw or cooked over steam.
    whites
        Fresh, pasteurised or dried.
    whites_g
        Whites, dried ones as made up. [g], 10 to 20 000
    sugar_g
        All of the sugar. [g]
    altitude_m
        Height of the kitchen. [m], -500 to 6000
    dry_sugar_g
        Part of the sugar that goes dry into the whites of a boiled kind. [g]
    syrup_water_g
        Water to start the syrup with; 30 % of its sugar if None. [g]
    syrup_sea_level_c
        The recipe's syrup temperature, by the sea. [C]
    whites_c
        Whites at the pour. [C]
    bowl
        The bowl; stainless steel of 900 g if None.
    pour_s
        Length of the pour. [s]
    warmed_to_c, held_s
        For the warmed and the steamed kind: temperature measured in the mix, and how long it is held. [C], [s]
    room_c, humidity_share
        Air of the room. [C], [1]
    acid
        Whether cream of tartar or lemon goes in.
    thermometer
        The maker's own, as checked.
    cup_weight_g_ml
        The maker's own density of the foam, weighed in a cup, in place of the table's. [g/ml]
    name
        Short name for the keys of the figures.

    Returns
    -------
    plan
        Heat, verdict, volume, water and notes.

    Raises
    ------
    MissingData
        A warmed or steamed kind without the temperature that it is warmed to.
    OutOfRange
        Masses, temperatures or humidity outside their spans.
    """
    require_range("whites", whites_g, 10.0, 20_000.0, "g")
    require_range("sugar against whites", sugar_g / whites_g, 0.25, 4.0, "by mass")
    require_range("sugar that goes dry into the whites", dry_sugar_g, 0.0, sugar_g, "g")
    require_range("humidity", humidity_share, 0.0, 1.0, "of saturation")
    syrup: SyrupPlan | None = None
    pour: Pour | None = None
    if kind is MeringueKind.ITALIAN:
        syrup, pour = _boil_and_pour(
            whites_g=whites_g,
            whites_c=whites_c,
            sugar_g=sugar_g,
            dry_sugar_g=dry_sugar_g,
            syrup_water_g=syrup_water_g,
            syrup_sea_level_c=syrup_sea_level_c,
            altitude_m=altitude_m,
            bowl=bowl or Bowl(),
            pour_s=pour_s,
            room_c=room_c,
            thermometer=thermometer,
            name=name,
        )
        hottest, cautious = pour.peak_c, pour.cautious
        boiled_water = (
            syrup.start.solids_g * (1.0 - (syrup.target.solids_share or 1.0)) / (syrup.target.solids_share or 1.0)
        )
    else:
        hottest, cautious = _warmed(kind, whites_c, warmed_to_c, held_s)
        boiled_water = 0.0
    water = whites_g * WHITE_WATER + boiled_water
    mass = whites_g + sugar_g + boiled_water
    activity = float(water_activity({solute("sucrose"): sugar_g}, water, 20.0, whites_g * WHITE_SALT))
    density = _density(kind, cup_weight_g_ml)
    volume = Estimate(value=mass / density.value, low=mass / density.high, high=mass / density.low)
    flat = mass / (whites_g / WHITE_DENSITY + (sugar_g + boiled_water) / float(density_g_ml(0.8)))
    overrun = Estimate(
        value=(flat / density.value - 1.0) * 100.0,
        low=(flat / density.high - 1.0) * 100.0,
        high=(flat / density.low - 1.0) * 100.0,
    )
    sugar_share = sugar_g / mass
    logs = white_kill(cautious, sugar_share=sugar_share)
    checks = tuple(LimitCheck(limit=row, met=meets(row, cautious)) for row in egg_limits().values())
    verdict = _verdict(kind, whites, checks)
    pressure = air_pressure_pa(altitude_m)
    treated = verdict in (HeatVerdict.PASTEURISED, HeatVerdict.IF_MEASURED)
    plan = MeringuePlan(
        kind=kind,
        whites=whites,
        whites_g=whites_g,
        mass_g=mass,
        sugar_to_white=sugar_g / whites_g,
        water_share=water / mass,
        sugar_share=sugar_share,
        water_activity=activity,
        density_g_ml=density,
        overrun_percent=overrun,
        volume_ml=volume,
        syrup=syrup,
        pour=pour,
        hottest_c=hottest,
        seconds_above_60=time_at_or_above(cautious, 60.0),
        logs=logs,
        verdict=verdict,
        verdict_text=_told(kind, verdict, hottest, logs, checks),
        reading_needed_c=reading_at(SAFE_C, thermometer or Thermometer(), pressure),
        checks=checks,
        holding=Holding(
            # 0.02 for sugar left undissolved or unevenly so, and for the model.
            water_activity=Estimate(value=activity, low=activity - 0.02, high=min(1.0, activity + 0.02)),
            ph=Estimate(value=6.8, low=5.5, high=8.0) if acid else Estimate(value=8.5, low=7.6, high=9.3),
            sugar_share=sugar_share,
            contains_egg=True,
            egg_heat_treated=treated,
            contains_dairy=False,
        ),
        faults=faults_of("meringue", kind.value),
        notes=Notes(),
    )
    said = meringue_notes(plan, name=name, own_bowl=bowl is not None, humidity_share=humidity_share, acid=acid)
    return replace(plan, notes=said)


def _boil_and_pour(
    *,
    whites_g: float,
    whites_c: float,
    sugar_g: float,
    dry_sugar_g: float,
    syrup_water_g: float | None,
    syrup_sea_level_c: float,
    altitude_m: float,
    bowl: Bowl,
    pour_s: float,
    room_c: float,
    thermometer: Thermometer | None,
    name: str,
) -> tuple[SyrupPlan, Pour]:
    boiled = sugar_g - dry_sugar_g
    water = boiled * SYRUP_WATER_SHARE if syrup_water_g is None else syrup_water_g
    syrup = plan_syrup(
        [Line(ingredient="sugar", grams=boiled), Line(ingredient="water", grams=water)],
        altitude_m=altitude_m,
        sea_level_c=syrup_sea_level_c,
        thermometer=thermometer,
        room_c=room_c,
        name=name,
    )
    if syrup.cook is None or syrup.target.solids_share is None:
        raise MissingData("a syrup that still boils", "a boiled-sugar meringue")
    pour = pour_syrup(
        whites_g=whites_g,
        whites_c=whites_c,
        syrup_g=syrup.cook.yield_g,
        syrup_share=syrup.target.solids_share,
        syrup_c=syrup.target.true_c.value,
        bowl=bowl,
        pour_s=pour_s,
        dry_sugar_g=dry_sugar_g,
        room_c=room_c,
    )
    return syrup, pour


def _warmed(
    kind: MeringueKind, whites_c: float, warmed_to_c: float | None, held_s: float
) -> tuple[Estimate, tuple[tuple[float, float], ...]]:
    """History of the warmed kinds: only the hold is counted, since nobody measures the way there and back."""
    if kind is MeringueKind.FRENCH:
        return Estimate.exact(whites_c), ((0.0, whites_c), (60.0, whites_c))
    if warmed_to_c is None:
        raise MissingData("the temperature that the mix is warmed to", f"a {kind.value} meringue")
    require_range("temperature of the warmed mix", warmed_to_c, 30.0, 80.0, "C")
    require_range("hold", held_s, 0.0, 3600.0, "s")
    return Estimate.exact(warmed_to_c), ((0.0, warmed_to_c), (held_s, warmed_to_c))


def _density(kind: MeringueKind, own: float | None) -> Estimate:
    if own is None:
        return foam_kinds()[kind.value].density_g_ml
    require_range("density of the foam", own, 0.1, 1.2, "g/ml")
    return Estimate.within(own, 0.05)


def _verdict(kind: MeringueKind, whites: Whites, checks: tuple[LimitCheck, ...]) -> HeatVerdict:
    if whites is not Whites.FRESH:
        return HeatVerdict.PASTEURISED
    if kind is MeringueKind.FRENCH:
        return HeatVerdict.RAW
    if any(check.met for check in checks if check.limit.covers_sugared_white):
        return HeatVerdict.IF_MEASURED
    return HeatVerdict.NOT_RELIED_ON


def _told(
    kind: MeringueKind, verdict: HeatVerdict, hottest: Estimate, logs: Estimate, checks: tuple[LimitCheck, ...]
) -> str:
    heat = degrees(hottest.value)
    if hottest.high - hottest.low > 0.5:
        heat += f", likely {degrees(hottest.low)} to {degrees(hottest.high)}"
    match verdict:
        case HeatVerdict.PASTEURISED:
            return "The whites were pasteurised before they came; the warming here adds nothing that must be proved."
        case HeatVerdict.RAW:
            return "Raw egg white: count it as such, or use pasteurised whites."
        case HeatVerdict.IF_MEASURED:
            met = next(check.limit for check in checks if check.met and check.limit.covers_sugared_white)
            hold = f" for {met.hold_s:.0f} s" if met.hold_s else ""
            return (
                f"The whites reach {heat}; that counts if a checked thermometer in the mix shows "
                f"{degrees(met.temperature_c, 1)}{hold} ({met.section})."
            )
        case HeatVerdict.NOT_RELIED_ON:
            syrup = "The syrup is far hotter, but the " if kind is MeringueKind.ITALIAN else "The "
            return (
                f"{syrup}whites reach only {heat}, short of {degrees(SAFE_C, 1)}; the cautious sum is {logs.low:.1f} "
                f"of the {TARGET_LOGS:.0f} decimal reductions looked for, in more sugar than anybody measured. "
                "Use pasteurised whites."
            )
