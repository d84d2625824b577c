"""A few of the cases of tools/fuzz.py; the tool itself runs a hundred thousand."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tierwright.errors import BadInput
from tierwright.keeping.weather import read_weather

ROOT = Path(__file__).resolve().parents[2]


def test_spoilt_input_is_answered_or_refused_in_words() -> None:
    run = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "fuzz.py"), "--cases", "400", "--seed", "3"],
        capture_output=True, text=True, check=False, env=os.environ | {"TIERWRIGHT_SECRET": "x" * 50},
    )  # fmt: skip
    assert run.returncode == 0, run.stderr[-4000:]
    assert "cases: 400" in run.stdout


def test_a_weather_line_that_is_cut_off_is_named() -> None:
    with pytest.raises(BadInput, match="line 3"):
        read_weather("time,air_c,humidity\n2026-06-20T10:00,18,60%\n2026-06-20T11:00,1", zone="UTC")


def test_a_weather_head_with_spaces_is_read() -> None:
    (hour,) = read_weather("time , air_c,humidity \n2026-06-20T10:00,18,60%", zone="UTC")
    assert hour.air_c == 18.0
