"""From the kitchen's colour book and a brief's wish to what is stirred into a tier's coat."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tierwright.brief import read_kitchen
from tierwright.brief.colours import ColourBook, MixEntry
from tierwright.brief.decor import CoatColour
from tierwright.finish.colour import delta_e_2000, lab_of_hex
from tierwright.finish.model import Rim, Surface
from tierwright.finish.tints import colours_of, from_plants, mixes_of, wished, work_tints
from tierwright.shapes import Outline
from tierwright.working import Severity

BOOK = read_kitchen(Path("examples/centenary/kitchen.toml")).colours
TIER = Surface(
    tier=1,
    name="bottom",
    foot=Rim(outline=Outline.round(254), by_mm=7),
    top_scale=1.0,
    foot_mm=0.0,
    top_mm=115.0,
    ground=None,
    above=None,
    coat="swiss-buttercream",
    colour="#f5ecd2",
)


def wish(text: str) -> list[CoatColour]:
    return [CoatColour(tier=1, wanted=text)]


def test_drops_become_grams() -> None:
    blush = next(mix for mix in mixes_of(BOOK) if mix.name == "blush")
    rose = next(entry for entry in BOOK.own if entry.key == "rose")
    assert rose.drop is not None
    (dose,) = blush.doses
    assert dose.colour == "rose"
    assert dose.g_per_100g == pytest.approx(2 * rose.drop)
    assert [one.key for one in colours_of(BOOK)] == [entry.key for entry in BOOK.own]


def test_an_instruments_white_is_brought_over() -> None:
    entry = MixEntry(name="x", base="b", seen="lab 80 5 60", light="D50")
    d50, d65 = (mixes_of(ColourBook(mixes=(entry.model_copy(update={"light": light}),)))[0] for light in ("D50", "D65"))
    assert 0.2 < delta_e_2000(d50.seen, d65.seen) < 5


def test_a_wish_by_number_or_by_name() -> None:
    assert wished("#f4ead2", BOOK) == lab_of_hex("#f4ead2")
    assert wished(" Blush ", BOOK) == lab_of_hex("#ffb5cc")
    assert wished("no such mix", BOOK) is None


def test_a_reachable_wish_is_measured_out_for_the_tier() -> None:
    (tint,), notes = work_tints(wish("heather"), [TIER], {1: 900.0}, BOOK)
    assert tint.match.reached
    assert notes.questions == ()
    assert tint.batch.base_g == 900.0
    assert {name for _, name in tint.names} == {"Rose paste", "Boathouse blue"}
    assert "finish.caution.colour.pink_fades" in {one.key for one in notes.cautions}
    figure = notes.figures[0]
    assert figure.high is not None
    assert figure.high - float(figure.value) == pytest.approx(tint.match.mean_error)


def test_the_scale_that_weighs_colours_is_the_kitchens() -> None:
    coarse = BOOK.model_copy(update={"scale_step": 1.0})
    fine = BOOK.model_copy(update={"scale_step": 0.01})
    (rough,), _ = work_tints(wish("primrose"), [TIER], {1: 300.0}, coarse)
    (exact,), _ = work_tints(wish("primrose"), [TIER], {1: 300.0}, fine)
    assert exact.batch.delta_e < rough.batch.delta_e
    assert all(one.g == round(one.g) for one in rough.batch.portions if not one.drops)


@pytest.mark.parametrize(
    ("text", "coat", "grams", "said"),
    [
        ("#0000ff", "swiss-buttercream", 900.0, "nearest colour"),
        ("mauve of the club", "swiss-buttercream", 900.0, "Which colour is"),
        ("#ffb5cc", "plant-buttercream", 900.0, "How is the coat"),
        ("#ffb5cc", "", 900.0, "Which coat is it"),
    ],
)
def test_what_cannot_be_answered_is_asked(text: str, coat: str, grams: float, said: str) -> None:
    _, notes = work_tints(wish(text), [replace(TIER, coat=coat)], {1: grams}, BOOK)
    (question,) = notes.questions
    assert said in question.text
    assert question.severity is Severity.ASK
    assert question.change


def test_plants_are_told_apart() -> None:
    assert from_plants({"cocoa"}, BOOK)
    assert not from_plants({"rose", "lemon"}, BOOK)
