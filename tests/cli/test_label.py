"""``tierwright label``, run as a person runs it."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.calling import Done
from tests.cli.calling import run as call

FORMULA = str(Path(__file__).parents[2] / "examples" / "centenary" / "formulas" / "vanilla.toml")
PACKETS = """
[[packets]]
ingredient = "vanilla_extract"
lot = "V7"
declaration = "water, ethanol, vanilla extract"

[[packets]]
ingredient = "baking_powder"
lot = "P1"
may_contain = ["wheat", "soy"]

[[packets]]
ingredient = "baking_powder_sas"
lot = "P2"
may_contain = ["wheat", "soy"]
"""


def run(*words: str) -> Done:
    return call("label", *words)


def test_without_packets_it_is_a_draft_that_asks() -> None:
    done = run(FORMULA, "--law", "UK", "--portions", "12")
    assert done.returncode == 0, done.stderr
    assert "DRAFT" in done.stdout
    assert "ask: What is in vanilla extract is not settled" in done.stdout


def test_packets_settle_it_and_files_are_written(tmp_path: Path) -> None:
    packets = tmp_path / "packets.toml"
    packets.write_text(PACKETS)
    done = run(FORMULA, "--law", "US", "--packets", str(packets), "--out", str(tmp_path / "out"))
    assert done.returncode == 0, done.stderr
    assert "DRAFT" not in done.stdout
    assert "May contain: soy." in done.stdout, "wheat is there already"
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"panel.svg", "stickers.svg"}
    text = json.loads(run(FORMULA, "--packets", str(packets), "--json").stdout)
    assert text["units"][0]["declaration"]["contains"] == "Contains: Milk, Egg, Wheat."


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    packets = tmp_path / "packets.toml"
    packets.write_text('[[packets]]\ningredient = "x"\n[[packets]]\nlott = "y"\n')
    done = run(FORMULA, "--packets", str(packets))
    assert done.returncode == 2
    assert done.stderr.count("found") == 4
    assert run(FORMULA, "--law", "XX").returncode == 2
    assert run(FORMULA, "--packets", str(tmp_path / "none.toml")).returncode == 2


def test_forms_are_chosen_and_refused_by_law(tmp_path: Path) -> None:
    packets = tmp_path / "packets.toml"
    packets.write_text(PACKETS + '\n[maker]\nname = "Lakeside"\naddress = "1 Quay"\n')
    done = run(FORMULA, "--form", "allergens=in-list", "--packets", str(packets))
    assert done.returncode == 0, done.stderr
    assert "Contains:" not in done.stdout
    assert "(milk)" in done.stdout
    canada = run(FORMULA, "--law", "CA", "--packets", str(packets))
    assert "Ingrédients: " in canada.stdout
    assert "Contient: " in canada.stdout
    assert "What the packet of vanilla extract says in French is not recorded." in canada.stdout
    refused = run(FORMULA, "--law", "EU", "--form", "panel=tabular", "--form", "colour=blue")
    assert refused.returncode == 2
    assert "colour=blue" in refused.stderr
    assert run(FORMULA, "--law", "US", "--form", "panel=tabular").returncode == 2, "too large a box for it"
    assert run(FORMULA, "--law", "US", "--form", "panel=tabular", "--surface", "250").returncode == 0
