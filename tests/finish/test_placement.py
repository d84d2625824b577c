"""Placement: nothing on anything else, nothing where it must not be, the asked coverage, the same each time."""

from __future__ import annotations

import os
import subprocess
import sys
from math import hypot, pi

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from tierwright.errors import Infeasible, OutOfRange
from tierwright.finish.placement import (
    Bed,
    Ground,
    KeepOff,
    Laid,
    Piece,
    arc_curve,
    cascade_curve,
    curve_bed,
    free_mm2,
    lay,
    ring_bed,
    surface_mm2,
)
from tierwright.shapes import Outline, Shape


def overlaps(ground: Ground, laid: Laid) -> float:
    """Deepest overlap of any two, measured pair by pair, also across the seam. [mm]"""
    worst = -1e9
    for i, a in enumerate(laid.pieces):
        for b in laid.pieces[:i]:
            dx = abs(a.x_mm - b.x_mm)
            if ground.around_mm:
                dx = min(dx, ground.around_mm - dx)
            worst = max(worst, (a.diameter_mm + b.diameter_mm) / 2 - hypot(dx, a.y_mm - b.y_mm))
    return worst


def discs(ground: Ground, laid: Laid) -> list[BaseGeometry]:
    """Every piece as a disc; on a side also one turn before and after."""
    turns = (-ground.around_mm, 0.0, ground.around_mm) if ground.around_mm else (0.0,)
    return [Point(p.x_mm + dx, p.y_mm).buffer(p.diameter_mm / 2, quad_segs=32) for p in laid.pieces for dx in turns]


def petals(count: int, *diameters_mm: float) -> list[Piece]:
    return [
        Piece(key=f"d{d:g}", diameter_mm=d) for i in range(count) for d in diameters_mm[i % len(diameters_mm) :][:1]
    ]


TOP = Ground.top(Outline.round(254).polygon(), Outline.round(160).polygon())
SIDE = Ground.side(640.0, 110.0)
GROUNDS = st.one_of(
    st.builds(
        lambda shape, width, share: Ground.top(
            Outline(shape=shape, width_mm=width, length_mm=width * 0.8 if shape is Shape.RECTANGLE else 0.0).polygon(),
            Outline(
                shape=shape,
                width_mm=max(20.0, width * share),
                length_mm=max(20.0, width * share * 0.8) if shape is Shape.RECTANGLE else 0.0,
            ).polygon()
            if share
            else (),
        ),
        st.sampled_from(list(Shape)),
        st.floats(140, 420),
        st.sampled_from([0.0, 0.3, 0.5]),
    ),
    st.builds(Ground.side, st.floats(300, 1400), st.floats(60, 180)),
)
SIZES = st.lists(st.sampled_from([6.0, 9.0, 12.0, 16.0, 22.0, 30.0]), min_size=1, max_size=3, unique=True)


def to_cover(area_mm2: float, share: float, sizes: list[float]) -> list[Piece]:
    found: list[Piece] = []
    covered = 0.0
    while covered < share * area_mm2 and len(found) < 400:
        size = sizes[len(found) % len(sizes)]
        found.append(Piece(key=str(size), diameter_mm=size))
        covered += pi * size * size / 4
    return found


