"""``tierwright week``: the plan and its files, one more or not, and everything wrong with the input at once."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from icalendar import Calendar
from tests.cli.test_commands import COMMISSION

from tierwright.brief import Kitchen
from tierwright.cli import main
from tierwright.cli import week as command
from tierwright.dossier import Dossier
from tierwright.week import check, from_json

LIGHT = ("--effort", "0.1", "--overtime", "240")

_read = command._read


@cache
def read(*paths: str) -> tuple[list[Dossier], Kitchen]:
    return _read([Path(path) for path in paths], None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Done]:
    """Run the command in this process; a commission is read and worked through but once."""

    def here(*words: str) -> Done:
        monkeypatch.setattr("sys.argv", ["tierwright", *words])
        monkeypatch.setattr(command, "_read", lambda paths, _kitchen: read(*map(str, paths)))
        try:
            main()
            code = 0
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else int(end.code is not None)
        said = capsys.readouterr()
        return Done(returncode=code, stdout=said.out, stderr=said.err)

    return here


def test_a_week_is_planned_with_all_its_files(run: Callable[..., Done], tmp_path: Path) -> None:
    done = run("week", COMMISSION, "--out", str(tmp_path), *LIGHT)
    assert done.returncode == 0, done.stderr
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {"day-sheets.pdf", "week.svg", "week.json", "week.csv", "week.ics"}
    assert (tmp_path / "day-sheets.pdf").read_bytes().startswith(b"%PDF")
    plan = from_json((tmp_path / "week.json").read_bytes())
    assert not check(plan.problem, plan.schedule)
    calendar = Calendar.from_ical((tmp_path / "week.ics").read_bytes())
    assert sum(part.name == "VEVENT" for part in calendar.walk()) == sum(bool(bar.hands) for bar in plan.bars)
    assert "What to protect" in done.stdout
    # Progress goes beside the answer, with the bound that is proved.
    assert re.search(
        r"^polishing: 1 of 1 commissions, best \d+, nothing below \d+ \(at most \d+% better\)", done.stderr, re.M
    )


def test_whether_one_can_be_taken_is_answered_in_words_and_for_programs(run: Callable[..., Done]) -> None:
    done = run("week", COMMISSION, "--take", "--overtime", "240", "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["answer"] == "yes"
    assert done.stderr == ""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("nowhere.toml",), "nowhere.toml"),
        ((COMMISSION, "--from", "someday"), "--from"),
        ((COMMISSION, "--effort", "0"), "--effort"),
        ((COMMISSION, "--overtime", "900"), "--overtime"),
    ],
)
def test_what_cannot_be_read_is_said_and_nothing_is_written(
    run: Callable[..., Done], words: tuple[str, ...], said: str, tmp_path: Path
) -> None:
    done = run("week", *words, "--out", str(tmp_path / "out"))
    assert done.returncode == 2
    assert said in done.stderr + done.stdout
    assert not (tmp_path / "out").exists()
    assert "Traceback" not in done.stderr


def test_a_week_that_cannot_work_says_why(run: Callable[..., Done], tmp_path: Path) -> None:
    # On the day before the handover nothing has been baked yet.
    done = run("week", COMMISSION, "--from", "2027-06-26", "--out", str(tmp_path / "out"))
    assert done.returncode == 1
    assert "min are missing" in done.stderr + done.stdout
    assert not (tmp_path / "out").exists()
