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
from tierwright.week import TaskKind, check, from_json
from tierwright.week.norms import limits
from tierwright.week.plan import clock_for
from tierwright.week.reading import read_jobs
from tierwright.week.tasks import problem_of, steps_of

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


def test_every_oven_load_is_one_bake_of_the_week_with_its_minutes_its_order_and_its_cooling() -> None:
    (dossier,), kitchen = read(COMMISSION)
    assert dossier.bakes.loads is not None
    loads = dossier.bakes.loads.loads
    (job,) = read_jobs([dossier])
    week = problem_of((job,), kitchen, clock_for((job,), kitchen))
    bakes = {task.key: task for task in week.tasks if task.kind is TaskKind.BAKE}
    assert list(bakes) == [f"{job.key}/bake.{load.number}" for load in loads]
    cooling = {(lag.before, lag.after): lag for lag in week.lags}
    of_load = {load.key: load for load in job.loads}
    for load in loads:
        bake = bakes[f"{job.key}/bake.{load.number}"]
        # A load keeps its oven for its slowest pan and the door openings, in whole steps, on its own number of shelves.
        assert bake.steps == steps_of(load.oven_min.value)
        assert bake.low_steps <= bake.steps <= bake.high_steps + 1
        (need,) = bake.needs
        assert need.options == (("oven.1", len(load.shelves)),)
        assert need.state == round(load.set_point_c)
        # Every batter in it is mixed before, no longer ago than it may wait.
        mixed = [lag for (_, after), lag in cooling.items() if after == bake.key and "/mix." in lag.before]
        assert {lag.before.split("/mix.")[1] for lag in mixed} == set(of_load[str(load.number)].mixes)
        assert all(lag.most is not None for lag in mixed)
        # It stands in the pan, is turned out, and cools before it is trimmed.
        turn = f"{job.key}/turn.{load.number}"
        assert cooling[bake.key, turn].least == steps_of(limits()["in_pan"].value)
        tiers = {pan.rpartition(".")[0] for pan in load.pans}
        for tier in tiers:
            trim = f"{job.key}/trim.{tier}"
            assert max(cooling[bake.key, trim].least if (bake.key, trim) in cooling else 0,
                       cooling[turn, trim].least) > steps_of(30.0)  # fmt: skip
    # The vegan layers bake by themselves: nothing with egg or milk is in an oven meanwhile.
    apart = {(block.key, outside): block.what for block in week.blocks for outside in block.outside
             if block.key in bakes}  # fmt: skip
    (vegan,) = (load for load in loads if {one.value for one in load.keep_out} == {"egg", "milk"})
    for load in loads:
        if load is not vegan:
            pair = (f"{job.key}/bake.{vegan.number}", f"{job.key}/bake.{load.number}")
            assert apart[pair] == "egg, milk"
    assert "keep out egg, milk" in bakes[f"{job.key}/bake.{vegan.number}"].note
    # Its batter is the first; the chocolate in it may hold hazelnut, so there is a clean-down before the others.
    own = set(of_load[str(vegan.number)].mixes)
    for later in {mix.formula for mix in job.mixes if mix.key not in own}:
        clean = f"{job.key}/clean-down.before.{later}"
        assert (clean, f"{job.key}/weigh.{later}") in cooling
        assert all((f"{job.key}/mix.{key}", clean) in cooling for key in own)
