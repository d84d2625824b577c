from __future__ import annotations

from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sheets import sample

from tierwright.sheets import show
from tierwright.sheets.page import Json
from tierwright.units import Display, LengthUnit, MassUnit
from tierwright.working import COMMON_PRACTICE, Caution, Estimate, Question, Severity

METRIC = Display()


def rows(data: Json, *path: str | int) -> list[dict[str, str]]:
    for step in path:
        data = data[step]  # type: ignore[index]
    return cast("list[dict[str, str]]", data)


def test_questions_run_from_the_most_serious() -> None:
    cover = sample.pages()[0].data
    assert [group["severity"] for group in rows(cover, "questions")] == ["danger", "stop", "ask", "note"]
    shown = [q["text"] for i in range(4) for q in rows(cover, "questions", i, "rows")]
    assert sorted(shown) == sorted(q.text for q in sample.QUESTIONS)


@given(st.lists(st.sampled_from(list(Severity)), max_size=12))
def test_no_question_is_lost_and_none_overtakes(severities: list[Severity]) -> None:
    questions = [Question(key=str(i), severity=s, sheet="tiers", text="?", reason="") for i, s in enumerate(severities)]
    ranked = show.by_severity(questions)
    assert sorted(q.key for q in ranked) == sorted(q.key for q in questions)
    assert [q.severity for q in ranked] == sorted(severities, reverse=True)


def test_every_severity_has_its_own_mark_and_word() -> None:
    assert len({mark for mark, _ in show.SEVERITY_WORDS.values()}) == len(Severity)
    assert len({word for _, word in show.SEVERITY_WORDS.values()}) == len(Severity)


@pytest.mark.parametrize(
    ("low", "high", "unit", "display", "expected"),
    [
        (976.0, 1101.0, "g", METRIC, "976 to 1101 g"),
        (9.4, 10.6, "g", METRIC, "9.4 to 11 g"),
        (9000.0, 11000.0, "g", METRIC, "9000 g to 11.00 kg"),
        (28.0, 32.0, "mm", METRIC, "2.8 to 3.2 cm"),
        (28.0, 32.0, "mm", Display(length=LengthUnit.INCH), "1 1/8 in to 1 1/4 in"),
        (453.6, 907.2, "g", Display(mass=MassUnit.US), "1 to 2 lb"),
        (453.6, 907.2, "g", Display(mass=MassUnit.BOTH), "454 to 907 g"),
        (5.0, 5.0, "g", METRIC, ""),
        (100.01, 100.02, "g", METRIC, ""),
        (40000.0, 50000.0, "mm2", METRIC, "400 to 500 cm²"),
        (0.1, 0.2, "1", METRIC, "0.1 to 0.2"),
    ],
)
def test_ranges_say_their_unit_once(low: float, high: float, unit: str, display: Display, expected: str) -> None:
    assert show.spread(display, low, high, unit) == expected


def test_areas_convert_exactly() -> None:
    # 1 in = 25.4 mm exactly (NIST SP 811, appendix B.8), so 1 sq in = 645.16 mm2.
    assert show.shown(Display(length=LengthUnit.INCH), 645.16 * 12, "mm2") == "12 sq in"
    assert show.shown(METRIC, 645.16 * 100, "mm2") == "645 cm²"


def caution(step: str) -> Caution:
    return Caution(key="k", sheet="formulas", step=step, text="t", reason="r", source=COMMON_PRACTICE)


def test_a_hazard_stands_at_its_step_once() -> None:
    steps, left = show.steps_with_cautions(
        ["Boil the syrup.", "Pour the SYRUP.", "Cool."], [caution("syrup"), caution("")]
    )
    assert [len(cast("list[Json]", cast("dict[str, Json]", step)["cautions"])) for step in steps] == [1, 0, 0]
    assert len(left) == 1


def test_a_hazard_without_its_step_is_still_printed_and_named() -> None:
    steps, left = show.steps_with_cautions(["Fold."], [caution("boil")])
    assert cast("dict[str, Json]", left[0])["step"] == "boil"
    assert len(steps) == 1


@given(st.lists(st.text(max_size=8), max_size=6), st.lists(st.text(max_size=4), max_size=6))
def test_hazards_are_never_dropped(steps: list[str], at: list[str]) -> None:
    placed, left = show.steps_with_cautions(steps, [caution(step) for step in at])
    held = sum(len(cast("list[Json]", cast("dict[str, Json]", step)["cautions"])) for step in placed)
    assert held + len(left) == len(at)


def test_all_hazards_are_on_the_cover() -> None:
    assert {c["text"] for c in rows(sample.pages()[0].data, "cautions")} == {c.text for c in sample.CAUTIONS}


def test_mixing_sheet_weighs_what_the_formula_room_gave() -> None:
    page = sample.pages()[1]
    batch = sample.WORKS[0].batch
    assert batch is not None
    mixes = rows(page.data, "mixes")
    # Two mixes with the same weights share one table with two boxes.
    assert len(mixes) == 1
    assert cast("dict[str, Json]", mixes[0])["ticks"] == 2
    parts = rows(page.data, "mixes", 0, "parts")
    assert [p["label"] for p in parts] == [part.label for part in batch.mixes[0].parts]
    assert parts[0]["weight"] == "454 g"
    assert parts[2]["note"] == "8 in number; at 20 °C"


def test_mixes_that_differ_have_their_own_tables() -> None:
    from dataclasses import replace

    from tierwright.sheets import mixing

    batch = sample.WORKS[0].batch
    assert batch is not None
    second = replace(batch.mixes[1], parts=batch.mixes[1].parts[:-1])
    work = replace(sample.WORKS[0], batch=replace(batch, mixes=(batch.mixes[0], second)))
    (page,) = mixing.pages([work], display=METRIC)
    assert [m["title"] for m in rows(page.data, "mixes")] == ["Mix 1 of 2", "Mix 2 of 2"]


def test_like_pans_share_a_line_and_every_layer_is_named() -> None:
    fills = rows(sample.pages()[1].data, "fills")
    assert [f["pan"] for f in fills] == [
        "bottom tier, layers 1, 2: round 10 in, 2 in deep",
        "bottom tier, layer 3: round 10 in, 2 in deep",
    ]
    assert fills[0]["batter"].endswith("each")


def test_lining_strip_goes_round_the_pan() -> None:
    page = next(p for p in sample.pages() if p.template == "pans")
    strip = rows(page.data, "pans")[0]["strip"].replace("\u00a0", " ")
    # pi x 254 mm = 797.96 mm and 25 mm of overlap; 23 mm is 45 % of a pan 51.1 mm deep, and 10 mm above its edge.
    assert strip == "strip 82.3 cm × 6.1 cm"


def test_keepsake_is_set_aside_and_not_counted() -> None:
    page = next(p for p in sample.pages() if p.template == "cutting")
    steps = [s["text"] for s in rows(page.data, "dismantling")]
    assert "Lift the top tier off on its own board and set it aside whole, in its box." in steps
    assert steps[-1].startswith("Cut the bottom tier last")
    assert ["kept, not cut", "top tier"] in cast("list[list[str]]", page.data["facts"])


def test_working_shows_every_figure() -> None:
    page = next(p for p in sample.pages() if p.template == "working")
    labels = [f["label"] for g in rows(page.data, "groups") for f in cast("list[dict[str, str]]", g["figures"])]
    assert sorted(labels) == sorted(f.label for f in sample.FIGURES)


def test_exact_figures_have_no_range() -> None:
    assert show.estimate_range(METRIC, Estimate.exact(12.0), "g") == ""
