"""Briefs for tests: the example, and changes to it."""

from __future__ import annotations

import copy
import json
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from tierwright.brief import Commission, Kitchen, parse_commission, parse_kitchen, read_commission, read_kitchen
from tierwright.dossier import Dossier, prepare

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"
Table = dict[str, Any]


@lru_cache(maxsize=1)
def _commission() -> str:
    return read_commission(EXAMPLE / "commission.toml").model_dump_json(by_alias=True)


@lru_cache(maxsize=1)
def _kitchen() -> str:
    return read_kitchen(EXAMPLE / "kitchen.toml").model_dump_json(by_alias=True)


def merged(data: Table, changes: Table) -> Table:
    """Lay changes over a table, table by table."""
    result = copy.deepcopy(data)
    for key, value in changes.items():
        old = result.get(key)
        result[key] = merged(old, value) if isinstance(old, dict) and isinstance(value, dict) else value
    return result


def commission(**changes: Any) -> Commission:
    """Return the example commission with changes."""
    return parse_commission(merged(json.loads(_commission()), changes), "test")


def kitchen(**changes: Any) -> Kitchen:
    """Return the example kitchen with changes."""
    return parse_kitchen(merged(json.loads(_kitchen()), changes), "test")


@cache
def dossier() -> Dossier:
    """What the example comes to, worked through once for all tests of a process."""
    return prepare(commission(), kitchen())
