"""docs/security.md holds every line of the standard's level 1, and every test that it names is there."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
# OWASP ASVS 4.0.3, the items marked for level 1: chapter and section, then the numbers.
LEVEL_1 = {
    "2.1": range(1, 13), "2.2": range(1, 4), "2.3": (1,), "2.5": range(1, 7), "2.7": range(1, 5), "2.8": (1,),
    "3.1": (1,), "3.2": (1, 2, 3), "3.3": (1, 2), "3.4": range(1, 6), "3.7": (1,),
    "4.1": (1, 2, 3, 5), "4.2": (1, 2), "4.3": (1, 2),
    "5.1": range(1, 6), "5.2": range(1, 9), "5.3": range(1, 11), "5.5": range(1, 5),
    "6.2": (1,), "7.1": (1, 2), "7.4": (1,), "8.2": (1, 2, 3), "8.3": (1, 2, 3, 4), "9.1": (1, 2, 3),
    "10.3": (1, 2, 3), "11.1": range(1, 6), "12.1": (1,), "12.3": range(1, 6), "12.4": (1, 2), "12.5": (1, 2),
    "12.6": (1,), "13.1": (1, 3), "13.2": (1, 2, 3), "13.3": (1,), "14.2": (1, 2, 3), "14.3": (2, 3),
    "14.4": range(1, 8), "14.5": (1, 2, 3),
}  # fmt: skip


def test_every_requirement_has_its_line() -> None:
    wanted = [f"{section}.{number}" for section, numbers in LEVEL_1.items() for number in numbers]
    lines = re.findall(r"^\| (\d+\.\d+\.\d+) \|.*\| (.+) \|$", PAGE, re.MULTILINE)
    assert [number for number, _held in lines] == wanted
    assert f"{len(wanted)} requirements" in PAGE.replace("\n", " ")
    assert [number for number, held in lines if not held.startswith(("`", "reason: "))] == []


def test_every_test_that_is_named_is_there() -> None:
    named = set(re.findall(r"`([\w/]+\.py)::(\w+)`", PAGE))
    assert len(named) > 40
    missing = []
    for file, test in named:
        path = ROOT / file if "/" in file else ROOT / "tests" / "web" / file
        if not path.is_file() or f"def {test}(" not in path.read_text(encoding="utf-8"):
            missing.append(f"{file}::{test}")
    assert missing == []
