"""The engine of the week against published scheduling problems."""

from __future__ import annotations

from typing import Any

import pytest
from tests.week import classic

from tierwright.week import Outcome, Settings, check, cost_of, search
from tierwright.week.model import Proof

# PSPLIB, Kolisch and Sprecher 1996, European Journal of Operational Research 96:205-216, sets j30 and sm_j10.
# Those of j30 that take more than a few seconds to prove are left to the benchmark.
SLOW = {"j309_1", "j309_3", "j3025_1", "j3029_1", "j3041_4", "j3045_1"}
INSTANCES = [instance for instance in classic.instances() if instance["name"] not in SLOW]


@pytest.mark.parametrize("instance", INSTANCES, ids=[i["name"].replace(" ", "_") for i in INSTANCES])
def test_reaches_the_published_optimum(instance: dict[str, Any]) -> None:
    problem = classic.problem_of(instance)
    found = search(problem, Settings(polish=60.0))
    if instance["published_makespan"] == "unsat":
        assert found.outcome is Outcome.IMPOSSIBLE
        return
    assert found.plan is not None
    assert found.plan.proof is Proof.OPTIMAL
    assert found.plan.cost == instance["published_makespan"]
    # The checker and the cost are worked without the solver.
    assert not check(problem, found.plan)
    assert cost_of(problem, found.plan) == instance["published_makespan"]


def test_there_are_a_dozen_with_both_kinds() -> None:
    assert len(INSTANCES) >= 12
    assert sum(i["published_makespan"] == "unsat" for i in INSTANCES) >= 2
