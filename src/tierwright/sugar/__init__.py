"""To what temperature do syrups cook in this kitchen, and what becomes of the foams and creams made with them?"""

from tierwright.sugar.activity import Solute, glucose_polymer, norrish, solute, solutes, water_activity
from tierwright.sugar.boiling import boiling_c, boiling_range, boiling_temperatures, solids_at
from tierwright.sugar.cooking import Burner, Cook, HeatAccount, Pan, PanMaterial, boil_down, burner_kinds
from tierwright.sugar.crystals import CrystalRisk, Crystals, crystal_risk
from tierwright.sugar.mix import Dissolved, Line, Mix, glucose_syrup, joined, mix_of, sugar_and_water, sugar_kinds
from tierwright.sugar.plot import plot_target
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
from tierwright.sugar.syrup import SyrupPlan, SyrupState, Target, find_target, plan_syrup, syrup_state
from tierwright.sugar.thermometer import Thermometer, reading_at

__all__ = [
    "Burner",
    "Cook",
    "CrystalRisk",
    "Crystals",
    "Dissolved",
    "Flow",
    "HeatAccount",
    "Line",
    "Mix",
    "Pan",
    "PanMaterial",
    "Solute",
    "Stage",
    "SyrupPlan",
    "SyrupState",
    "Target",
    "Thermometer",
    "boil_down",
    "boiling_c",
    "boiling_range",
    "boiling_temperatures",
    "burner_kinds",
    "crystal_risk",
    "density_g_ml",
    "enthalpy",
    "find_target",
    "flow_class",
    "glucose_polymer",
    "glucose_syrup",
    "joined",
    "mix_of",
    "norrish",
    "plan_syrup",
    "plot_target",
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
]
