"""
Briefs as anybody may write them: worked through or refused with words, never broken.

    TIERWRIGHT_BRIEF_CASES=300 python -m pytest tests/dossier/test_any_brief.py

Coats, tiers, layers, shapes, guests, depths and what a flavour goes without are drawn together, for it was two of them
at once that broke.
"""

from __future__ import annotations

import os
from random import Random
from typing import Any, Final

import pytest
from tests.dossier.scenes import commission, kitchen

from tierwright.dossier import look_through
from tierwright.errors import BadInput, TierwrightError

CASES: Final = int(os.environ.get("TIERWRIGHT_BRIEF_CASES", "8"))


def drawn(chance: Random) -> dict[str, Any]:
    """Draw the changes to the example that make a brief."""
    cake: dict[str, Any] = {"coating": chance.choice(("full", "naked", "semi-naked", "rolled"))}
    if chance.random() < 0.5:
        cake["tiers"] = chance.choice((1, 2, 3, 4, 5))
    if chance.random() < 0.2:
        cake["layers"] = chance.choice((1, 2, 3, 4))
    if chance.random() < 0.15:
        cake["shape"] = chance.choice(("round", "square", "hexagon", "heart", "petal", "oval", "rectangle"))
    if chance.random() < 0.5:
        cake["filling_depth"] = chance.choice(("0 mm", "3 mm", "10 mm", "25 mm"))
    without = [name for name in ("soak", "filling", "coat") if chance.random() < 0.3]
    flavours = [
        {name: value for name, value in flavour.items() if name not in without}
        for flavour in commission().model_dump(mode="json", by_alias=True)["cake"]["flavours"]
    ]
    cake["flavours"] = flavours[:1] if chance.random() < 0.3 else flavours
    return {"cake": cake, "guests": {"invited": chance.choice((12, 30, 60, 80, 120, 200)), "attending": None}}


@pytest.mark.parametrize("case", range(CASES))
def test_it_is_worked_through_or_refused_with_words(case: int) -> None:
    changes = drawn(Random(case))
    said: object = None
    try:
        said = look_through(commission(**changes), kitchen()).notes.figures
    except BadInput as refused:
        said = refused.problems
    except TierwrightError as refused:
        said = str(refused)
    assert said
