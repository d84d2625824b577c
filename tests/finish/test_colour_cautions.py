"""What a colour does after it is mixed: the right caution for the right colour, each with its ground."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest

from tierwright.finish.colour import lab_of_hex
from tierwright.finish.colour_cautions import colour_cautions, traits
from tierwright.working import Basis


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("#f4ead2", {"pale"}),  # the bare coat
        ("#f6d5df", {"pale", "pink"}),
        ("#203060", {"deep"}),
        ("#7b2d6b", {"deep", "pink"}),
        ("#e8a33d", set()),
        ("#ffffff", set()),
        ("#111111", {"deep"}),
    ],
)
def test_what_a_colour_is(colour: str, expected: set[str]) -> None:
    assert traits(lab_of_hex(colour)) == expected


def test_each_caution_once_where_it_holds() -> None:
    keys = [one.key.rpartition(".")[2] for one in colour_cautions((lab_of_hex("#7b2d6b"), lab_of_hex("#203060")))]
    assert sorted(keys) == sorted({"darkens", "pink_fades", "venue_light", "bleeds", "label"})
    assert "plant_fades" in {
        one.key.rpartition(".")[2] for one in colour_cautions((lab_of_hex("#e8a33d"),), from_plants=True)
    }
    assert colour_cautions(()) == ()


def test_every_row_can_be_reached_and_says_why() -> None:
    rows = list(csv.DictReader((files("tierwright.finish") / "data/colour_shifts.csv").read_text().splitlines()))
    reached = colour_cautions(tuple(lab_of_hex(c) for c in ("#f4ead2", "#f6d5df", "#203060")), from_plants=True)
    assert {one.key for one in reached} == {f"finish.caution.colour.{row['key']}" for row in rows}
    for one in reached:
        assert one.reason
        assert one.step in ("mix", "match", "display")
        assert one.source.text or one.source.basis is not Basis.PUBLISHED
