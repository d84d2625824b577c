"""A few of the trials of tools/crash.py; the tool itself runs hundreds."""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_killed_at_random_moments_nothing_acknowledged_is_lost_and_nothing_is_left_by_halves() -> None:
    run = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "crash.py"), "--trials", "16", "--seed", "7"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    heard = re.search(r"acknowledged before the end: (\d+)", run.stdout)
    assert heard is not None
    assert int(heard.group(1)) > 16
