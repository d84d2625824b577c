"""Flowers: coverage by whole flowers, spares by the binomial law, picks and what comes off, jobs for the week."""

from __future__ import annotations

import csv
from fractions import Fraction
from importlib.resources import files
from math import comb, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import Infeasible, OutOfRange, UnknownName
from tierwright.finish.flowers import CLOSE, FINEST, FlowerSort, FlowerState, compose, pieces_of
from tierwright.finish.flowers_order import PRIOR_FLOWERS, LossRecord, order_flowers, spares_for, usual
from tierwright.finish.placement import Ground, lay
from tierwright.shapes import Outline
from tierwright.sugar import PetalBody, drying_hours
from tierwright.working import Basis

VIOLA = FlowerSort(species="viola", state=FlowerState.PRESSED, diameter_mm=25, share=3, is_food=True, where="side")
ROSE = FlowerSort(species="rose", state=FlowerState.FRESH, diameter_mm=45, where="top")
SORTS = st.lists(
    st.builds(
        FlowerSort,
        species=st.just("viola"),
        state=st.sampled_from(FlowerState),
        diameter_mm=st.floats(5, 80),
        share=st.floats(0.1, 10),
    ),
    min_size=1,
    max_size=5,
)


class TestComposition:
    @settings(max_examples=80, deadline=None)
    @given(SORTS, st.floats(3e4, 2e5), st.floats(0.05, 0.6))
    def test_within_two_per_cent_where_flowers_are_small_enough(
        self, sorts: list[FlowerSort], area_mm2: float, coverage: float
    ) -> None:
        smallest = min(pi * sort.diameter_mm**2 / 4 for sort in sorts)
        if coverage * area_mm2 / smallest > 1400:
            return
        made = compose(area_mm2, coverage, sorts)
        covered = sum(n * pi * s.diameter_mm**2 / 4 for n, s in zip(made.counts, sorts, strict=True)) / area_mm2
        assert made.coverage == pytest.approx(covered)
        assert all(count >= 0 for count in made.counts)
        if smallest <= FINEST * coverage * area_mm2:
            assert abs(covered / coverage - 1) <= CLOSE + 1e-12
            assert made.is_close

    @given(st.floats(0.1, 0.6))
    def test_shares_are_kept_as_nearly_as_whole_flowers_allow(self, coverage: float) -> None:
        sorts = [VIOLA, FlowerSort(species="daisy", state=FlowerState.PRESSED, diameter_mm=15, share=1)]
        made = compose(3e5, coverage, sorts)
        assert made.counts[0] / sum(made.counts) == pytest.approx(0.75, abs=0.04)

    def test_flowers_too_large_for_it_are_said_to_be(self) -> None:
        made = compose(1e4, 0.2, [ROSE])
        assert made.counts == (1,)
        assert not made.is_close
        assert compose(1e4, 0.3, [ROSE]).counts == (2,)  # 3000 mm2 by 1590 each: two are nearer than one

    def test_asked_coverage_lies_on_the_tier_within_two_per_cent(self) -> None:
        ground = Ground.top(Outline.round(254).polygon(), Outline.round(160).polygon())
        sorts = [VIOLA, FlowerSort(species="daisy", state=FlowerState.PRESSED, diameter_mm=12, share=2)]
        made = compose(ground.area_mm2, 0.35, sorts)
        laid = lay(ground, pieces_of(sorts, made.counts), seed=1)
        assert laid.coverage == pytest.approx(0.35, rel=CLOSE)
        assert [sum(p.key == str(i) for p in laid.pieces) for i in range(2)] == list(made.counts)

    @pytest.mark.parametrize(
        ("area", "coverage", "sorts"),
        [
            (10.0, 0.3, [VIOLA]),
            (1e4, 0.0, [VIOLA]),
            (1e4, 0.8, [VIOLA]),
            (1e4, 0.3, []),
            (4e6, 0.7, [FlowerSort(species="x", state=FlowerState.FRESH, diameter_mm=5)]),
            (1e4, 0.3, [FlowerSort(species="x", state=FlowerState.FRESH, diameter_mm=2)]),
        ],
    )
    def test_refuses(self, area: float, coverage: float, sorts: list[FlowerSort]) -> None:
        with pytest.raises(OutOfRange):
            compose(area, coverage, sorts)


