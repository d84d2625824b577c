"""``tierwright keeping``: the same answers on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

import tierwright.cli.keeping  # noqa: F401  hangs its commands on the app
from tierwright.cli import app

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary" / "commission.toml"
RUN = CliRunner()


def run(*words: str) -> str:
    done = RUN.invoke(app, ["keeping", *words], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return done.stdout


@pytest.mark.parametrize(
    ("aw", "ph", "category"), [("0.91", "4.5", "non-TCS"), ("0.93", "4.5", "PA"), ("0.88", "6.5", "PA")]
)
def test_the_tables(aw: str, ph: str, category: str) -> None:
    assert json.loads(run("table", "--aw", aw, "--ph", ph, "--json"))["category"] == category


def test_the_dew_point() -> None:
    # 30 C at 60 %: 21.39 C by the equations of ASHRAE.
    found = json.loads(run("dew", "30 C", "60 %", "--json"))
    assert found["dew_point_c"] == pytest.approx(21.39, abs=0.01)
    assert found["sweats"]


def test_flowers() -> None:
    found = json.loads(run("flower", "foxglove", "viola", "--json"))
    assert [one["may_be_eaten"] for one in found] == [False, True]


def test_a_later_set_up_holds_where_the_planned_one_does_not(tmp_path: Path) -> None:
    drawn = tmp_path / "line.svg"
    planned = json.loads(run("line", str(EXAMPLE), "--json"))
    later = json.loads(run("line", str(EXAMPLE), "--set-up", "20:20", "--svg", str(drawn), "--json"))
    assert not planned["window"]["plan_passes"]
    assert later["window"]["plan_passes"]
    assert drawn.read_text(encoding="utf-8").startswith("<svg")
