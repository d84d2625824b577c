"""Everything worked out for one commission, with its working; the order of the stages is here and nowhere else."""

from tierwright.dossier.bake_stage import Bakes, PanBake, leavening_of
from tierwright.dossier.brief_stage import allergens_named
from tierwright.dossier.codec import from_json, is_dossier, to_json
from tierwright.dossier.finish_stage import FinishWork
from tierwright.dossier.formula_stage import formula_text
from tierwright.dossier.model import FORMAT, Dossier
from tierwright.dossier.preparing import look_through, prepare
from tierwright.dossier.settling import settled
from tierwright.dossier.sugar_stage import SugarWork
from tierwright.dossier.support_stage import SupportWork, ask_of

__all__ = [
    "FORMAT",
    "Bakes",
    "Dossier",
    "FinishWork",
    "PanBake",
    "SugarWork",
    "SupportWork",
    "allergens_named",
    "ask_of",
    "formula_text",
    "from_json",
    "is_dossier",
    "leavening_of",
    "look_through",
    "prepare",
    "settled",
    "to_json",
]
