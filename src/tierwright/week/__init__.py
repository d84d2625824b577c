"""How do several commissions fit round one oven and one pair of hands?"""

from tierwright.week.admit import Admission, Answer, Change, admit
from tierwright.week.calendar import Away, Grid
from tierwright.week.chart import week_chart
from tierwright.week.check import Breach, check, cost_of
from tierwright.week.engine import Outcome, Progress, search
from tierwright.week.explain import explain
from tierwright.week.model import Pin, Problem, Schedule, Settings, TaskKind
from tierwright.week.output import DayLine, DaySheet, day_sheets, from_json, to_calendar, to_csv, to_json
from tierwright.week.places import Wishes
from tierwright.week.plan import Bar, WeekPlan, dress, plan, plan_jobs
from tierwright.week.precheck import Cause, causes
from tierwright.week.reading import read_job, read_jobs
from tierwright.week.replan import Failed, Moved, Replan, carry_over, replan
from tierwright.week.robust import Margin, Robustness, latest_starts, simulate
from tierwright.week.tasks import problem_of
from tierwright.week.work import AheadWork, CreamWork, JobWork, LoadWork, MixWork, TierWork

__all__ = [
    "Admission",
    "AheadWork",
    "Answer",
    "Away",
    "Bar",
    "Breach",
    "Cause",
    "Change",
    "CreamWork",
    "DayLine",
    "DaySheet",
    "Failed",
    "Grid",
    "JobWork",
    "LoadWork",
    "Margin",
    "MixWork",
    "Moved",
    "Outcome",
    "Pin",
    "Problem",
    "Progress",
    "Replan",
    "Robustness",
    "Schedule",
    "Settings",
    "TaskKind",
    "TierWork",
    "WeekPlan",
    "Wishes",
    "admit",
    "carry_over",
    "causes",
    "check",
    "cost_of",
    "day_sheets",
    "dress",
    "explain",
    "from_json",
    "latest_starts",
    "plan",
    "plan_jobs",
    "problem_of",
    "read_job",
    "read_jobs",
    "replan",
    "search",
    "simulate",
    "to_calendar",
    "to_csv",
    "to_json",
    "week_chart",
]
