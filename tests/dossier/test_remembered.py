"""Stages remember what they answered; what is remembered is what would be worked out afresh, to the last digit."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import time
from functools import _lru_cache_wrapper
from pathlib import Path

import pytest

from tierwright.brief import Commission, Kitchen, read_brief
from tierwright.dossier import prepare, to_json

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "centenary"


def remembered() -> Iterator[_lru_cache_wrapper]:  # type: ignore[type-arg]
    """Yield every memory of every room."""
    for name, module in list(sys.modules.items()):
        if name.startswith("tierwright.") and not name.startswith("tierwright.web"):
            yield from (found for found in vars(module).values() if isinstance(found, _lru_cache_wrapper))


def changes(commission: Commission) -> list[Commission]:
    fewer = commission.guests.model_copy(update={"invited": 96})
    earlier = commission.day.model_copy(update={"handover": time(16, 0)})
    flavours = commission.cake.flavours
    plain = (flavours[0].model_copy(update={"soak": None}), *flavours[1:])
    return [
        commission.model_copy(update={"guests": fewer}),
        commission.model_copy(update={"day": earlier}),
        commission.model_copy(update={"cake": commission.cake.model_copy(update={"flavours": plain})}),
    ]


@pytest.fixture(scope="module")
def brief() -> tuple[Commission, Kitchen]:
    read = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    return read.commission, read.kitchen


def test_a_dossier_that_leans_on_others_is_the_one_worked_out_afresh(brief: tuple[Commission, Kitchen]) -> None:
    commission, kitchen = brief
    variants = [commission, *changes(commission)]
    leaning = [to_json(prepare(one, kitchen)) for one in variants]
    assert len(set(leaning)) == len(variants), "each change moves something"
    assert to_json(prepare(commission, kitchen)) == leaning[0], "worked out again after the others"
    for memory in remembered():
        memory.cache_clear()
    # The last had leaned on all that came before it.
    assert to_json(prepare(variants[-1], kitchen)) == leaning[-1]


def test_many_at_once_get_what_one_gets(brief: tuple[Commission, Kitchen]) -> None:
    commission, kitchen = brief
    variants = changes(commission)[-1:] + changes(commission)[:1]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda one: prepare(one, kitchen), variants * 2))
    assert together == [prepare(one, kitchen) for one in variants] * 2
