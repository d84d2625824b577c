"""Published scheduling problems, put into the shapes of a week."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tierwright.week.model import Lag, Need, Problem, Resource, ResourceKind, Span, Task, TaskKind


def instances() -> list[dict[str, Any]]:
    """PSPLIB, Kolisch and Sprecher 1996, European Journal of Operational Research 96:205-216."""
    text = (Path(__file__).parent / "data" / "psplib.json").read_text(encoding="utf-8")
    found: list[dict[str, Any]] = json.loads(text)["instances"]
    return found


def problem_of(instance: dict[str, Any]) -> Problem:
    """One task an activity; the cost is the start of the sink, which is the makespan."""
    activities = instance["activities"]
    horizon = sum(max([a["duration"], *(abs(lag) for lag in a["start_to_start_lags"] or [0])]) for a in activities)
    tasks = tuple(
        Task(
            key=str(k), job="", label=str(k), kind=TaskKind.OTHER, steps=a["duration"],
            needs=tuple(Need(options=((f"r{r}", d),)) for r, d in enumerate(a["demands"]) if d),
        )
        for k, a in enumerate(activities)
    )  # fmt: skip
    lags = []
    for k, a in enumerate(activities):
        own = a["start_to_start_lags"]
        for n, successor in enumerate(a["successors"]):
            if own is None:
                lags.append(Lag(before=str(k), after=str(successor)))
            elif own[n] >= 0:
                lags.append(Lag(before=str(k), after=str(successor), least=own[n], from_start=True))
            else:  # start(successor) >= start(k) - most
                lags.append(Lag(before=str(successor), after=str(k), least=-horizon, most=-own[n], from_start=True))
    return Problem(
        horizon=horizon,
        tasks=tasks,
        lags=tuple(lags),
        resources=tuple(
            Resource(key=f"r{r}", label=f"r{r}", kind=ResourceKind.OTHER, capacity=c)
            for r, c in enumerate(instance["capacities"])
        ),
        spans=(Span(before="0", after=str(len(activities) - 1), from_start=True),),
    )
