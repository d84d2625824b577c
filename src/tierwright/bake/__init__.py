"""When does each pan come out of this oven, and which pans go in together?"""

from tierwright.bake.answer import bake, time_range, time_sd
from tierwright.bake.apart import allergen_names, may_share, threats
from tierwright.bake.evidence import (
    DoneTime,
    Evidence,
    OvenCalibration,
    OvenRecord,
    ProbeRecord,
    ThermometerReading,
    Verdict,
)
from tierwright.bake.learning import calibrate
from tierwright.bake.load_model import Load, LoadPlan, PanToBake, PlacedPan, Shelf, WaitLimit, wait_limits
from tierwright.bake.loads import pan_to_bake, plan_loads
from tierwright.bake.logs import ReadLog, log_doubts, read_log
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
from tierwright.bake.oven import Oven, door_delay_min, door_drop_c, door_profile, warm_up_min
from tierwright.bake.packing import Piece, Spot, clearances, pack, piece_of
from tierwright.bake.pans import Finish, finish, finishes
from tierwright.bake.trial import batter_depth_mm, done_core_c, run_trial

__all__ = [
    "Aids",
    "Bake",
    "BakingPan",
    "Batter",
    "DoneTime",
    "Evidence",
    "Finish",
    "Leavening",
    "Load",
    "LoadPlan",
    "Option",
    "Oven",
    "OvenCalibration",
    "OvenMode",
    "OvenRecord",
    "OvenSetting",
    "PanToBake",
    "Piece",
    "PlacedPan",
    "ProbeRecord",
    "ReadLog",
    "Shelf",
    "Spot",
    "ThermometerReading",
    "Trial",
    "Verdict",
    "WaitLimit",
    "allergen_names",
    "bake",
    "batter_depth_mm",
    "calibrate",
    "clearances",
    "done_core_c",
    "door_delay_min",
    "door_drop_c",
    "door_profile",
    "finish",
    "finishes",
    "log_doubts",
    "may_share",
    "pack",
    "pan_to_bake",
    "piece_of",
    "plan_loads",
    "read_log",
    "run_trial",
    "threats",
    "time_range",
    "time_sd",
    "wait_limits",
    "warm_up_min",
]
