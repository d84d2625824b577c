"""``tierwright picture``, run as a person runs it."""

from __future__ import annotations

import json
from importlib.util import find_spec
from pathlib import Path

import pytest
from tests.cli.calling import run
from tests.cli.test_commands import COMMISSION


def test_it_says_what_is_to_be_seen_without_making_a_picture() -> None:
    done = run("picture", COMMISSION, "--json")
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    # The section's own height: three tiers of the example on a 12 mm drum.
    assert (said["tiers"], said["height_mm"]) == (3, 332.3)
    assert "file" not in said


@pytest.mark.skipif(find_spec("mitsuba") is None, reason="the extra called picture is not installed")
def test_it_writes_a_picture_of_the_size_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "picture.png"
    done = run("picture", COMMISSION, "--out", str(out), "--width", "18", "--samples", "1", "--json")
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert (said["width_px"], said["height_px"], said["samples"]) == (18, 22, 1)
    assert out.read_bytes()[16:24] == (18).to_bytes(4, "big") + (22).to_bytes(4, "big")


def test_a_file_of_another_kind_is_refused_before_anything_is_worked(tmp_path: Path) -> None:
    done = run("picture", COMMISSION, "--out", str(tmp_path / "picture.gif"))
    assert done.returncode == 2
    assert "picture.gif" in done.stderr
    assert not list(tmp_path.iterdir())
