"""To what temperature do syrups cook in this kitchen, and what becomes of the foams and creams made with them?"""

from tierwright.sugar.activity import Solute, glucose_polymer, norrish, solute, solutes, water_activity
from tierwright.sugar.boiling import boiling_c, boiling_range, boiling_temperatures, solids_at
from tierwright.sugar.cooking import Burner, Cook, HeatAccount, Pan, PanMaterial, boil_down, burner_kinds
from tierwright.sugar.cream_model import (
    CreamKind,
    CreamLine,
    CreamPart,
    CreamPlan,
    EmulsionState,
    GanacheBalance,
    Shares,
)
from tierwright.sugar.creams import (
    Stabiliser,
    cream_parts,
    cream_rows,
    ganache_balance,
    plan_cream,
    shares_of,
    stabilisers,
)
from tierwright.sugar.crystals import CrystalRisk, Crystals, crystal_risk
from tierwright.sugar.fats import SpreadWindow, fat_kinds, solid_in_whole, solid_percent, spread_window
from tierwright.sugar.holding import Fault, Holding, faults_of
from tierwright.sugar.lethality import egg_limits, log_kill, white_kill
from tierwright.sugar.meringue import plan_meringue
from tierwright.sugar.meringue_model import HeatVerdict, MeringueKind, MeringuePlan, Whites, area_covered_mm2
from tierwright.sugar.mix import Dissolved, Line, Mix, glucose_syrup, joined, mix_of, sugar_and_water, sugar_kinds
from tierwright.sugar.mixing import Means, Mixed, Portion, heat_content_j, minutes_to_reach, mix_portions, share_to_melt
from tierwright.sugar.petals import PetalBody, PetalCoat, PetalPlan, drying_hours, petal_sugars, plan_petals
from tierwright.sugar.plot import plot_target
from tierwright.sugar.pouring import Bowl, Pour, pour_syrup
from tierwright.sugar.properties import (
    Flow,
    density_g_ml,
    enthalpy,
    flow_class,
    specific_heat,
    sucrose_solubility,
    supersaturation,
    viscosity_mpas,
)
from tierwright.sugar.rescue import Action, Look, Rescue, rescue, working_span_c
from tierwright.sugar.stages import Stage, stage, stage_near, stages
from tierwright.sugar.syrup import find_target, plan_syrup, syrup_state
from tierwright.sugar.syrup_model import SyrupPlan, SyrupState, Target
from tierwright.sugar.thermometer import Thermometer, reading_at
from tierwright.sugar.uses import SyrupUse, syrup_use, syrup_uses

__all__ = [
    "Action",
    "Bowl",
    "Burner",
    "Cook",
    "CreamKind",
    "CreamLine",
    "CreamPart",
    "CreamPlan",
    "CrystalRisk",
    "Crystals",
    "Dissolved",
    "EmulsionState",
    "Fault",
    "Flow",
    "GanacheBalance",
    "HeatAccount",
    "HeatVerdict",
    "Holding",
    "Line",
    "Look",
    "Means",
    "MeringueKind",
    "MeringuePlan",
    "Mix",
    "Mixed",
    "Pan",
    "PanMaterial",
    "PetalBody",
    "PetalCoat",
    "PetalPlan",
    "Portion",
    "Pour",
    "Rescue",
    "Shares",
    "Solute",
    "SpreadWindow",
    "Stabiliser",
    "Stage",
    "SyrupPlan",
    "SyrupState",
    "SyrupUse",
    "Target",
    "Thermometer",
    "Whites",
    "area_covered_mm2",
    "boil_down",
    "boiling_c",
    "boiling_range",
    "boiling_temperatures",
    "burner_kinds",
    "cream_parts",
    "cream_rows",
    "crystal_risk",
    "density_g_ml",
    "drying_hours",
    "egg_limits",
    "enthalpy",
    "fat_kinds",
    "faults_of",
    "find_target",
    "flow_class",
    "ganache_balance",
    "glucose_polymer",
    "glucose_syrup",
    "heat_content_j",
    "joined",
    "log_kill",
    "minutes_to_reach",
    "mix_of",
    "mix_portions",
    "norrish",
    "petal_sugars",
    "plan_cream",
    "plan_meringue",
    "plan_petals",
    "plan_syrup",
    "plot_target",
    "pour_syrup",
    "reading_at",
    "rescue",
    "share_to_melt",
    "shares_of",
    "solid_in_whole",
    "solid_percent",
    "solids_at",
    "solute",
    "solutes",
    "specific_heat",
    "spread_window",
    "stabilisers",
    "stage",
    "stage_near",
    "stages",
    "sucrose_solubility",
    "sugar_and_water",
    "sugar_kinds",
    "supersaturation",
    "syrup_state",
    "syrup_use",
    "syrup_uses",
    "viscosity_mpas",
    "water_activity",
    "white_kill",
    "working_span_c",
]
