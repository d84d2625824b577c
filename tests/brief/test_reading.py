"""Good files are read whole, from TOML and JSON alike."""

from __future__ import annotations

import json
from pathlib import Path

from tierwright.brief import Commission, Kitchen, parse_commission, read_brief, read_commission, read_kitchen

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"


def test_the_example_reads() -> None:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    assert brief.commission.guests.invited == 124
    assert len(brief.commission.formulas) == 8
    assert brief.commission.cutting_at.utcoffset() == brief.commission.handover_at.utcoffset()
    assert (brief.commission.cutting_at - brief.commission.handover_at).total_seconds() == 135 * 60


def test_json_reads_like_toml(tmp_path: Path) -> None:
    commission = read_commission(EXAMPLE / "commission.toml")
    kitchen = read_kitchen(EXAMPLE / "kitchen.toml")
    (tmp_path / "c.json").write_text(commission.model_dump_json(by_alias=True))
    (tmp_path / "k.json").write_text(kitchen.model_dump_json(by_alias=True))
    assert read_commission(tmp_path / "c.json") == commission
    assert read_kitchen(tmp_path / "k.json") == kitchen


def test_an_offset_is_a_difference_not_a_temperature() -> None:
    kitchen = read_kitchen(EXAMPLE / "kitchen.toml")
    offset = kitchen.ovens[0].offset
    assert offset is not None
    assert abs(offset - -10 / 1.8) < 1e-9


def test_cutting_after_midnight_is_the_next_day() -> None:
    data = json.loads(read_commission(EXAMPLE / "commission.toml").model_dump_json(by_alias=True))
    data["day"]["handover"] = "19:00"
    data["day"]["cutting"] = "00:30"
    commission = parse_commission(data, "order")
    assert (commission.cutting_at - commission.handover_at).total_seconds() == 5.5 * 3600


def test_a_plain_text_formula_takes_its_title_from_the_first_line() -> None:
    commission = read_commission(EXAMPLE / "commission.toml")
    jam = next(f for f in commission.formulas if f.key == "blackcurrant")
    assert jam.name == "Blackcurrant conserve"
    assert jam.lines[0] == "600 g blackcurrants"


def test_the_published_schemas_are_the_models_own() -> None:
    folder = Path(__file__).parents[2] / "docs" / "schema"
    for model, name in ((Commission, "commission"), (Kitchen, "kitchen")):
        published = json.loads((folder / f"{name}.schema.json").read_text())
        assert published == model.model_json_schema(by_alias=True), f"write it anew: tierwright schema {name}"
