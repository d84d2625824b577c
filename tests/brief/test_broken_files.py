"""Broken files: each gives one clear report with the place and what would work, and nothing else happens."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tierwright.brief import parse_commission, read_brief, read_commission, read_kitchen, read_table
from tierwright.errors import BadInput

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"
Table = dict[str, Any]


def commission_data() -> Table:
    commission = read_commission(EXAMPLE / "commission.toml")
    return json.loads(commission.model_dump_json(by_alias=True))  # type: ignore[no-any-return]


def kitchen_data() -> Table:
    return read_table(EXAMPLE / "kitchen.toml")


@pytest.fixture(scope="module")
def good() -> Table:
    return commission_data()


def put(*path: str | int, value: Any) -> Callable[[Table], None]:
    def change(data: Table) -> None:
        here: Any = data
        for step in path[:-1]:
            here = here[step]
        here[path[-1]] = value

    return change


def drop(*path: str | int) -> Callable[[Table], None]:
    def change(data: Table) -> None:
        here: Any = data
        for step in path[:-1]:
            here = here[step]
        del here[path[-1]]

    return change


# (what to break, the place the report must name, what it must say)
COMMISSIONS: list[tuple[Callable[[Table], None], str, str]] = [
    (drop("title"), "title", "text"),
    (drop("day"), "day", "[day]"),
    (drop("day", "timezone"), "day.timezone", "IANA"),
    (drop("cake", "flavours"), "cake.flavours", "list"),
    (drop("venue", "temperature"), "venue.temperature", "quantity"),
    (drop("formulas"), "formulas", "list"),
    (drop("format"), "format", ""),
    (put("format", value=2), "format", "1"),
    (put("titel", value="x"), "titel", "title"),
    (put("guests", "attendng", value=100), "guests.attendng", "attending"),
    (put("cake", "flavours", 1, "fillin", value="lemon-curd"), "cake.flavours[2].fillin", "filling"),
    (put("guests", "invited", value=-5), "guests.invited", "1"),
    (put("guests", "invited", value=0), "guests.invited", "1"),
    (put("guests", "invited", value="many"), "guests.invited", "integer"),
    (put("guests", "invited", value=10**12), "guests.invited", "5000"),
    (put("guests", "attending", value="118 to 102"), "guests.attending", "upward"),
    (put("guests", "attending", value="90 to 130"), "guests.attending", "124 invited"),
    (put("guests", "attending", value="lots"), "guests.attending", "104 to 116"),
    (put("guests", "eating_cake", value="76 to 190 %"), "guests.eating_cake", "100 %"),
    (put("guests", "eating_cake", value=[0.8]), "guests.eating_cake", "85 %"),
    (put("guests", "shortage_risk", value="90 %"), "guests.shortage_risk", "0.5"),
    (put("guests", "other_dessert", value="sum"), "guests.other_dessert", "some"),
    (put("day", "date", value="2027-02-30"), "day.date", "date"),
    (put("day", "date", value="26/06/2027"), "day.date", "date"),
    (put("day", "timezone", value="America/Denvr"), "day.timezone", "America/Denver"),
    (put("day", "cutting", value="25:00"), "day.cutting", "16:30"),
    (put("day", "cutting", value=20), "day.cutting", "16:30"),
    (put("day", "handover", value="20:00"), "day.handover", "19:30"),
    (put("day", "cutting", value="17:30"), "day.cutting", "18 h"),
    (put("portion", "width", value="1"), "portion.width", "9 in"),
    (put("portion", "width", value=25.4), "portion.width", "unit"),
    (put("portion", "width", value="1 g"), "portion.width", "9 in"),
    (put("portion", "width", value="-1 in"), "portion.width", "10"),
    (put("portion", "width", value="900 mm"), "portion.width", "120"),
    (put("portion", "width", value="nan mm"), "portion.width", "9 in"),
    (put("portion", "pattern", value="ring"), "portion.pattern", "rings"),
    (put("portion", "measured_at", value="the edge"), "portion.measured_at", "outer edge"),
    (put("cake", "tiers", value=40), "cake.tiers", "8"),
    (put("cake", "layers", value=2.5), "cake.layers", "integer"),
    (put("cake", "shape", value="sqare"), "cake.shape", "square"),
    (put("cake", "coating", value="semi naked"), "cake.coating", "semi-naked"),
    (put("cake", "finish", value="Combed!"), "cake.finish", "combed"),
    (put("cake", "flavours", value=[]), "cake.flavours", "at least 1"),
    (put("cake", "flavours", 0, "cake", value="vanila"), "cake.flavours[1].cake", "vanilla"),
    (put("cake", "flavours", 0, "cake", value="lemon-curd"), "cake.flavours[1].cake", "cake formula"),
    (put("cake", "flavours", 2, "filling", value="blackcurant"), "cake.flavours[3].filling", "blackcurrant"),
    (put("cake", "fixed", value=[{"number": 1, "width": "2 m"}]), "cake.fixed[1].width", "1000"),
    (put("cake", "fixed", value=[{"number": 5, "width": "9 in"}]), "cake.fixed", "from 1 to 3"),
    (
        put("cake", "fixed", value=[{"number": 1, "width": "9 in"}, {"number": 1, "width": "8 in"}]),
        "cake.fixed",
        "once",
    ),
    (put("cake", "fixed", value=[{"number": 1, "shape": "rectangle", "width": "9 in"}]), "fixed[1].length", "side"),
    (put("diets", 0, "reason", value="ethic"), "diets[1].reason", "ethics"),
    (put("diets", 0, "count", value=-9), "diets[1].count", "1"),
    (put("allergies", 0, "severity", value="very"), "allergies[1].severity", "severe"),
    (put("allergies", 0, "allergen", value=""), "allergies[1].allergen", "at least 1"),
    (put("venue", "altitude", value="1,420 m"), "venue.altitude", "1420 m"),
    (put("venue", "altitude", value="9000 m"), "venue.altitude", "5000"),
    (put("venue", "temperature", value="26 to 31"), "venue.temperature", "180 C"),
    (put("venue", "temperature", value="300 C"), "venue.temperature", "50 C"),
    (put("venue", "humidity", value="20 to 350 %"), "venue.humidity", "100 %"),
    (put("venue", "outdoors", value="perhaps"), "venue.outdoors", "boolean"),
    (put("travel", "time", value="fifty minutes"), "travel.time", "50 min"),
    (put("travel", "grade", value="95 %"), "travel.grade", "0.4"),
    (put("travel", "cabin", value="21 F to 180 C"), "travel.cabin", "60 C"),
    (put("currency", value="dollars"), "currency", "pattern"),
    (put("budget", value="about 1000"), "budget", "12.50"),
    (put("budget", value=-1), "budget", "0"),
    (put("budget", value="1e400"), "budget", ""),
    (put("jurisdiction", value="USA"), "jurisdiction", "US"),
    (put("formulas", 0, "kind", value="butter cake"), "formulas[1].kind", "creamed"),
    (put("formulas", 0, "lines", value=[]), "formulas[1]", "ingredient lines"),
    (put("formulas", 0, "key", value="Vanilla Cake"), "formulas[1].key", "pattern"),
    (put("formulas", 1, "key", value="vanilla"), "formulas", "differ"),
    (put("formulas", 0, "specific_gravity", value=86), "formulas[1].specific_gravity", "1.4"),
    (put("formulas", 0, "egg_size", value="us_huge"), "formulas[1].egg_size", "us_large"),
    (put("formulas", 0, "measures", value="british"), "formulas[1].measures", "imperial"),
    (put("formulas", 0, "lines", value=["x" * 5000]), "formulas[1].lines[1]", "300"),
    (put("venue", value="Boathouse"), "venue", "Venue"),
    (put("guests", value=None), "guests", "Guests"),
]


@pytest.mark.parametrize(
    ("break_it", "place", "says"), COMMISSIONS, ids=[f"{i}-{c[1]}" for i, c in enumerate(COMMISSIONS)]
)
def test_each_fault_is_named_with_what_would_work(
    good: Table, break_it: Callable[[Table], None], place: str, says: str
) -> None:
    data = copy.deepcopy(good)
    break_it(data)
    with pytest.raises(BadInput) as caught:
        parse_commission(data, "order.toml")
    hits = [p for p in caught.value.problems if place in p.place]
    assert hits, f"no problem names {place}: {caught.value}"
    assert any(says in f"{p.expected} {p.nearest}" for p in hits), str(caught.value)
    assert all(len(p.found) < 120 for p in caught.value.problems)


def test_every_fault_is_reported_at_once(good: Table) -> None:
    data = copy.deepcopy(good)
    for break_it in (drop("title"), put("guests", "invited", value=-1), put("cake", "layers", value=99)):
        break_it(data)
    with pytest.raises(BadInput) as caught:
        parse_commission(data, "order.toml")
    assert [p.place for p in caught.value.problems] == [
        "order.toml: title",
        "order.toml: guests.invited",
        "order.toml: cake.layers",
    ]


TEXTS: list[tuple[str, bytes, str]] = [
    ("empty.toml", b"", "format"),
    ("torn.toml", b'title = "Supper', "correct TOML"),
    ("twice.toml", b'title = "a"\ntitle = "b"\n', "correct TOML"),
    ("torn.json", b'{"title": ', "correct JSON"),
    ("list.json", b"[1, 2]", "table of named values"),
    ("nan.json", b'{"format": NaN}', "correct JSON"),
    ("binary.toml", bytes(range(256)), "TOML or JSON"),
    ("zeros.toml", b"\x00" * 100, "TOML or JSON"),
    ("deep.json", b'{"a":' * 60 + b"1" + b"}" * 60, "levels"),
    ("abyss.json", b"[" * 200_000, "levels"),
    ("abyss.toml", b"a = " + b"[" * 100_000, "levels"),
    ("huge.toml", b"# " + b"x" * 10_000_000, "4 MB"),
    ("digits.json", b'{"format": ' + b"9" * 20_000 + b"}", "length"),
    ("nan.toml", b"format = nan\n", "format"),
]


@pytest.mark.parametrize(("name", "content", "says"), TEXTS, ids=[t[0] for t in TEXTS])
def test_files_that_are_no_brief_at_all(tmp_path: Path, name: str, content: bytes, says: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(BadInput) as caught:
        read_commission(path)
    assert says in str(caught.value)
    assert [p.name for p in tmp_path.iterdir()] == [name]


def test_a_missing_file_names_its_neighbour(tmp_path: Path) -> None:
    (tmp_path / "commission.toml").write_text("")
    with pytest.raises(BadInput, match=r"commission\.toml"):
        read_commission(tmp_path / "comission.toml")


def test_both_files_are_reported_together(tmp_path: Path) -> None:
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text("format = 3\n")
    with pytest.raises(BadInput) as caught:
        read_brief(tmp_path / "a.toml", tmp_path / "b.toml")
    assert {p.place.split(":")[0] for p in caught.value.problems} == {"a.toml", "b.toml"}


@pytest.mark.parametrize("name", ["/etc/hostname", "../up.toml", "", 7])
def test_formula_files_stay_beside_the_commission(tmp_path: Path, name: object) -> None:
    path = tmp_path / "order.json"
    path.write_text(json.dumps({"formulas": [{"key": "a", "file": name}]}))
    with pytest.raises(BadInput) as caught:
        read_commission(path)
    assert any("beside or below" in p.expected for p in caught.value.problems)


KITCHENS: list[tuple[Callable[[Table], None], str, str]] = [
    (put("pans", 0, value={"pan": "round_9x4_in"}), "pans[1].pan", "round_9x"),
    (put("pans", 0, value={"pan": "round_9x2_in", "width": "9 in"}), "pans[1]", "either"),
    (put("pans", 0, value={"shape": "round", "width": "9 in"}), "pans[1]", "depth"),
    (put("pans", 0, value={"shape": "rectangle", "width": "9 in", "depth": "2 in"}), "pans[1].length", "side"),
    (put("boards", value=[{"board": "nothing"}]), "boards[1].board", "table"),
    (put("supports", value=[{"support": "nothing"}]), "supports[1].support", "table"),
    (put("prices", 0, "ingredient", value="unobtainium"), "prices[1].ingredient", "table"),
    (put("prices", 0, "pack", value="0 g"), "prices[1].pack", "0"),
    (put("ovens", value=[]), "ovens", "at least 1"),
    (put("ovens", 0, "offset", value="10"), "ovens[1].offset", "180 C"),
    (put("ovens", 0, "width", value="4 m"), "ovens[1].width", "3000"),
    (put("ovens", 0, "mode", value="fan"), "ovens[1].mode", "convection"),
    (put("mixers", 0, "bowl", value="4.8"), "mixers[1].bowl", "4.8 l"),
    (put("hands", 0, "hours", 0, "to", value="16:00"), "hands[1].hours[1]", "before"),
    (put("units", "length", value="furlong"), "units.length", "in"),
]


@pytest.mark.parametrize(("break_it", "place", "says"), KITCHENS, ids=[f"{i}-{c[1]}" for i, c in enumerate(KITCHENS)])
def test_faults_of_a_kitchen(tmp_path: Path, break_it: Callable[[Table], None], place: str, says: str) -> None:
    data = kitchen_data()
    break_it(data)
    path = tmp_path / "kitchen.json"
    path.write_text(json.dumps(data, default=str))
    with pytest.raises(BadInput) as caught:
        read_kitchen(path)
    hits = [p for p in caught.value.problems if place in p.place]
    assert any(says in f"{p.expected} {p.nearest}" for p in hits), str(caught.value)
