"""Boards on points: equilibrium, refusals, supports that let go, symmetry."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tierwright.errors import Infeasible, OutOfRange
from tierwright.shapes import Outline, Shape
from tierwright.support import plate, plate_contact, plate_kernel
from tierwright.support.plate import (
    PatchForce,
    PlateSolution,
    PlateSupport,
    PointForce,
    Wanted,
    bend_plate,
    plate_stiffness_nmm,
    reaction_shifts,
)
from tierwright.support.plate_kernel import UNIT_HALF_MM, Edge, PlateBasis, _energy, fan, unit_outline
from tierwright.support.ring import rim_distance_mm, ring_centre, ring_positions

ROUND = Outline.round(200.0)
OUTLINES = [
    Outline(shape=shape, width_mm=200.0, length_mm=140.0 if shape is Shape.RECTANGLE else 0.0)
    for shape in (Shape.ROUND, Shape.SQUARE, Shape.RECTANGLE, Shape.HEXAGON, Shape.HEART)
]
places = st.tuples(st.floats(0.0, 1.0), st.floats(0.1, 0.93))


def inside(outline: Outline, turn: float, share: float) -> tuple[float, float]:
    angle = 2 * pi * turn
    cx, cy = ring_centre(outline)
    way = share * rim_distance_mm(outline, angle)
    return (cx + way * cos(angle), cy + way * sin(angle))


@given(
    outline=st.sampled_from(OUTLINES),
    spots=st.lists(places, min_size=3, max_size=8),
    pushes=st.lists(st.tuples(places, st.floats(0.5, 40.0)), min_size=0, max_size=4),
    spread=st.floats(1.0, 60.0),
    low=st.floats(0.0, 1.0),
)
@settings(max_examples=60, deadline=None)
def test_reactions_balance_the_load(
    outline: Outline,
    spots: list[tuple[float, float]],
    pushes: list[tuple[tuple[float, float], float]],
    spread: float,
    low: float,
) -> None:
    # Statics: any layout that carries must balance force and both moments; 1e-9 of the load times the board's size.
    where = [inside(outline, *spot) for spot in spots]
    assume(min(hypot(a[0] - b[0], a[1] - b[1]) for i, a in enumerate(where) for b in where[:i]) > 8.0)
    forces = tuple(
        PointForce(x_mm=x, y_mm=y, force_n=force) for (x, y), force in ((inside(outline, *p), f) for p, f in pushes)
    )
    supports = tuple(
        PlateSupport(x_mm=x, y_mm=y, low_by_mm=low if i == 0 else 0.0, flexibility_mm_per_n=1e-4)
        for i, (x, y) in enumerate(where)
    )
    patch = PatchForce(outline=Outline.round(40.0), force_n=spread)
    try:
        found = bend_plate(
            outline, stiffness_nmm=20_000.0, poisson=0.3, supports=supports, patches=(patch,), points=forces
        )
    except Infeasible:
        # Refused: then the load must stand outside what the supports span, or too near its edge to be trusted.
        load = spread + sum(f.force_n for f in forces)
        x = sum(f.x_mm * f.force_n for f in forces) / load
        y = sum(f.y_mm * f.force_n for f in forces) / load
        assert not comfortably_within(where, (x, y))
        return
    total = spread + sum(f.force_n for f in forces)
    assert all(r >= 0 for r in found.reactions_n)
    up = sum(found.reactions_n)
    about_y = sum(r * s.x_mm for r, s in zip(found.reactions_n, supports, strict=True))
    about_x = sum(r * s.y_mm for r, s in zip(found.reactions_n, supports, strict=True))
    assert up == pytest.approx(total, rel=1e-9)
    assert about_y == pytest.approx(sum(f.force_n * f.x_mm for f in forces), abs=1e-9 * total * 100)
    assert about_x == pytest.approx(sum(f.force_n * f.y_mm for f in forces), abs=1e-9 * total * 100)


def comfortably_within(spots: list[tuple[float, float]], at: tuple[float, float]) -> bool:
    """Whether a point lies more than a millimetre inside the triangle fan of some three of the spots."""
    import shapely

    hull = shapely.convex_hull(shapely.MultiPoint(spots))
    return bool(hull.buffer(-1.0).covers(shapely.Point(at)))


def test_two_supports_are_refused() -> None:
    with pytest.raises(Infeasible, match="2 supports"):
        bend_plate(
            ROUND,
            stiffness_nmm=1.0,
            poisson=0.3,
            supports=(PlateSupport(x_mm=-50.0, y_mm=0.0), PlateSupport(x_mm=50.0, y_mm=0.0)),
            patches=(PatchForce(outline=ROUND, force_n=1.0),),
        )


def test_supports_all_on_one_side_are_refused() -> None:
    with pytest.raises(Infeasible, match="push and cannot pull"):
        bend_plate(
            ROUND,
            stiffness_nmm=1.0,
            poisson=0.3,
            supports=tuple(PlateSupport(x_mm=20.0 + 10 * i, y_mm=30.0 * (i - 1)) for i in range(3)),
            patches=(PatchForce(outline=ROUND, force_n=1.0),),
        )


def test_support_off_the_board_is_refused() -> None:
    with pytest.raises(Infeasible, match="outside"):
        bend_plate(
            ROUND,
            stiffness_nmm=1.0,
            poisson=0.3,
            supports=tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ((101.0, 0.0), (-50.0, 60.0), (-50.0, -60.0))),
            patches=(PatchForce(outline=ROUND, force_n=1.0),),
        )


def test_load_that_overhangs_the_board_is_refused() -> None:
    with pytest.raises(Infeasible, match="a spread load"):
        bend_plate(
            ROUND,
            stiffness_nmm=1.0,
            poisson=0.3,
            supports=tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(ROUND, count=4, share=0.7)),
            patches=(PatchForce(outline=Outline.round(120.0), force_n=1.0, x_mm=60.0),),
        )


def test_held_rim_is_only_for_round_boards() -> None:
    with pytest.raises(Infeasible, match="round"):
        bend_plate(
            Outline(shape=Shape.SQUARE, width_mm=200.0),
            stiffness_nmm=1.0,
            poisson=0.3,
            points=(PointForce(x_mm=0.0, y_mm=0.0, force_n=1.0),),
            edge=Edge.CLAMPED,
        )


def test_thickness_out_of_range_is_refused() -> None:
    with pytest.raises(OutOfRange):
        plate_stiffness_nmm(3000.0, 0.1, 0.3)


def test_a_support_that_would_have_to_pull_carries_nothing() -> None:
    # A force far out on one side lifts the board off the support on the other.
    spots = ((80.0, 0.0), (0.0, 30.0), (0.0, -30.0), (-80.0, 0.0))
    found = bend_plate(
        ROUND,
        stiffness_nmm=5000.0,
        poisson=0.3,
        supports=tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in spots),
        points=(PointForce(x_mm=40.0, y_mm=0.0, force_n=10.0),),
    )
    assert found.carrying[3] is False
    assert found.reactions_n[3] == 0.0
    assert sum(found.reactions_n) == pytest.approx(10.0, rel=1e-9)


def test_ring_shares_an_even_load_evenly() -> None:
    supports = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(ROUND, count=6, share=0.7))
    found = bend_plate(
        ROUND,
        stiffness_nmm=1e4,
        poisson=0.3,
        supports=supports,
        patches=(PatchForce(outline=ROUND, force_n=60.0),),
    )
    assert found.reactions_n == pytest.approx((10.0,) * 6, rel=1e-6)


def test_less_that_is_wanted_is_the_same_as_far_as_it_goes() -> None:
    heart = Outline(shape=Shape.HEART, width_mm=220.0)
    known = {}
    for wanted in Wanted:
        known[wanted] = bend_plate(
            heart,
            stiffness_nmm=1e4,
            poisson=0.3,
            supports=tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(heart, count=5, share=0.6)),
            patches=(PatchForce(outline=heart, force_n=30.0),),
            points=(PointForce(x_mm=20.0, y_mm=10.0, force_n=5.0),),
            wanted=wanted,
        )
    whole = known[Wanted.SHAPE]
    assert [one.reactions_n for one in known.values()] == [whole.reactions_n] * 4
    assert [one.sag_mm for one in known.values()] == [0.0] + [whole.sag_mm] * 3
    assert [one.moment_n for one in known.values()] == [0.0, 0.0] + [whole.moment_n] * 2
    assert [bool(one.rim) for one in known.values()] == [False, False, False, True]


@given(
    outline=st.sampled_from(OUTLINES),
    pushes=st.lists(st.tuples(places, st.floats(0.5, 20.0)), min_size=1, max_size=4),
)
@settings(max_examples=20, deadline=None)
def test_loads_add_up_while_every_support_is_pressed(
    outline: Outline, pushes: list[tuple[tuple[float, float], float]]
) -> None:
    # Linear: reactions under all loads at once are the sums of those under each, and so is every movement.
    places_at = [inside(outline, i / 6, 0.75) for i in range(6)]
    supports = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in places_at)
    even = (PatchForce(outline=outline, force_n=500.0),)
    # Near the middle, lest the board be lifted off a support.
    points = tuple(
        PointForce(x_mm=0.3 * x, y_mm=0.3 * y, force_n=force)
        for (x, y), force in ((inside(outline, *p), f) for p, f in pushes)
    )

    def found(patches: tuple[PatchForce, ...], points: tuple[PointForce, ...]) -> PlateSolution:
        return bend_plate(outline, stiffness_nmm=2e4, poisson=0.3, supports=supports, patches=patches, points=points)

    alone, together = found(even, ()), found(even, points)
    parts = [found((), (one,)) for one in points]
    assume(all(all(one.carrying) for one in (alone, together, *parts)))
    summed = [sum(forces) for forces in zip(*(one.reactions_n for one in (alone, *parts)), strict=True)]
    assert together.reactions_n == pytest.approx(summed, rel=1e-7, abs=1e-6)
    downs = [sum(down for _, down in spot) for spot in zip(*(one.middle for one in (alone, *parts)), strict=True)]
    assert [down for _, down in together.middle] == pytest.approx(downs, rel=1e-6, abs=1e-6)


def test_sag_goes_as_load_over_stiffness_and_as_size_squared() -> None:
    def sag(size: float, load: float, stiffness: float) -> float:
        outline = Outline.round(size)
        supports = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(outline, count=5, share=0.6))
        return bend_plate(
            outline,
            stiffness_nmm=stiffness,
            poisson=0.3,
            supports=supports,
            patches=(PatchForce(outline=outline, force_n=load),),
        ).sag_mm

    once = sag(150.0, 10.0, 1e4)
    assert sag(300.0, 10.0, 1e4) == pytest.approx(4 * once, rel=1e-9)
    assert sag(150.0, 30.0, 1e4) == pytest.approx(3 * once, rel=1e-9)
    assert sag(150.0, 10.0, 2e4) == pytest.approx(once / 2, rel=1e-9)


def test_shifts_agree_with_two_solutions() -> None:
    # Linear while all supports stay pressed: the difference of two solutions is the shift.
    outline = Outline.round(200.0)
    places = ring_positions(outline, count=5, share=0.7)

    def reactions(low: float) -> tuple[float, ...]:
        supports = tuple(
            PlateSupport(x_mm=x, y_mm=y, low_by_mm=low if i == 2 else 0.0) for i, (x, y) in enumerate(places)
        )
        return bend_plate(
            outline,
            stiffness_nmm=3000.0,
            poisson=0.3,
            supports=supports,
            patches=(PatchForce(outline=outline, force_n=50.0),),
        ).reactions_n

    low = 0.1
    changed = [b - a for a, b in zip(reactions(0.0), reactions(low), strict=True)]
    shifts = reaction_shifts(
        outline,
        stiffness_nmm=3000.0,
        poisson=0.3,
        supports=tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in places),
    )
    assert changed == pytest.approx([-low * row[2] for row in shifts], rel=1e-6, abs=1e-9)
    # Lengthening one support moves load but makes none.
    assert sum(row[2] for row in shifts) == pytest.approx(0.0, abs=1e-9)


def test_polynomial_degree_has_converged() -> None:
    # Four more degrees change the sag of a heart on five supports by less than half a per cent.
    heart = Outline(shape=Shape.HEART, width_mm=220.0)
    supports = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(heart, count=5, share=0.6))
    sags = [
        bend_plate(
            heart,
            stiffness_nmm=1e4,
            poisson=0.3,
            supports=supports,
            patches=(PatchForce(outline=heart, force_n=30.0),),
            degree=degree,
        ).sag_mm
        for degree in (14, 18)
    ]
    assert sags[0] == pytest.approx(sags[1], rel=5e-3)


@pytest.mark.parametrize("shape", list(Shape))
@pytest.mark.parametrize("poisson", [0.0, 0.33])
def test_energy_by_moments_is_that_by_quadrature_over_the_area(shape: Shape, poisson: float) -> None:
    length = 150.0 if shape is Shape.RECTANGLE else 0.0
    unit = unit_outline(Outline(shape=shape, width_mm=220.0, length_mm=length))
    basis = PlateBasis.of(10)
    points, weights = fan(unit, 16, 18, 8)
    wxx, wyy, wxy = basis.values(points / UNIT_HALF_MM, (2, 0), (0, 2), (1, 1))
    w = (weights / UNIT_HALF_MM**2)[:, None]
    # Timoshenko and Woinowsky-Krieger, eq. 117: bending and twisting energy of a plate.
    both = wxx.T @ (wyy * w)
    area = wxx.T @ (wxx * w) + wyy.T @ (wyy * w) + poisson * (both + both.T) + 2 * (1 - poisson) * (wxy.T @ (wxy * w))
    np.testing.assert_allclose(_energy(unit, basis, poisson), area, rtol=0, atol=1e-9 * np.abs(area).max())


@pytest.mark.parametrize("outline", OUTLINES, ids=lambda outline: outline.shape.value)
def test_what_machines_round_differently_is_not_seen(outline: Outline, monkeypatch: pytest.MonkeyPatch) -> None:
    # Processors and numbers of threads part in the last digit of a sum; forces are kept to the fifth behind the point.
    ring = tuple(PlateSupport(x_mm=x, y_mm=y) for x, y in ring_positions(outline, count=5, share=0.6))

    def forces() -> np.ndarray:
        for kept in (plate_kernel.prepare_kernel, plate_contact.stance, plate._spread):
            kept.cache_clear()
        load = (PatchForce(outline=outline, force_n=30.0),)
        return np.array(bend_plate(outline, stiffness_nmm=9000.0, poisson=0.3, supports=ring, patches=load).reactions_n)

    def rounded_otherwise(unit: Outline, basis: PlateBasis, poisson: float) -> np.ndarray:
        exact = _energy(unit, basis, poisson)
        noise = np.random.default_rng(1).standard_normal(exact.shape)
        return np.asarray(exact + 2.0**-52 * np.abs(exact).max() * noise)

    here = forces()
    monkeypatch.setattr(plate_kernel, "_energy", rounded_otherwise)
    there = forces()
    monkeypatch.undo()
    # What follows finds nothing that was rounded otherwise.
    forces()
    assert np.abs(here - there).max() < 2e-8
