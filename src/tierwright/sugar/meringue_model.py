"""The shapes of a meringue: its kinds, its foam, its verdict and its plan."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files

from tierwright.errors import require_range
from tierwright.sugar.holding import Fault, Holding
from tierwright.sugar.lethality import EggLimit
from tierwright.sugar.pouring import Pour
from tierwright.sugar.syrup_model import SyrupPlan
from tierwright.working import Estimate, Notes


class MeringueKind(StrEnum):
    """How sugar and white come together."""

    ITALIAN = "italian"  # boiled sugar poured into beaten whites
    SWISS = "swiss"  # warmed together, then beaten
    FRENCH = "french"  # raw whites, dry sugar
    SEVEN_MINUTE = "seven-minute"  # beaten over the steam


class Whites(StrEnum):
    """Where the whites come from."""

    FRESH = "fresh"
    PASTEURISED = "pasteurised"
    DRIED = "dried"  # by law pasteurised; weighed here as made up, 1 part powder to 7 of water


class HeatVerdict(StrEnum):
    """Whether this batch may be relied on as heat-treated."""

    PASTEURISED = "pasteurised whites: no heat is needed"
    IF_MEASURED = "heat-treated, if your own thermometer in the foam confirms it"
    NOT_RELIED_ON = "not to be relied on: use pasteurised whites"
    RAW = "raw egg: use pasteurised whites"


@dataclass(frozen=True, slots=True, kw_only=True)
class FoamKind:
    """One row of the table of foams: its density with range. [g/ml]"""

    key: str
    label: str
    density_g_ml: Estimate
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitCheck:
    """One published time and temperature, and whether the cautious history meets it."""

    limit: EggLimit
    met: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MeringuePlan:
    """
    What a meringue answers.

    Attributes
    ----------
    kind, whites
        What it is.
    whites_g, mass_g
        Whites (dried ones as made up), and mass of the whole. [g]
    sugar_to_white
        Sugar to whites by mass. [1]
    water_share, sugar_share
        Of the whole. [1]
    water_activity
        At 20 C, computed. [1]
    density_g_ml, overrun_percent, volume_ml
        Of the finished foam. [g/ml], [%], [ml]
    syrup
        Plan of the pot, for the boiled kind.
    pour
        Heat of the pour, for the boiled kind.
    hottest_c
        Hottest that the whites get, with its range. [C]
    seconds_above_60
        Cautious time at 60 C or more. [s]
    logs
        Decimal reductions of Salmonella in the cautious history. [-]
    verdict, verdict_text
        Whether to rely on it, in one word and in one sentence.
    reading_needed_c
        What the kitchen's thermometer has to show in the foam for 71.1 C. [C]
    checks
        Published limits, one by one.
    holding
        Facts for the question of how long it may stand.
    faults
        What goes wrong, and the rescue.
    notes
        Figures, questions, cautions, assumptions.
    """

    kind: MeringueKind
    whites: Whites
    whites_g: float
    mass_g: float
    sugar_to_white: float
    water_share: float
    sugar_share: float
    water_activity: float
    density_g_ml: Estimate
    overrun_percent: Estimate
    volume_ml: Estimate
    syrup: SyrupPlan | None
    pour: Pour | None
    hottest_c: Estimate
    seconds_above_60: float
    logs: Estimate
    verdict: HeatVerdict
    verdict_text: str
    reading_needed_c: Estimate
    checks: tuple[LimitCheck, ...]
    holding: Holding
    faults: tuple[Fault, ...]
    notes: Notes


@cache
def foam_kinds() -> dict[str, FoamKind]:
    """Return the table of foams by key."""
    text = files("tierwright.sugar").joinpath("data/foams.csv").read_text(encoding="utf-8")
    return {
        row["key"]: FoamKind(
            key=row["key"],
            label=row["label"],
            density_g_ml=Estimate(value=float(row["density_g_ml"]), low=float(row["low"]), high=float(row["high"])),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def area_covered_mm2(volume_ml: Estimate, thickness_mm: float) -> Estimate:
    """
    Area that a volume coats.

    Parameters
    ----------
    volume_ml
        Volume of the coating. [ml]
    thickness_mm
        Mean thickness of the coat. [mm], 0.5 to 50

    Returns
    -------
    area
        [mm2]
    """
    require_range("thickness of the coat", thickness_mm, 0.5, 50.0, "mm")
    return volume_ml * (1000.0 / thickness_mm)