class TestLaws:
    @settings(max_examples=30, deadline=None)
    @given(GROUNDS, SIZES, st.floats(0.05, 0.45), st.integers(0, 2**31 - 1), st.floats(0, 2))
    def test_no_overlap_and_never_over_the_edge(
        self, ground: Ground, sizes: list[float], share: float, seed: int, gap_mm: float
    ) -> None:
        pieces = to_cover(ground.area_mm2, share, sizes)
        # The gap takes ground of its own, most of it round small pieces.
        assume(sum(pi * (p.diameter_mm + gap_mm) ** 2 / 4 for p in pieces) < 0.55 * ground.area_mm2)
        laid = lay(ground, pieces, seed=seed, gap_mm=gap_mm)
        assert overlaps(ground, laid) <= -gap_mm + 1e-9
        if laid.gap_mm is not None:
            assert laid.gap_mm == pytest.approx(-overlaps(ground, laid), abs=1e-9)
        whole = shapely.union_all(discs(ground, laid))
        if ground.around_mm:
            assert whole.bounds[1] >= -1e-6
            assert whole.bounds[3] <= max(y for _, y in ground.outline_mm) + 1e-6
        else:
            assert whole.difference(ground.polygon.buffer(0.01)).area < 1e-6
        assert sorted(p.diameter_mm for p in laid.pieces) == sorted(p.diameter_mm for p in pieces)

    @settings(max_examples=15, deadline=None)
    @given(GROUNDS, SIZES, st.floats(0.05, 0.45), st.integers(0, 1000))
    def test_coverage_said_is_coverage_there(self, ground: Ground, sizes: list[float], share: float, seed: int) -> None:
        """Measured from the union of the discs on the ground, by another library's geometry."""
        laid = lay(ground, to_cover(ground.area_mm2, share, sizes), seed=seed, gap_mm=0.0)
        there = shapely.union_all(discs(ground, laid)).intersection(ground.polygon).area / ground.area_mm2
        assert there == pytest.approx(laid.coverage, rel=2e-3)

    @settings(max_examples=30, deadline=None)
    @given(GROUNDS, st.integers(0, 1000), st.floats(0, 360))
    def test_keeps_off_cuts_supports_and_areas(self, ground: Ground, seed: int, turn: float) -> None:
        x0, y0, x1, y1 = ground.polygon.bounds
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        far = arc_curve(middle, 500.0, turn, turn + 1)[0]
        zones = (
            KeepOff(name="cut", points_mm=(middle, far), clearance_mm=4.0),
            KeepOff(name="support", points_mm=((x0 + 25, middle[1]),), clearance_mm=12.0),
            KeepOff(name="seam", points_mm=((x0, y0), (x0, y1)), clearance_mm=6.0),
            KeepOff(
                name="label",
                points_mm=((x1 - 30, y0), (x1, y0), (x1, y0 + 30), (x1 - 30, y0 + 30)),
                clearance_mm=0.0,
                is_area=True,
            ),
        )
        laid = lay(ground, petals(14, 8, 12), seed=seed, keep_off=zones)
        kept = [
            LineString(zones[0].points_mm).buffer(4.0),
            Point(zones[1].points_mm[0]).buffer(12.0),
            LineString(zones[2].points_mm).buffer(6.0),
            Polygon(zones[3].points_mm),
        ]
        for disc in discs(ground, laid):
            for zone in kept:
                assert disc.intersection(zone).area < 1e-6

    @settings(max_examples=20, deadline=None)
    @given(GROUNDS, st.integers(-(2**40), 2**40))
    def test_same_seed_same_places(self, ground: Ground, seed: int) -> None:
        assert lay(ground, petals(12, 8, 14), seed=seed) == lay(ground, petals(12, 8, 14), seed=seed)