def beta_binomial_short(needed: int, have: int, kept: int, gone: int) -> Fraction:
    """Chance of fewer than ``needed`` of ``have``, in whole fractions: Johnson, Kemp and Kotz (2005), eq. 6.40."""

    def rising(a: int, k: int) -> int:
        product = 1
        for i in range(k):
            product *= a + i
        return product

    return sum(
        (
            Fraction(comb(have, k) * rising(kept, k) * rising(gone, have - k), rising(kept + gone, have))
            for k in range(needed)
        ),
        start=Fraction(0),
    )


class TestSpares:
    @pytest.mark.parametrize("needed", [1, 5, 12, 30])
    @pytest.mark.parametrize("chance", [0.01, 0.05, 0.2])
    def test_the_fewest_that_will_do(self, needed: int, chance: float) -> None:
        # A loss of one in ten is 54 kept to 6 gone at the weight of sixty flowers.
        spares = spares_for(needed, 0.1, chance_short=chance)
        kept, gone = round(PRIOR_FLOWERS * 0.9), round(PRIOR_FLOWERS * 0.1)
        assert beta_binomial_short(needed, needed + spares, kept, gone) <= chance
        assert spares == 0 or beta_binomial_short(needed, needed + spares - 1, kept, gone) > chance

    def test_a_long_record_becomes_the_plain_binomial(self) -> None:
        """With ten thousand own flowers the loss is as good as known: Binomial(n, 0.9)."""
        spares = spares_for(40, 0.3, lost=1000, handled=10_000, chance_short=0.05)

        def binomial_short(have: int) -> float:
            return sum(comb(have, k) * 0.9**k * 0.1 ** (have - k) for k in range(40))

        assert binomial_short(40 + spares) <= 0.055
        assert binomial_short(40 + spares - 1) > 0.05

    def test_own_record_moves_the_number(self) -> None:
        usual_spares = spares_for(60, 0.1, chance_short=0.05)
        assert spares_for(60, 0.1, lost=2, handled=200, chance_short=0.05) < usual_spares
        assert spares_for(60, 0.1, lost=80, handled=200, chance_short=0.05) > usual_spares

    @given(st.integers(0, 300), st.floats(0.01, 0.4), st.floats(0.01, 0.3))
    @settings(max_examples=40)
    def test_more_needed_or_less_risk_is_never_fewer(self, needed: int, loss: float, chance: float) -> None:
        here = spares_for(needed, loss, chance_short=chance)
        assert needed + here <= needed + 1 + spares_for(needed + 1, loss, chance_short=chance)
        assert here <= spares_for(needed, loss, chance_short=chance / 2)

    def test_nothing_needs_nothing(self) -> None:
        assert spares_for(0, 0.1, chance_short=0.05) == 0

    @pytest.mark.parametrize(
        ("needed", "loss", "lost", "handled", "chance"),
        [(-1, 0.1, 0, 0, 0.1), (5, 0.0, 0, 0, 0.1), (5, 0.1, 3, 2, 0.1), (5, 0.1, 0, 0, 0.9)],
    )
    def test_refuses(self, needed: int, loss: float, lost: int, handled: int, chance: float) -> None:
        with pytest.raises(OutOfRange):
            spares_for(needed, loss, lost=lost, handled=handled, chance_short=chance)


