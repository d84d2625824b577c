"""What can be seen of a cake: the very surfaces that were worked, boards where they show, forms of flowers."""

from __future__ import annotations

import pytest
from tests.finish.surfaces import surface

from tierwright.finish import Bloom, Flowers, Rim, Work, bloom_of, look_of
from tierwright.shapes import Outline

NOTHING_WORKED = Work()
NO_FLOWERS = Flowers()


@pytest.mark.parametrize(
    ("species", "form"),
    [
        ("garden rose", Bloom.CUPPED), ("ranunculus", Bloom.CUPPED), ("roses", Bloom.CUPPED),
        ("rosemary", Bloom.LEAF), ("English daisy", Bloom.RAYS), ("viola", Bloom.FACED),
        ("Johnny-jump-up", Bloom.FACED), ("borage", Bloom.FIVE), ("anything else", Bloom.FIVE),
    ],
)  # fmt: skip
def test_a_species_is_drawn_in_the_form_that_its_name_tells(species: str, form: Bloom) -> None:
    assert bloom_of(species) is form


def test_the_base_board_lies_under_everything_and_is_the_floor() -> None:
    board = Rim(outline=Outline.round(320.0))
    seen = look_of((surface(ground=board),), NOTHING_WORKED, NO_FLOWERS, (), base_mm=12.0)
    assert [(one.rim, one.foot_mm, one.top_mm) for one in seen.boards] == [(board, -12.0, 0.0)]
    assert (seen.floor_mm, seen.top_mm) == (-12.0, 110.0)


def test_without_a_board_the_cake_stands_on_the_table() -> None:
    seen = look_of((surface(),), NOTHING_WORKED, NO_FLOWERS, ())
    assert (seen.boards, seen.floor_mm) == ((), 0.0)