class TestSeam:
    def test_flowers_lie_across_the_seam(self) -> None:
        laid = lay(SIDE, petals(160, 14), seed=2)
        across = [p for p in laid.pieces if p.x_mm < p.diameter_mm / 2 or p.x_mm > 640 - p.diameter_mm / 2]
        assert across
        assert overlaps(SIDE, laid) <= -1.0

    def test_seam_is_no_denser_than_anywhere_else(self) -> None:
        """Middles counted in eight strips over many seeds: the strips at the seam hold their eighth."""
        strips = [0] * 8
        for seed in range(12):
            for p in lay(SIDE, petals(60, 14), seed=seed).pieces:
                strips[int((p.x_mm + 40) % 640 // 80)] += 1
        assert sum(strips) == 720
        assert all(70 < strip < 110 for strip in strips)

    def test_a_zone_beyond_the_seam_counts(self) -> None:
        zone = KeepOff(name="drip", points_mm=((636.0, 0.0), (636.0, 110.0)), clearance_mm=20.0)
        laid = lay(SIDE, petals(80, 14), seed=3, keep_off=(zone,))
        assert all(min(abs(p.x_mm - 636), 640 - abs(p.x_mm - 636)) >= 27.0 for p in laid.pieces)


class TestEvenness:
    def test_more_even_than_chance(self) -> None:
        """Blue noise: the nearest neighbour is never near, and its distance varies little."""
        disc = Ground.top(Outline.round(300).polygon())
        laid = lay(disc, petals(120, 6), seed=5)
        nearest = [min(hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) for b in laid.pieces if b is not a) for a in laid.pieces]
        mean = sum(nearest) / len(nearest)
        # Clark and Evans, Ecology 35 (1954) 445: mean distance to the nearest over that of chance, 1 / (2 sqrt(n / A));
        # 1 is chance, 2.149 the perfect lattice.
        ratio = mean * 2 * (len(nearest) / disc.area_mm2) ** 0.5
        assert 1.5 < ratio < 2.149
        assert min(nearest) > 0.6 * mean

    def test_filled_to_two_thirds(self) -> None:
        disc = Ground.top(Outline.round(200).polygon())
        laid = lay(disc, to_cover(disc.area_mm2, 0.66, [10.0, 16.0, 24.0]), seed=1, gap_mm=0.0)
        assert laid.coverage > 0.66
        assert overlaps(disc, laid) <= 0


class TestBeds:
    def test_ring_on_a_top(self) -> None:
        disc = Ground.top(Outline.round(200).polygon())
        bed = ring_bed(disc, inset_mm=10, breadth_mm=25)
        laid = lay(disc, petals(30, 12, 20), seed=1, bed=bed)
        for p in laid.pieces:
            assert hypot(p.x_mm, p.y_mm) - p.diameter_mm / 2 >= 65 - 0.1
            assert hypot(p.x_mm, p.y_mm) + p.diameter_mm / 2 <= 90 + 0.1
        assert surface_mm2(disc, bed) == pytest.approx(pi * (90**2 - 65**2), rel=0.003)

    def test_single_row_round_a_side(self) -> None:
        bed = ring_bed(SIDE, inset_mm=2, breadth_mm=20.5)
        laid = lay(SIDE, petals(28, 20), seed=1, bed=bed)
        assert {round(p.y_mm) for p in laid.pieces} == {12}
        assert overlaps(SIDE, laid) <= -1.0

    def test_crescent_holds_the_largest_in_its_middle(self) -> None:
        disc = Ground.top(Outline.round(240).polygon())
        bed = curve_bed(arc_curve((0, 0), 80, 20, 200), breadth_mm=60, tip_mm=8, crescent=True)
        laid = lay(disc, petals(12, 8, 16, 36), seed=4, bed=bed)
        inside = bed.polygon.buffer(0.2)
        assert all(disc.covered_by(inside) for disc in discs(disc, laid))
        assert bed.focus_mm is not None
        far = {
            size: [
                hypot(p.x_mm - bed.focus_mm[0], p.y_mm - bed.focus_mm[1]) for p in laid.pieces if p.diameter_mm == size
            ]
            for size in (8, 36)
        }
        assert sum(far[36]) / len(far[36]) < sum(far[8]) / len(far[8])

    def test_cascade_runs_from_edge_to_foot_over_the_seam(self) -> None:
        bed = curve_bed(cascade_curve(SIDE, at_mm=620.0, sway_mm=60.0), breadth_mm=50, tip_mm=12)
        laid = lay(SIDE, petals(14, 8, 12, 20), seed=6, bed=bed)
        assert max(p.y_mm for p in laid.pieces) > 80
        assert min(p.y_mm for p in laid.pieces) < 30
        assert any(p.x_mm < 100 for p in laid.pieces)
        assert any(p.x_mm > 600 for p in laid.pieces)
        assert all(p.x_mm < 140 or p.x_mm > 560 for p in laid.pieces)
        high = [p.diameter_mm for p in laid.pieces if p.y_mm > 55]
        low = [p.diameter_mm for p in laid.pieces if p.y_mm <= 55]
        assert sum(high) / len(high) > sum(low) / len(low)

    def test_bed_that_hangs_over_counts_only_what_is_on_the_ground(self) -> None:
        disc = Ground.top(Outline.round(100).polygon())
        bed = Bed(polygon=shapely.box(0, -200, 200, 200))
        assert surface_mm2(disc, bed) == pytest.approx(disc.area_mm2 / 2, rel=1e-6)


class TestRefusals:
    def test_more_than_fits(self) -> None:
        with pytest.raises(Infeasible, match="fewer or smaller flowers"):
            lay(TOP, to_cover(TOP.area_mm2, 0.8, [12.0]), seed=1)

    def test_a_flower_wider_than_the_ledge(self) -> None:
        with pytest.raises(OutOfRange, match="where it is to lie") as refused:
            lay(TOP, petals(3, 60), seed=1)
        # The ledge is 47 mm broad; the polygons stand a hair outside their circles.
        assert refused.value.high == pytest.approx(47.0, abs=0.2)

    def test_zones_that_leave_nothing(self) -> None:
        zone = KeepOff(name="all", points_mm=TOP.outline_mm, clearance_mm=0.0, is_area=True)
        with pytest.raises(OutOfRange):
            lay(TOP, petals(1, 10), seed=1, keep_off=(zone,))
        assert free_mm2(TOP, keep_off=(zone,)) == 0.0

    @pytest.mark.parametrize(
        ("count", "diameter", "gap"), [(0, 10.0, 0.0), (1501, 1.0, 0.0), (3, 10.0, -1.0), (3, 0.5, 0.0)]
    )
    def test_odd_wishes(self, count: int, diameter: float, gap: float) -> None:
        with pytest.raises(OutOfRange):
            lay(TOP, petals(count, diameter), seed=1, gap_mm=gap)

    @pytest.mark.parametrize("inset", [-1.0, 400.0])
    def test_odd_rings(self, inset: float) -> None:
        with pytest.raises(OutOfRange):
            ring_bed(TOP, inset_mm=inset, breadth_mm=10)
        with pytest.raises(OutOfRange):
            ring_bed(SIDE, inset_mm=inset, breadth_mm=10)


PROGRAM = """
from tierwright.finish.placement import Ground, Piece, lay
ground = Ground.side(640.0, 110.0)
pieces = [Piece(key=str(i), diameter_mm=8 + i % 3 * 5) for i in range(60)]
print(lay(ground, pieces, seed=11))
"""


def test_same_places_in_another_process() -> None:
    pieces = [Piece(key=str(i), diameter_mm=8 + i % 3 * 5) for i in range(60)]
    said = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        env={**os.environ, "PYTHONHASHSEED": "4711"},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said.strip() == repr(lay(SIDE, pieces, seed=11))
