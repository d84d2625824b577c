"""The book of colours: a wish worked out, refused with the nearest, and nothing typed lost."""

from __future__ import annotations

import pytest
from tests.web.conftest import Cast

from tierwright.web.models import Kitchen


def page(cast: Cast, **asked: str) -> str:
    return f"/k/{cast.kitchen.pk}/books/colours/" + (
        "?" + "&".join(f"{k}={v}" for k, v in asked.items()) if asked else ""
    )


def test_a_recorded_mix_is_met_and_measured_out(cast: Cast) -> None:
    answer = cast.client(cast.ben).get(page(cast, wish="blush", mass="800 g", base="swiss-buttercream"))
    said = answer.content.decode()
    assert answer.status_code == 200
    assert "Reachable" in said
    assert "Rose paste" in said
    assert "drops" in said
    assert "on average" in said  # its own misses are said beside it
    assert "style=" not in said


def test_what_cannot_be_reached_says_the_nearest(cast: Cast) -> None:
    answer = cast.client(cast.ada).get(page(cast, wish="%230000ff", mass="800 g"))
    said = answer.content.decode()
    assert answer.status_code == 200
    assert "Not reachable" in said
    assert "nearest is" in said
    assert "Cheapest change" in said


@pytest.mark.parametrize(
    ("asked", "what"),
    [
        ({"wish": "no such mix", "mass": "800 g"}, "the name of a recorded mix"),
        ({"wish": "lab 140 0 0", "mass": "800 g"}, "the name of a recorded mix"),
        ({"wish": "blush", "mass": "two bowls"}, "two bowls"),
        ({"wish": "blush", "mass": "1 g"}, "From 20 g to 50 kg."),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stands(cast: Cast, asked: dict[str, str], what: str) -> None:
    answer = cast.client(cast.ada).get(page(cast, **asked))
    said = answer.content.decode()
    assert answer.status_code == 422
    assert what in said
    assert f'value="{asked["wish"]}"' in said
    assert f'value="{asked["mass"]}"' in said


def test_a_kitchen_without_mixes_is_told_how_to_begin(cast: Cast) -> None:
    row = Kitchen.objects.get(pk=cast.kitchen.pk)
    row.data = {**row.data, "colours": {}}
    row.save()
    said = cast.client(cast.ada).get(page(cast)).content.decode()
    assert "No mix is recorded yet" in said


def test_a_base_without_its_bare_colour_is_not_guessed_at(cast: Cast) -> None:
    row = Kitchen.objects.get(pk=cast.kitchen.pk)
    colours = row.data["colours"]
    colours["mixes"] = [mix for mix in colours["mixes"] if mix.get("doses")]
    row.save()
    answer = cast.client(cast.ada).get(page(cast, wish="blush", mass="800 g"))
    assert "Not yet: the colour of bare swiss-buttercream" in answer.content.decode()
