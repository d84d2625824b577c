"""Forms over the brief: what is written comes back as typed, and what is typed lands where it belongs."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tierwright.web.frame.change import clashes, in_words
from tierwright.web.frame.filling import at, collected, fill_in, laid_out, plain, put, written
from tierwright.web.sheet import Box, Field, Part, Rows

PART = Part(
    key="part",
    title="Part",
    items=(
        Field(path="guests.invited", label="Invited", box=Box.WHOLE),
        Field(path="guests.attending", label="Coming"),
        Field(path="venue.outdoors", label="Outdoors", box=Box.TICK),
        Field(path="cake.decoration", label="Decoration", box=Box.LINES),
        Rows(
            path="diets",
            label="Diets",
            row="Diet",
            most=4,
            fields=(Field(path="diet", label="Diet"), Field(path="count", label="Guests", box=Box.WHOLE)),
        ),
    ),
)
BRIEF = {
    "guests": {"invited": 124, "attending": "102 to 118", "shortage_risk": "5 %"},
    "venue": {"outdoors": True, "name": "Boathouse"},
    "cake": {"decoration": ["violas", "a ribbon"]},
    "diets": [{"diet": "vegan", "count": 9, "reason": "ethics"}, {"diet": "halal", "count": 2}],
}

words = st.text(alphabet="abc de0123456789%", min_size=1, max_size=12).map(str.strip).filter(bool)
briefs = st.fixed_dictionaries(
    {
        "guests": st.fixed_dictionaries({"invited": st.integers(1, 5000)}, optional={"attending": words}),
        "venue": st.fixed_dictionaries({"name": words}, optional={"outdoors": st.booleans()}),
        "diets": st.lists(st.fixed_dictionaries({"diet": words, "count": st.integers(1, 99)}), min_size=1, max_size=4),
    }
)


@given(brief=briefs)
def test_a_form_that_is_sent_back_unchanged_changes_nothing(brief: dict[str, object]) -> None:
    assert fill_in(PART, brief, collected(PART, written(PART, brief))) == brief


def test_what_the_form_does_not_name_stays() -> None:
    typed = written(PART, BRIEF) | {"guests.invited": "96"}
    filled = fill_in(PART, BRIEF, typed)
    assert filled["guests"] == {"invited": 96, "attending": "102 to 118", "shortage_risk": "5 %"}
    assert filled["diets"][0]["reason"] == "ethics"
    assert BRIEF["guests"]["invited"] == 124  # type: ignore[index]


def test_an_emptied_field_is_taken_out_not_left_blank() -> None:
    filled = fill_in(PART, BRIEF, written(PART, BRIEF) | {"guests.attending": "  ", "cake.decoration": ""})
    assert "attending" not in filled["guests"]
    assert "cake" not in filled


def test_a_row_taken_away_leaves_the_others_whole_and_counted_anew() -> None:
    sent = written(PART, BRIEF) | {"diets[1]!gone": "yes", "diets[3].diet": "kosher", "diets[3].count": "1"}
    typed = collected(PART, sent)
    assert typed["diets[1].diet"] == "halal"
    assert typed["diets[2].diet"] == "kosher"
    assert fill_in(PART, BRIEF, typed)["diets"] == [{"diet": "halal", "count": 2}, {"diet": "kosher", "count": 1}]


def test_fields_that_the_form_does_not_have_are_not_taken() -> None:
    assert "currency" not in collected(PART, written(PART, BRIEF) | {"currency": "EUR"})


def test_a_page_offers_one_empty_row_until_the_brief_takes_no_more() -> None:
    rows = next(shown for shown in laid_out(PART, written(PART, BRIEF), {}) if hasattr(shown, "filled"))
    assert [row.number for row in rows.filled] == [1, 2, 0]
    full = {"diets": [{"diet": "a", "count": 1}] * 4}
    rows = next(shown for shown in laid_out(PART, written(PART, full), {}) if hasattr(shown, "filled"))
    assert [row.number for row in rows.filled] == [1, 2, 3, 4]


def test_paths_reach_into_lists() -> None:
    data: dict[str, object] = {"formulas": [{"name": "a"}, {"name": "b"}]}
    put(data, "formulas[2].name", "c")
    assert at(data, "formulas[2].name") == "c"
    assert at(data, "formulas[3].name") is None
    assert at(data, "formulas.name") is None


def test_files_become_plain_data() -> None:
    import tomllib

    read = tomllib.loads("[day]\nlast-slice = 22:30:00\ndate = 2027-06-26\n")
    assert plain(read) == {"day": {"last_slice": "22:30", "date": "2027-06-26"}}


def test_two_changes_of_different_fields_are_merged() -> None:
    then = {"a": "1", "b": "2"}
    merged, found = clashes(PART, then, {"a": "9", "b": "2"}, {"a": "1", "b": "8"})
    assert (merged, found) == ({"a": "9", "b": "8"}, [])


def test_two_changes_of_one_field_are_asked_about() -> None:
    name = "guests.invited"
    _merged, found = clashes(PART, {name: "124"}, {name: "96"}, {name: "140"})
    assert [(clash.label, clash.then, clash.theirs, clash.mine) for clash in found] == [("Invited", "124", "96", "140")]


def test_a_change_is_said_in_words() -> None:
    before = written(PART, BRIEF)
    assert in_words(PART, before, before | {"guests.invited": "96"}) == "Invited: 124 → 96"
