"""What comes out, in which order, where the first cut goes, what is loaded and what the kit holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from math import cos, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.handover.scene import AT, KNOWN, NAMES, PARTS, ask, piece, tier

from tierwright.handover import (
    CoatToMend,
    FlowerToSpare,
    Kind,
    Meanwhile,
    count_in,
    dismantling,
    first_cut,
    hand_over,
    spare_coat_g,
)
from tierwright.handover.kit import rows
from tierwright.support import Inedible, count_by_tier
from tierwright.words import Cutter
from tierwright.working import Basis, Estimate, Severity


def questions(**changed: object) -> dict[str, Severity]:
    return {question.key: question.severity for question in hand_over(ask(**changed)).notes.questions}


class TestCounts:
    def test_each_thing_is_of_its_kind(self) -> None:
        kinds = {(line.tier, line.what): line.kind for line in ask().counted}
        assert kinds == {
            (0, "drum 12 mm"): Kind.BASE, (1, "card 2 mm"): Kind.BOARD, (1, "wood dowel 6 mm"): Kind.SUPPORT,
            (2, "card 2 mm"): Kind.BOARD, (2, "flower pick"): Kind.PICK, (2, "wired rose"): Kind.WIRE,
        }  # fmt: skip

    def test_the_top_comes_first_and_the_base_last(self) -> None:
        tiers = [line.tier for line in ask().counted]
        assert tiers == sorted(tiers, reverse=True)
        assert ask().counted[-1].kind is Kind.BASE

    @settings(max_examples=60, deadline=None)
    @given(
        st.lists(
            st.builds(
                Inedible,
                tier=st.integers(0, 5),
                what=st.sampled_from(["drum 12 mm", "board: card 2 mm", "tube 12 mm", "flower pick", "wire", "ribbon"]),
                count=st.integers(0, 30),
                where=st.sampled_from(["under the tier", "top and side"]),
                reusable=st.booleans(),
            )
        )
    )
    def test_nothing_is_lost_or_counted_twice(self, parts: list[Inedible]) -> None:
        counted = count_in(parts, names=NAMES, stocks={"tube 12 mm"})
        by_tier: dict[int, int] = {}
        for line in counted:
            assert line.count > 0
            by_tier[line.tier] = by_tier.get(line.tier, 0) + line.count
        assert by_tier == {number: count for number, count in count_by_tier(tuple(parts)).items() if count}


class TestTakingApart:
    def test_supports_only_come_out_once_what_stands_on_them_is_off(self) -> None:
        tiers = (tier(1, "bottom", 300, 7000), tier(2, "middle", 230, 4000), tier(3, "top", 150, 1500))
        parts = [
            Inedible(tier=number, what="tube", count=count, where="upright", reusable=False)
            for number, count in ((1, 6), (2, 4))
        ]
        names = {one.number: one.name for one in tiers}
        steps = dismantling(tiers, count_in(parts, names=names, stocks={"tube"}))
        lifted = [i for i, step in enumerate(steps) if step.startswith("Lift the")]
        drawn = [i for i, step in enumerate(steps) if step.startswith("Draw the")]
        assert [steps[i].split()[2] for i in lifted] == ["top", "middle"]
        assert [("4" in steps[i], "6" in steps[i]) for i in drawn] == [(True, False), (False, True)]
        assert all(a < b for a, b in zip(lifted, drawn, strict=True))
        # Only what weighs more than a hand holds away from the body is for two.
        assert ["two people" in steps[i] for i in lifted] == [False, False]

    def test_what_sticks_in_it_comes_off_first_and_the_rod_before_any_tier(self) -> None:
        rod = Inedible(tier=0, what="centre rod: wood 12 mm", count=1, where="through all", reusable=True)
        counted = count_in((*PARTS, rod), names=NAMES, stocks={"wood dowel 6 mm"})
        steps = dismantling(ask().tiers, counted)
        assert "top 9" in steps[0]
        assert "rod" in steps[1]
        assert steps[2].startswith("Lift the top tier")
        assert steps[-1] == "When the last slice is off, count the 3 boards."

    def test_foam_and_keepsakes_are_set_aside(self) -> None:
        tiers = (
            tier(1, "bottom", 300, 7000), tier(2, "middle", 230, 700, is_cake=False),
            tier(3, "top", 150, 7000, is_kept=True),
        )  # fmt: skip
        said = " ".join(dismantling(tiers, ()))
        assert "foam, not cake" in said
        assert "it is kept" in said
        assert said.count("two people") == 1

    def test_a_single_tier_is_not_taken_apart(self) -> None:
        assert dismantling((tier(1, "only", 200, 2500),), ()) == ()


class TestFirstCut:
    def test_between_supports_at_the_front(self) -> None:
        # Five supports at 72 degrees, one at the front: the nearest gaps are 36 degrees to either side.
        places = [(60 * sin(radians(72 * i)), -60 * cos(radians(72 * i))) for i in range(5)]
        cut = first_cut(tier(1, "bottom", 254, 5000), places, depth_mm=51.0, two_tiers=True)
        assert cut.degrees == pytest.approx(36.0)
        assert cut.clear_degrees == pytest.approx(72.0)

    def test_a_cake_without_supports_is_cut_anywhere(self) -> None:
        cut = first_cut(tier(1, "only", 200, 2500), (), depth_mm=51.0, two_tiers=False)
        assert cut.clear_degrees == 360.0
        assert "no support" in cut.words

    @settings(max_examples=60, deadline=None)
    @given(
        st.lists(st.integers(0, 3599).map(lambda tenth: tenth / 10), min_size=1, max_size=12, unique=True),
        st.floats(20, 90),
    )
    def test_the_knife_is_as_far_from_every_support_as_the_widest_gap_allows(
        self, angles: list[float], radius: float
    ) -> None:
        places = [(-radius * sin(radians(a)), -radius * cos(radians(a))) for a in angles]
        cut = first_cut(tier(1, "bottom", 254, 5000), places, depth_mm=51.0, two_tiers=True)
        near = min(min((a - cut.degrees) % 360, (cut.degrees - a) % 360) for a in angles)
        around = sorted(angles)
        widest = max((b - a) % 360 or 360.0 for a, b in pairwise([*around, around[0]]))
        # Half the gap, less the degree within which the nearest to the front is taken.
        assert near >= widest / 2 - 0.5 - 1e-5
        assert cut.clear_degrees == pytest.approx(widest, abs=1e-5)

    def test_supports_one_behind_the_other_bound_no_gap(self) -> None:
        cut = first_cut(tier(1, "bottom", 254, 5000), [(0, -40), (0, -80), (0, 60)], depth_mm=51.0, two_tiers=True)
        assert cut.clear_degrees == pytest.approx(180.0)
        assert cut.degrees == pytest.approx(90.0)


class TestLoading:
    def test_the_heavy_one_goes_in_first_and_the_kit_last(self) -> None:
        extra = (piece("kitchen cake", 3.0), piece("second kitchen cake", 4.0))
        boxes = hand_over(ask(extra_pieces=extra)).boxes
        assert [box.piece.holds for box in boxes] == [
            "the bottom tier", "the top tier", "second kitchen cake", "kitchen cake", "the repair kit"
        ]  # fmt: skip
        assert [box.order for box in boxes] == [1, 2, 3, 4, 5]
        for box in boxes:
            assert box.inside_mm >= box.piece.footprint_mm
            assert box.inside_mm % 10 == box.inside_height_mm % 10 == 0

    def test_a_client_who_collects_gets_rules_and_no_kit(self) -> None:
        found = hand_over(ask(collected=True, pieces=(piece("the whole cake", 14.0, people=2),)))
        assert [box.piece.holds for box in found.boxes] == ["the whole cake"]
        assert any("two people" in rule and "14.0 kg" in rule for rule in found.carry_rules)
        assert any("mine" in said for said in found.taken_over)
        assert hand_over(ask()).carry_rules == ()


class TestKit:
    def test_spare_coat_by_its_mass_per_area(self) -> None:
        # By hand: 2 tiers x 100 cm2 x 0.6 g/cm2 x 2 + 30 g = 270 g.
        coat = CoatToMend(key="c", name="c", kind="buttercream", g_per_cm2=0.6, tiers=2)
        assert spare_coat_g(coat) == 270.0

    @settings(max_examples=60, deadline=None)
    @given(st.floats(0.05, 3.0), st.integers(1, 8))
    def test_more_tiers_or_more_coat_never_want_less(self, g_per_cm2: float, tiers: int) -> None:
        coat = CoatToMend(key="c", name="c", kind="buttercream", g_per_cm2=g_per_cm2, tiers=tiers)
        assert spare_coat_g(coat) % 10 == 0
        assert spare_coat_g(replace(coat, tiers=tiers + 1)) >= spare_coat_g(coat)
        assert spare_coat_g(replace(coat, g_per_cm2=2 * g_per_cm2)) >= spare_coat_g(coat)

    def test_tools_are_those_that_this_cake_calls_for(self) -> None:
        def keys(*facts: str) -> set[str]:
            return {tool.key for tool in hand_over(ask(facts=frozenset(facts))).kit.tools}

        assert {"offset_spatula", "level"} <= keys("buttercream", "tiers")
        assert "smoother" not in keys("buttercream", "tiers")
        assert {"smoother", "edible_glue", "pin"} <= keys("rolled")
        assert "cutter" not in keys("supports")
        assert "cutter" in keys("supports", "on_site")
        assert "comb" in keys("buttercream", "combed")

    def test_every_tool_has_a_known_condition_and_a_source(self) -> None:
        from tierwright.dossier.handover_stage import FACTS

        for row in rows():
            words = set(row["when"].replace("+", "|").split("|")) - {"always"}
            assert words <= FACTS, row["key"]
            assert Basis(row["basis"])
            assert float(row["grams"]) > 0

    def test_what_sticks_boards_down_goes_along_only_where_they_are_set_on_site(self) -> None:
        def spares(*facts: str) -> list[str]:
            return [s.what for s in hand_over(ask(facts=frozenset(facts), bond=("Royal icing", 15.0))).kit.spares]

        assert "Royal icing" in spares("tiers", "on_site")
        assert "Royal icing" not in spares("tiers")

    def test_spare_flowers_are_those_counted_in_else_a_tenth(self) -> None:
        flowers = (
            FlowerToSpare(name="pressed viola", count=40, spares=7),
            FlowerToSpare(name="rose", count=11, spares=0),
        )
        bare, decked = hand_over(ask()).kit, hand_over(ask(flowers=flowers)).kit
        # A tenth of eleven is two, rounded up; nine flowers at 3 g each.
        assert [spare.pieces for spare in decked.spares[-2:]] == [7, 2]
        assert decked.mass_g - bare.mass_g == pytest.approx(27.0)

    def test_a_bowl_that_leaves_too_little_is_asked_about(self) -> None:
        short = CoatToMend(key="c", name="coat", kind="rolled", g_per_cm2=0.6, tiers=2, over_g=20.0)
        assert "handover.spare_coats" in questions(coats=(short,))
        assert "handover.spare_coats" not in questions()


class TestVenue:
    def test_nothing_is_asked_where_all_is_known_and_fits(self) -> None:
        assert questions() == {}

    @pytest.mark.parametrize(
        ("changed", "key", "severity"),
        [
            ({"receiver": ""}, "receiver", Severity.ASK), ({"called": ""}, "who_to_call", Severity.ASK),
            ({"called_there": ""}, "contact", Severity.ASK),
            ({"table_bears_g": 8_999.0}, "table_strength", Severity.STOP),
            ({"table_bears_g": None}, "table_strength", Severity.ASK),
            ({"table_depth_mm": 455.0}, "table_size", Severity.STOP),
            ({"level": False}, "table_level", Severity.ASK), ({"shakes": True}, "shakes", Severity.ASK),
            ({"linen": False}, "linen", Severity.NOTE), ({"door_mm": 429.0}, "door", Severity.STOP),
            ({"lift_mm": (340.0, 1000.0), "stairs": 10}, "lift_size", Severity.STOP),
            ({"lift_mm": (900.0, 900.0), "lift_bears_g": 85_000.0}, "lift_strength", Severity.ASK),
        ],
    )  # fmt: skip
    def test_what_is_missing_or_does_not_fit_is_asked(
        self, changed: dict[str, object], key: str, severity: Severity
    ) -> None:
        assert questions(place=replace(KNOWN, **changed)) == {f"handover.{key}": severity}  # type: ignore[arg-type]

    @pytest.mark.parametrize("changed", [{"table_bears_g": 9_000.0}, {"table_depth_mm": 456.0}, {"door_mm": 430.0}])
    def test_what_just_fits_is_not_asked(self, changed: dict[str, float]) -> None:
        assert questions(place=replace(KNOWN, **changed)) == {}  # type: ignore[arg-type]

    def test_a_light_cake_asks_nothing_of_a_table(self) -> None:
        light = Estimate.within(3000.0, 0.1)
        assert questions(place=replace(KNOWN, table_bears_g=None), whole_g=light) == {}

    @pytest.mark.parametrize(("people", "severity"), [(1, None), (2, Severity.ASK), (3, Severity.STOP)])
    def test_stairs_matter_to_what_two_carry(self, people: int, severity: Severity | None) -> None:
        found = questions(place=replace(KNOWN, stairs=14), pieces=(piece("the whole cake", 20.0, people),))
        assert found.get("handover.stairs") is severity

    def test_another_use_of_the_room_while_the_cake_is_there_is_asked_about(self) -> None:
        def met(begins_h: float, ends_h: float, settled: bool = False) -> bool:
            one = Meanwhile(
                key="room_turn", what="the turn of the room", begins=AT + timedelta(hours=begins_h),
                ends=AT + timedelta(hours=ends_h), cake_is_settled=settled,
            )  # fmt: skip
            return "handover.room_turn" in questions(meanwhile=(one,))

        assert met(0, 1)
        assert not met(0, 1, settled=True)
        assert not met(-3, -0.75)
        assert not met(2, 3)

    def test_a_client_who_collects_is_not_asked_about_the_venue(self) -> None:
        bare = replace(KNOWN, table_bears_g=None, door_mm=100.0, called_there="", receiver="")
        found = questions(place=bare, collected=True)
        assert found == {"handover.receiver": Severity.ASK}


def test_hazards_stand_where_the_hand_is() -> None:
    found = hand_over(ask(pieces=(piece("the whole cake", 15.0, people=2),)))
    keys = [caution.key for caution in found.notes.cautions]
    assert keys == [f"handover.{key}" for key in ("count_out", "knife", "lifting", "allergens", "cold")]
    assert all(caution.reason and caution.source.basis for caution in found.notes.cautions)
    assert "17 pieces" in found.notes.cautions[0].text
    assert "handover.cold" not in {c.key for c in hand_over(ask(stands_cold=False)).notes.cautions}


def test_whoever_has_never_cut_a_cake_is_told_more() -> None:
    lines = {who: sum(len(line) for line in hand_over(ask(cut_by=who)).knife) for who in Cutter}
    assert lines[Cutter.CLIENT] > lines[Cutter.CATERER] > lines[Cutter.MAKER]
