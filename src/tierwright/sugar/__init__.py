"""To what temperature do syrups cook in this kitchen, and what becomes of the foams and creams made with them?"""

from tierwright.sugar.activity import Solute, glucose_polymer, norrish, solute, solutes, water_activity
from tierwright.sugar.boiling import boiling_c, boiling_range, boiling_temperatures, solids_at
from tierwright.sugar.cooking import Burner, Cook, HeatAccount, Pan, PanMaterial, boil_down, burner_kinds
from tierwright.sugar.crystals import CrystalRisk, Crystals, crystal_risk
from tierwright.sugar.holding import Fault, Holding, faults_of
from tierwright.sugar.lethality import egg_limits, log_kill, white_kill
from tierwright.sugar.meringue import plan_meringue
from tierwright.sugar.meringue_model import HeatVerdict, MeringueKind, MeringuePlan, Whites, area_covered_mm2
from tierwright.sugar.mix import Dissolved, Line, Mix, glucose_syrup, joined, mix_of, sugar_and_water, sugar_kinds
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
from tierwright.sugar.stages import Stage, stage, stage_near, stages
from tierwright.sugar.syrup import find_target, plan_syrup, syrup_state
from tierwright.sugar.syrup_model import SyrupPlan, SyrupState, Target
from tierwright.sugar.thermometer import Thermometer, reading_at

__all__ = [
    "Bowl",
    "Burner",
    "Cook",
    "CrystalRisk",
    "Crystals",
    "Dissolved",
    "Fault",
    "Flow",
    "HeatAccount",
    "HeatVerdict",
    "Holding",
    "Line",
    "MeringueKind",
    "MeringuePlan",
    "Mix",
    "Pan",
    "PanMaterial",
    "Pour",
    "Solute",
    "Stage",
    "SyrupPlan",
    "SyrupState",
    "Target",
    "Thermometer",
    "Whites",
    "area_covered_mm2",
    "boil_down",
    "boiling_c",
    "boiling_range",
    "boiling_temperatures",
    "burner_kinds",
    "crystal_risk",
    "density_g_ml",
    "egg_limits",
    "enthalpy",
    "faults_of",
    "find_target",
    "flow_class",
    "glucose_polymer",
    "glucose_syrup",
    "joined",
    "log_kill",
    "mix_of",
    "norrish",
    "plan_meringue",
    "plan_syrup",
    "plot_target",
    "pour_syrup",
    "reading_at",
    "solids_at",
    "solute",
    "solutes",
    "specific_heat",
    "stage",
    "stage_near",
    "stages",
    "sucrose_solubility",
    "sugar_and_water",
    "sugar_kinds",
    "supersaturation",
    "syrup_state",
    "viscosity_mpas",
    "water_activity",
    "white_kill",
]
