"""``tierwright supports``, run as a person runs it."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.calling import run
from tests.cli.test_commands import COMMISSION, KITCHEN

from tierwright.support import Support


def test_it_says_what_to_cut_and_how_to_carry() -> None:
    done = run("supports", COMMISSION)
    assert done.returncode == 0, done.stderr
    for words in ("Cut list", "wood dowel 6 mm", "How it travels", "What nobody may eat", "base board"):
        assert words in done.stdout


def test_json_holds_the_whole_answer() -> None:
    done = run("supports", COMMISSION, "--kitchen", KITCHEN, "--json")
    assert done.returncode == 0, done.stderr
    work = json.loads(done.stdout)
    assert set(work["found"]) == set(Support.__dataclass_fields__)
    for level in work["found"]["levels"]:
        # Statics: what the supports push back is what they carry.
        assert abs(sum(level["reactions_n"]) - 9.80665e-3 * level["load_g"]["value"]) < 1e-3 * sum(level["reactions_n"])
        assert len(level["positions"]) == level["count"]


def test_a_kitchen_without_supports_is_told_what_it_lacks(tmp_path: Path) -> None:
    lines = Path(KITCHEN).read_text().split("[[supports]]")
    bare = tmp_path / "kitchen.toml"
    # What follows the last support is the price list.
    bare.write_text(lines[0] + "[[prices]]" + lines[-1].split("[[prices]]", 1)[1])
    done = run("supports", COMMISSION, "--kitchen", str(bare))
    assert done.returncode == 1
    assert "supports that the maker owns" in done.stderr
    asked = run("supports", COMMISSION, "--kitchen", str(bare), "--json")
    assert json.loads(asked.stdout)["error"] == "Infeasible"


def test_a_wrong_field_is_named_with_the_nearest(tmp_path: Path) -> None:
    wrong = tmp_path / "kitchen.toml"
    wrong.write_text(Path(KITCHEN).read_text().replace("[carrying]", '[carrying]\nbond = "choclate"\ncentre-rd = true'))
    done = run("supports", COMMISSION, "--kitchen", str(wrong))
    assert done.returncode == 2
    assert "carrying.bond" in done.stderr
    assert "chocolate" in done.stderr
    assert "centre_rod" in done.stderr
