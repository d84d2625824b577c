"""Probe logs in the shapes that loggers write."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.bake import log_doubts, read_log
from tierwright.errors import BadInput

CURVE = [(0.0, 22.0), (5.0, 30.0), (10.0, 45.0), (15.0, 63.0), (20.0, 80.0), (25.0, 92.0), (30.0, 97.5)]


def lines(template: str, *, head: str = "", scale: float = 1.0, fahrenheit: bool = False) -> str:
    rows = [template.format(t=t * scale, c=c * 1.8 + 32 if fahrenheit else c) for t, c in CURVE]
    return "\n".join([*([head] if head else []), *rows])


@pytest.mark.parametrize(
    "text",
    [
        lines("{t:.1f},{c:.1f}", head="time (min),temp (C)"),
        lines("{t:.0f},{c:.1f}", head="seconds,celsius", scale=60.0),
        lines("{t:.0f}\t{c:.1f}", head="Time [s]\tProbe [C]", scale=60.0),
        lines("{t:.1f};{c:.1f}", head="min;degC").replace(".", ","),
        lines("{t:.1f} {c:.1f}", head="minutes celsius"),
        lines("{t:.1f},{c:.1f}", head="time (min),probe °F", fahrenheit=True),
        "\ufeff" + lines("{t:.1f},{c:.1f}", head="# my oven\ntime (min),temp (C)"),
    ],
)
def test_common_shapes(text: str) -> None:
    log = read_log(text)
    assert log.minutes == pytest.approx([t for t, _ in CURVE])
    # Printed to a tenth, in Fahrenheit too.
    assert log.celsius == pytest.approx([c for _, c in CURVE], abs=0.06)
    assert log.unit_sure
    assert log.time_sure


def test_clock_times_and_instants() -> None:
    clock = "\n".join(f"14:{int(t):02d}:00,{c}" for t, c in CURVE)
    instants = "\n".join(f"2031-05-01T14:{int(t):02d}:00,{c}" for t, c in CURVE)
    spaced = "\n".join(f"2031-05-01 14:{int(t):02d}:00 {c}" for t, c in CURVE)
    for text in (clock, instants, spaced):
        log = read_log(text)
        assert log.minutes == pytest.approx([t for t, _ in CURVE])
        assert log.time_unit == "clock"


def test_units_are_guessed_and_can_be_confirmed() -> None:
    bare = lines("{t:.1f},{c:.1f}", fahrenheit=True)
    guess = read_log(bare)
    assert (guess.unit, guess.unit_sure, guess.time_unit, guess.time_sure) == ("degF", False, "min", False)
    assert sum("confirm" in remark for remark in guess.remarks) == 2
    told = read_log(bare, unit="degF", time_unit="min")
    assert told.unit_sure
    assert told.time_sure
    assert told.celsius == guess.celsius
    assert read_log(lines("{t:.0f},{c:.1f}", scale=60.0)).time_unit == "s"


def test_second_temperature_column() -> None:
    text = "\n".join(f"{t},{177.0},{c}" for t, c in CURVE)
    assert read_log(text, column=2).celsius == pytest.approx([c for _, c in CURVE])


def test_gaps_blanks_and_repeats() -> None:
    rows = [f"{0.5 * i},{22 + i}" for i in range(60) if not 20 <= i < 35]
    rows.insert(5, "2.0,")
    rows.insert(10, rows[9])
    log = read_log("time (min),temp (C)\n" + "\n".join(rows))
    assert log.gaps == ((9.5, 17.5),)
    assert any("skipped" in remark for remark in log.remarks)
    assert len(set(log.minutes)) == len(log.minutes)


def test_every_problem_at_once() -> None:
    with pytest.raises(BadInput) as caught:
        read_log("0,20\n1,25\n0.5,900\n2,30\n3,35\n4,40\n", unit="degC", time_unit="min", place="log.csv")
    assert len(caught.value.problems) == 2
    assert all("log.csv" in problem.place for problem in caught.value.problems)
    with pytest.raises(BadInput, match="at least 6"):
        read_log("hello\nworld\n1,2\n")


def test_readings_of_one_moment_are_no_log() -> None:
    with pytest.raises(BadInput, match="readings at 2 different times"):
        read_log("time (min),temp (C)\n" + "3,40\n" * 20 + "4,41\n")
    with pytest.raises(BadInput, match="readings at 1 different times"):
        read_log("time (min),temp (C)\n" + "3,40\n" * 6)


def celsius(values: list[float]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    return tuple(0.5 * i for i in range(len(values))), tuple(values)


def test_a_good_log_raises_no_doubt() -> None:
    minutes, values = zip(*CURVE, strict=True)
    assert log_doubts(minutes, values, 99.97) == ()


@pytest.mark.parametrize(
    ("values", "word"),
    [
        ([72.0 + 3 * i for i in range(40)], "unit is wrong"),
        ([22.0 + 3.5 * i for i in range(40)], "above what crumb can"),
        ([5.0 + 0.5 * i for i in range(40)], "never passes"),
        ([22.0 + i for i in range(20)] + [62.0 + i for i in range(20)], "jumps"),
        ([22.0 + 2 * i for i in range(30)] + [80.0 - 2 * i for i in range(10)], "fallen"),
    ],
)
def test_impossible_logs_are_told(values: list[float], word: str) -> None:
    assert any(word in doubt for doubt in log_doubts(*celsius(values), 99.97))


@given(st.lists(st.tuples(st.floats(0.1, 2.0), st.floats(0.0, 3.0)), min_size=8, max_size=40))
def test_any_clean_log_is_read_back(steps: list[tuple[float, float]]) -> None:
    t, c, rows = 0.0, 20.0, []
    for dt, dc in steps:
        t, c = t + dt, min(c + dc, 99.0)
        rows.append((t, c))
    text = "time (min);temp (C)\n" + "\n".join(f"{a:.4f};{b:.3f}".replace(".", ",") for a, b in rows)
    log = read_log(text)
    assert log.minutes == pytest.approx([a - rows[0][0] for a, _ in rows], abs=2e-4)
    assert log.celsius == pytest.approx([b for _, b in rows], abs=6e-4)
