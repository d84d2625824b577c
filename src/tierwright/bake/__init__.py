"""When does each pan come out of this oven, and which pans go in together?"""

from tierwright.bake.answer import bake, time_range, time_sd
from tierwright.bake.calibrate import calibrate
from tierwright.bake.evidence import (
    DoneTime,
    Evidence,
    OvenCalibration,
    OvenRecord,
    ProbeRecord,
    ThermometerReading,
    Verdict,
)
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
    "Option",
    "OvenCalibration",
    "OvenMode",
    "OvenRecord",
    "OvenSetting",
    "ProbeRecord",
    "ReadLog",
    "ThermometerReading",
    "Trial",
    "Verdict",
    "bake",
    "batter_depth_mm",
    "calibrate",
    "done_core_c",
    "finish",
    "finishes",
    "log_doubts",
    "read_log",
    "run_trial",
    "time_range",
    "time_sd",
]
