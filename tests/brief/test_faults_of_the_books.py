"""Faults in what hangs on a brief, from decoration to colours: each is named, with what would work."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.brief.test_broken_files import Table, commission_data, kitchen_data, put

from tierwright.brief import parse_commission, parse_kitchen
from tierwright.brief.reading import read_formula_sheet, read_label_book
from tierwright.errors import BadInput

Change = Callable[[Table], None]


def add(*path: str | int, value: object) -> Change:
    def change(data: Table) -> None:
        here: object = data
        for step in path:
            if isinstance(here, dict) and step not in here:
                here[step] = []
            here = here[step]  # type: ignore[index]
        here.append(value)  # type: ignore[attr-defined]

    return change


def both(*changes: Change) -> Change:
    def change(data: Table) -> None:
        for one in changes:
            one(data)

    return change


LAYOUT = {"tier": 1, "support": "wood_6_mm", "places": [["20 mm", "0 mm"], ["-20 mm", "0 mm"], ["0 mm", "20 mm"]]}

COMMISSIONS: list[tuple[Change, str, str]] = [
    (put("travel", "highest", value="200 m"), "travel.highest", "altitude"),
    (lambda data: data["decor"]["textures"].append(data["decor"]["textures"][0]), "decor.textures[3].tier", "once"),
    (put("decor", "borders", 0, value={"tier": 1, "where": "side", "kind": "beads"}), "decor.borders[1]", ""),
    (put("decor", "borders", 0, "formula", value="swiss-butercream"), "decor.borders[1].formula", "swiss-buttercream"),
    (put("decor", "borders", 0, "height", value="20 mm"), "decor.borders[1].height", "side"),
    (put("decor", "drips", 0, "spacing", value="30 mm"), "decor.drips[1]", "one of them"),
    (
        both(put("decor", "flowers", 0, "count", value=5), put("decor", "flowers", 0, "coverage", value="20 %")),
        "decor.flowers[1]",
        "one of them",
    ),
    (put("decor", "colours", 0, "wanted", value="#12"), "decor.colours[1].wanted", "#f4ead2"),
    (put("decor", "colours", 0, "wanted", value="lab 300 0 0"), "decor.colours[1].wanted", "lab 93"),
    (put("labelling", value={"stress": ["moonbeams"]}), "labelling.stress[1]", "table"),
    (put("labelling", value={"english": "\x08"}), "labelling.english", "us or uk"),
    (
        put("venue", "file", "room_turn", value={"begins": "17:30", "ends": "17:30"}),
        "venue.file.room_turn",
        "differ",
    ),
    (put("venue", "file", "table", value={"width": "2 m"}), "venue.file.table", "neither"),
    (both(put("cake", "supports", value=[LAYOUT, LAYOUT])), "cake.supports", "once"),
    (put("cake", "supports", value=[LAYOUT | {"support": "wood_7_mm"}]), "cake.supports[1].support", "table"),
    (put("cake", "supports", value=[LAYOUT | {"support": "centre_rod_12_mm"}]), "cake.supports[1].support", "carries"),
    (
        both(put("cake", "tiers", value=3), put("cake", "supports", value=[LAYOUT | {"tier": 3}])),
        "cake.supports[1].tier",
        "another",
    ),
    (
        put("cake", "supports", value=[LAYOUT | {"places": [["20 mm", "0 mm"]] * 3}]),
        "cake.supports[1].places",
        "differ",
    ),
    (put("day", "handover", value="16:3"), "day.handover", "16:30"),
    (put("day", "cutting", value="20:45+02:00"), "day.cutting", "without a zone"),
    (put("guests", "attending", value=True), "guests.attending", "104 to 116"),
]

KITCHENS: list[tuple[Change, str, str]] = [
    (put("pans", 0, value={"pan": "round_9x2_in", "material": "cardboard"}), "pans[1].material", "table"),
    (both(put("supports", value=[]), put("carrying", "centre_rod", value="anchored")), "carrying.centre_rod", "rod"),
    (put("accounts", "wares", 0, "shop", value="nowhere"), "accounts.wares[1].shop", "shop"),
    (put("prices", 0, "shop", value="nowhere"), "prices[1].shop", "shop"),
    (
        both(*(add("accounts", "shops", value={"key": "corner", "name": "Corner shop"}) for _ in range(2))),
        "accounts.shops",
        "once",
    ),
    (
        add("accounts", "pantry", value={"ingredient": "moonbeams", "amount": "1 kg", "lot": "a"}),
        "accounts.pantry[1].ingredient",
        "table",
    ),
    (
        both(*(add("accounts", "pantry", value={"ingredient": "table salt", "amount": "1 kg", "lot": "a"}),) * 2),
        "accounts.pantry[2].lot",
        "no other",
    ),
    (put("accounts", "tax", "cake", value="none-such"), "accounts.tax.cake", "key of a rate"),
    (add("accounts", "times", value={"task": "juggling", "minutes": 3}), "accounts.times[1]", ""),
    (put("accounts", "pricing", value={"by": "margin"}), "accounts.pricing.margin", "margin"),
    (put("accounts", "equipment", 0, "residual", value="99999"), "accounts.equipment[1].residual", "at most"),
    (put("accounts", "equipment", 0, "price", value="free"), "accounts.equipment[1].price", "12.50"),
    (put("accounts", "equipment", 0, "price", value="1.234567"), "accounts.equipment[1].price", "12.50"),
    (put("accounts", "equipment", 0, "price", value=[1]), "accounts.equipment[1].price", "12.50"),
    (put("colours", "own", 1, "key", value="rose"), "colours.own", "once"),
    (put("colours", "mixes", 1, "doses", value=["a lot of rose"]), "colours.mixes[2].doses", "3 drops"),
    (put("colours", "mixes", 1, "doses", value=["2 drops rosee"]), "colours.mixes[2].doses[1]", "rose"),
    (put("colours", "mixes", 1, "doses", value=["2 drops lemon"]), "colours.mixes[2].doses[1]", "grams"),
    (put("colours", "mixes", 1, "seen", value="pinkish"), "colours.mixes[2].seen", "#f4ead2"),
    (put("colours", "mixes", 1, "light", value="D50"), "colours.mixes[2].light", "lab"),
    (put("hands", 0, "hours", 0, value="whenever"), "hands[1].hours[1]", "Mon 07:00"),
    (put("labelling", value={"packets": [{"ingredient": "moonbeams", "lot": "1"}]}), "packets[1].ingredient", "table"),
    (
        put("labelling", value={"packets": [{"ingredient": "table salt", "lot": "S 1"}] * 2}), "packets[2].lot",
        "does not have yet",
    ),
    (
        put(
            "labelling",
            value={"packets": [{"ingredient": "table salt", "lot": "S", "contains": ["milk"], "denied": ["milk"]}]},
        ),
        "packets[1].denied", "does not contain",
    ),
]  # fmt: skip


def raised(read: Callable[[Table, str], object], data: Table, place: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(data, "file.toml")
    hits = [one for one in caught.value.problems if place in one.place]
    assert hits, f"no problem names {place}: {caught.value}"
    assert any(says in f"{one.expected} {one.nearest}" for one in hits), str(caught.value)


@pytest.fixture(scope="module")
def good() -> Table:
    return commission_data()


@pytest.mark.parametrize(
    ("change", "place", "says"), COMMISSIONS, ids=[f"{i}-{c[1]}" for i, c in enumerate(COMMISSIONS)]
)
def test_of_a_commission(good: Table, change: Change, place: str, says: str) -> None:
    data = copy.deepcopy(good)
    change(data)
    raised(parse_commission, data, place, says)


@pytest.mark.parametrize(("change", "place", "says"), KITCHENS, ids=[f"{i}-{c[1]}" for i, c in enumerate(KITCHENS)])
def test_of_a_kitchen(change: Change, place: str, says: str) -> None:
    data = kitchen_data()
    change(data)
    raised(parse_kitchen, data, place, says)


def test_a_book_of_packets_by_itself_is_held_to_the_same(tmp_path: Path) -> None:
    book = tmp_path / "packets.toml"
    book.write_text('[[packets]]\ningredient = "table salt"\nlot = "S 1"\n')
    assert [packet.lot for packet in read_label_book(book).packets] == ["S 1"]
    book.write_text('[[packets]]\ningredient = "moonbeams"\nlot = "S 1"\n')
    with pytest.raises(BadInput, match="moonbeams"):
        read_label_book(book)


def test_what_is_no_file_to_read_is_said(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="folder"):
        read_label_book(tmp_path)
    (tmp_path / "empty.txt").write_text("\n\n")
    with pytest.raises(BadInput, match="no lines"):
        read_formula_sheet(tmp_path / "empty.txt")
