"""The plots of the method pages are what the program computes today, and each is shown."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.docs.pages import DOCS
from tools.plots import PLOTS, drawn

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def now() -> dict[str, str]:
    return dict(drawn())


def test_plots_are_current(now: dict[str, str]) -> None:
    for name, svg in now.items():
        kept = (DOCS / "pictures" / name).read_text(encoding="utf-8").rstrip("\n")
        told = f"{name} is not what is computed now: python -m tools.plots"
        assert _NUMBER.sub("#", kept) == _NUMBER.sub("#", svg), told
        # A coordinate is printed to a hundredth of a millimetre; another machine may round its last digit away.
        there = [float(text) for text in _NUMBER.findall(svg)]
        assert [float(text) for text in _NUMBER.findall(kept)] == pytest.approx(there, abs=0.021), told


def test_every_plot_is_shown_by_a_method(now: dict[str, str]) -> None:
    shown = "".join(page.read_text(encoding="utf-8") for page in (DOCS / "method").glob("*.md"))
    assert len(now) == len(PLOTS)
    for name in now:
        assert f"(../pictures/{name})" in shown, name


@pytest.mark.parametrize("page", sorted((DOCS / "method").glob("*.md")), ids=lambda page: page.stem)
def test_every_method_shows_a_plot(page: Path, now: dict[str, str]) -> None:
    shown = re.findall(r"!\[.+?\]\(\.\./pictures/(\S+\.svg)\)", page.read_text(encoding="utf-8"))
    assert any(name in now for name in shown)
