"""What goes into each bowl, by weight, and how well is the formula balanced?"""

from tierwright.formula.altitude import altitude_proposals, altitude_steps
from tierwright.formula.balance import balance, specific_gravity
from tierwright.formula.leavening import leavening
from tierwright.formula.lines import read_formula, read_line
from tierwright.formula.model import (
    Acid,
    Balance,
    Batch,
    Bowl,
    ByProduct,
    Change,
    Check,
    Formula,
    Formulas,
    FormulaText,
    FormulaWork,
    Kind,
    Leavening,
    Line,
    Measures,
    Mix,
    MixPart,
    PanFill,
    PanJob,
    Percent,
    Proposal,
    Status,
    Substitution,
    Verdict,
)
from tierwright.formula.percent import composition_of, percents
from tierwright.formula.preparing import prepare_formulas, written_altitude_m
from tierwright.formula.proposing import apply
from tierwright.formula.recipe import read_recipe
from tierwright.formula.scaling import JAM_SOLIDS, make_batch
from tierwright.formula.substitution import substitute, substitutions
from tierwright.formula.tables import formula_class
from tierwright.formula.wide_pans import wide_pan_factor, wide_pan_proposal

__all__ = [
    "JAM_SOLIDS",
    "Acid",
    "Balance",
    "Batch",
    "Bowl",
    "ByProduct",
    "Change",
    "Check",
    "Formula",
    "FormulaText",
    "FormulaWork",
    "Formulas",
    "Kind",
    "Leavening",
    "Line",
    "Measures",
    "Mix",
    "MixPart",
    "PanFill",
    "PanJob",
    "Percent",
    "Proposal",
    "Status",
    "Substitution",
    "Verdict",
    "altitude_proposals",
    "altitude_steps",
    "apply",
    "balance",
    "composition_of",
    "formula_class",
    "leavening",
    "make_batch",
    "percents",
    "prepare_formulas",
    "read_formula",
    "read_line",
    "read_recipe",
    "specific_gravity",
    "substitute",
    "substitutions",
    "wide_pan_factor",
    "wide_pan_proposal",
    "written_altitude_m",
]
