"""The maker's colours and recorded mixes as they are written down: read, written back, and refused by name."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from tierwright.brief import parse_kitchen, read_kitchen
from tierwright.brief.colours import ColourBook, DoseEntry, MixEntry
from tierwright.errors import BadInput

KITCHEN = Path("examples/centenary/kitchen.toml")


def mix(**changed: Any) -> dict[str, Any]:
    return {"name": "blush", "base": "swiss-buttercream", "doses": ["2 drops rose"], "seen": "#f5c3cd", **changed}


class TestReading:
    @pytest.mark.parametrize(
        ("text", "amount", "unit", "written"),
        [
            ("3 drops rose", 3, "drop", "3 drops rose"),
            ("1 drop of rose", 1, "drop", "1 drop rose"),
            ("0.25 g rose", 0.25, "g", "0.25 g rose"),
            ("0,25 g rose", 0.25, "g", "0.25 g rose"),
            ("250 mg rose", 0.25, "g", "0.25 g rose"),
            ("2.5 Drops Rose", 2.5, "drop", "2.5 drops rose"),
        ],
    )
    def test_doses(self, text: str, amount: float, unit: str, written: str) -> None:
        read = MixEntry(**mix(doses=[text]))
        assert read.doses == (DoseEntry(amount=amount, unit=unit, colour="rose"),)  # type: ignore[arg-type]
        assert read.model_dump()["doses"] == (written,)
        assert MixEntry(**read.model_dump()) == read

    @pytest.mark.parametrize("text", ["rose", "3 rose", "3 spoons rose", "-1 g rose", "0 g rose", "3 drops", ""])
    def test_no_dose(self, text: str) -> None:
        with pytest.raises(ValidationError):
            MixEntry(**mix(doses=[text]))

    @pytest.mark.parametrize("seen", ["blush", "#12", "lab 93", "lab 140 0 0", ""])
    def test_a_mix_is_measured_and_not_named(self, seen: str) -> None:
        with pytest.raises(ValidationError):
            MixEntry(**mix(seen=seen))


class TestKitchen:
    @pytest.fixture(scope="class")
    @classmethod
    def data(cls) -> dict[str, Any]:
        return read_kitchen(KITCHEN).model_dump(mode="json")

    def test_the_example_is_read_and_comes_back(self, data: dict[str, Any]) -> None:
        kitchen = read_kitchen(KITCHEN)
        assert len(kitchen.colours.own) == 5
        assert any(not one.doses for one in kitchen.colours.mixes)
        assert parse_kitchen(data, "kitchen").colours == kitchen.colours

    def test_everything_wrong_at_once(self, data: dict[str, Any]) -> None:
        own = [{"key": "rose", "name": "Rose"}, {"key": "rose", "name": "Rose again"}]
        mixes = [mix(), mix(doses=["1 g roze"]), mix(name="cold", doses=[], light="D50")]
        with pytest.raises(BadInput) as refused:
            parse_kitchen({**data, "colours": {"own": own, "mixes": mixes}}, "kitchen")
        said = str(refused.value)
        assert "'rose' 2 times" in said
        assert "'blush' 2 times" in said
        assert "'roze'" in said
        assert "nearest that would work: rose" in said
        assert "no drop was weighed" in said
        assert "D50 with a screen's colour" in said
        assert len(refused.value.problems) == 5

    def test_a_kitchen_without_colours(self, data: dict[str, Any]) -> None:
        assert parse_kitchen({**data, "colours": {}}, "kitchen").colours == ColourBook()
