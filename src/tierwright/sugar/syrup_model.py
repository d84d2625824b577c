"""The shapes of a syrup: its state, its target and its plan."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.sugar.cooking import Cook
from tierwright.sugar.crystals import Crystals
from tierwright.sugar.mix import Mix
from tierwright.sugar.properties import Flow
from tierwright.working import Estimate, Notes


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
