"""When does each pan come out of this oven, and which pans go in together?"""

from tierwright.bake.answer import bake, time_range, time_sd
from tierwright.bake.model import (
    Aids,
    Bake,
    BakingPan,
    Batter,
    Leavening,
    Option,
    OvenMode,
    OvenSetting,
    Trial,
)
from tierwright.bake.pans import Finish, finish, finishes
from tierwright.bake.trial import batter_depth_mm, done_core_c, run_trial

__all__ = [
    "Aids",
    "Bake",
    "BakingPan",
    "Batter",
    "Finish",
    "Leavening",
    "Option",
    "OvenMode",
    "OvenSetting",
    "Trial",
    "bake",
    "batter_depth_mm",
    "done_core_c",
    "finish",
    "finishes",
    "run_trial",
    "time_range",
    "time_sd",
]