class TestOrder:
    def test_picks_for_stems_and_wires_alone(self) -> None:
        wired = FlowerSort(species="peony", state=FlowerState.SUGAR_MADE, diameter_mm=70, wired=True, is_food=True)
        plain = FlowerSort(species="blossom", state=FlowerState.SUGAR_MADE, diameter_mm=20, is_food=True)
        laid = FlowerSort(species="viola", state=FlowerState.FRESH, diameter_mm=20, is_food=True, on_stem=False)
        order = order_flowers([VIOLA, ROSE, wired, plain, laid], [20, 5, 3, 9, 4])
        assert [line.picks for line in order.lines] == [0, 5, 3, 0, 0]
        assert order.picks == 8

    def test_what_comes_off_is_what_went_on(self) -> None:
        wired = FlowerSort(species="peony", state=FlowerState.SUGAR_MADE, diameter_mm=70, wired=True, tier=2)
        order = order_flowers([VIOLA, ROSE, wired], [20, 5, 3])
        assert {(row.tier, row.what, row.count) for row in order.removed} == {
            (1, "fresh rose", 5),
            (1, "pick of rose", 5),
            (2, "sugar-made peony, wired", 3),
            (2, "pick of peony", 3),
        }
        assert sum(row.count for row in order.removed if row.what.startswith("pick")) == order.picks
        assert {one.key for one in order.notes.cautions} == {
            "finish.caution.picks",
            "finish.caution.wires",
            "finish.caution.not_food",
            "finish.caution.pressed",
        }

    def test_chance_of_any_running_short_is_below_the_one_taken(self) -> None:
        order = order_flowers([VIOLA, ROSE, VIOLA], [20, 5, 40], chance_short=0.08)
        assert 0 < order.chance_short <= 0.08
        assert order_flowers([VIOLA, ROSE], [20, 0]).lines[0].sort is VIOLA
        assert len(order_flowers([VIOLA, ROSE], [20, 0]).lines) == 1

    def test_jobs_begin_by_how_long_they_wait(self) -> None:
        sugared = FlowerSort(species="viola", state=FlowerState.SUGARED, diameter_mm=25, is_food=True)
        order = order_flowers([ROSE, sugared, VIOLA], [5, 30, 20], humidity_share=0.6, room_c=20, body=PetalBody.THIN)
        assert [step.key for step in order.steps] == ["press.3", "sugar.2", "water.1", "lay.1", "lay.2", "lay.3"]
        dried = drying_hours(PetalBody.THIN, humidity_share=0.6, room_c=20)
        assert order.steps[1].wait_h == dried
        assert order.steps[1].hands_min.value == pytest.approx(3.0 * order.lines[1].have)
        assert [step.count for step in order.steps[3:]] == [5, 30, 20]

    def test_wetter_air_dries_longer_and_wet_air_is_refused(self) -> None:
        sugared = FlowerSort(species="viola", state=FlowerState.SUGARED, diameter_mm=25, is_food=True)
        dry, damp = (order_flowers([sugared], [9], humidity_share=h).steps[0].wait_h.value for h in (0.4, 0.7))
        assert damp > 2 * dry
        with pytest.raises(Infeasible):
            order_flowers([sugared], [9], humidity_share=0.8)

    def test_own_losses_are_named_as_such(self) -> None:
        record = LossRecord(state=FlowerState.PRESSED, lost=1, handled=150)
        order = order_flowers([VIOLA], [60], records=[record])
        assert order.lines[0].spares < order_flowers([VIOLA], [60]).lines[0].spares
        assert order.notes.figures[0].source.basis is Basis.MAKER_RECORD

    def test_no_flowers(self) -> None:
        order = order_flowers([], [])
        assert (order.lines, order.picks, order.chance_short, order.steps) == ((), 0, 0.0, ())


class TestTable:
    def test_every_row_has_a_source_and_a_range(self) -> None:
        rows = list(csv.DictReader((files("tierwright.finish") / "data/flower_states.csv").read_text().splitlines()))
        assert rows
        for row in rows:
            value, source = usual(FlowerState(row["state"]), row["key"])
            assert value.low < value.value < value.high
            assert source.text

    def test_unknown_figure(self) -> None:
        with pytest.raises(UnknownName, match="wait_h"):
            usual(FlowerState.SUGARED, "wait_h")  # it hangs on the air: drying_hours
