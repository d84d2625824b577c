"""Pieces and repeats close, and what they weigh follows from their measures."""

from __future__ import annotations

from math import asinh, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.finish.surfaces import BUTTERCREAM, GANACHE, shapes, surface, widths

from tierwright.brief.decor import (
    Band,
    BandKind,
    Border,
    BorderKind,
    BorderPlace,
    Drip,
    Leaf,
    Painted,
    PaintWay,
    Texture,
    TextureKind,
)
from tierwright.errors import OutOfRange
from tierwright.finish import close, close_count, drip_ml, swag_length_mm, whole_number
from tierwright.finish.bands import work_band
from tierwright.finish.drips import work_drip
from tierwright.finish.painting import work_leaf, work_paint
from tierwright.finish.piping import pipe
from tierwright.finish.tables import amounts, pieces, pours, rows, times
from tierwright.finish.textures import work_texture
from tierwright.shapes import Shape
from tierwright.working import Basis, Estimate


@given(length=st.floats(20.0, 3000.0), wanted=st.floats(1.0, 300.0))
def test_whole_pieces_close_exactly_and_no_other_number_comes_nearer(length: float, wanted: float) -> None:
    count = whole_number(length, wanted)
    assert count >= 1
    assert count * (length / count) == pytest.approx(length, rel=1e-12)
    ratio = max(length / count / wanted, wanted * count / length)
    for other in (count - 1, count + 1):
        if other >= 1:
            assert ratio <= max(length / other / wanted, wanted * other / length) + 1e-9


@settings(deadline=None)
@given(shape=shapes, width=widths, wanted=st.floats(4.0, 80.0))
def test_repeats_close_from_corner_to_corner(shape: Shape, width: float, wanted: float) -> None:
    path = surface(shape, width).foot.path
    closed = close(path.spans_mm, wanted)
    total = sum(count * pitch for count, pitch in zip(closed.counts, closed.pitches_mm, strict=True))
    assert abs(total - path.length_mm) < 1e-6
    # A piece begins at every corner, so that none is bent round it.
    assert all(min(abs(stop - fold) for stop in closed.stops_mm) < 1e-6 for fold in path.folds_mm)
    assert len(closed.stops_mm) == closed.count


def test_a_wanted_number_is_kept() -> None:
    assert close_count((100.0, 100.0, 100.0, 100.0), 12).counts == (3, 3, 3, 3)
    assert close_count((100.0, 100.0, 100.0, 100.0), 13).counts == (13,)
    with pytest.raises(OutOfRange, match="number of pieces"):
        whole_number(10_000.0, 0.5)


@pytest.mark.parametrize(
    ("span", "drop", "length"),
    [
        # Bronshtein et al., arc of a parabola, worked by hand: a = 100, h = 25: 50 (sqrt 2 + asinh 1) = 114.779;
        # a = 100, h = 10: 50 (sqrt(1.16) + asinh(0.4) / 0.4) = 102.606.
        (100.0, 25.0, 114.779),
        (100.0, 10.0, 102.606),
        (100.0, 0.0, 100.0),
    ],
)
def test_a_hanging_line_is_as_long_as_its_parabola(span: float, drop: float, length: float) -> None:
    assert swag_length_mm(span, drop) == pytest.approx(length, abs=5e-4)


def test_a_swag_is_near_its_catenary() -> None:
    # Catenary of the same span and drop, solved by bisection: length 2 c sinh(a / 2 c), drop c (cosh(a / 2 c) - 1).
    from math import cosh, sinh

    low, high = 20.0, 1000.0
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if middle * (cosh(50.0 / middle) - 1) > 25.0 else (low, middle)
    assert swag_length_mm(100.0, 25.0) == pytest.approx(2 * low * sinh(50.0 / low), rel=0.004)
    assert asinh(1.0) + sqrt(2.0) == pytest.approx(2.29559, abs=1e-5)


def border(**more: object) -> Border:
    return Border.model_validate({"tier": 1, "tip": "8 mm"} | more)


def test_a_bead_weighs_what_half_an_ellipsoid_does() -> None:
    row = pipe(border(kind="bead"), surface(), BUTTERCREAM)
    # By hand: breadth 1.6 x 8 = 12.8, height 0.7 x 12.8; half an ellipsoid is 2/3 pi a b c.
    half = 2 / 3 * pi * 6.4 * 6.4 * (0.7 * 12.8) / 1000
    assert row.mass.on_cake_g.value / row.pieces.count == pytest.approx(half * 0.8, rel=2e-3)
    # Middles run half a breadth outside the coated foot, 206 + 6.4 mm across.
    assert row.pieces.length_mm == pytest.approx(pi * (212.0 + 12.8))
    assert row.pieces.count == round(pi * 224.8 / 12.8)


def test_a_line_takes_what_leaves_the_tip() -> None:
    row = pipe(border(kind="line", where="top edge", tip="4 mm"), surface(), BUTTERCREAM)
    # A cord of the tip's own breadth: pi/4 x 4 x 3.6 mm over the line's length.
    assert row.mass.volume_ml.value == pytest.approx(0.785 * 4 * 3.6 * row.pieces.length_mm / 1000, rel=1e-6)
    assert row.out_mm == -2.0


@given(tip=st.floats(2.0, 12.0), kind=st.sampled_from(list(BorderKind)))
def test_a_wider_tip_never_weighs_less(tip: float, kind: BorderKind) -> None:
    small = pipe(Border(tier=1, kind=kind, tip=f"{tip:.3f} mm", pitch="45 mm"), surface(), BUTTERCREAM)  # type: ignore[arg-type]
    large = pipe(Border(tier=1, kind=kind, tip=f"{tip * 1.2:.3f} mm", pitch="45 mm"), surface(), BUTTERCREAM)  # type: ignore[arg-type]
    for one, other in ((small, large),):
        assert one.mass.on_cake_g.value < other.mass.on_cake_g.value
        assert one.mass.to_make_g.value > one.mass.on_cake_g.value
        assert one.mass.on_cake_g.low <= one.mass.on_cake_g.value <= one.mass.on_cake_g.high


def test_ten_weighed_pieces_go_before_the_table() -> None:
    row = pipe(border(ten_weigh="12 g"), surface(), BUTTERCREAM)
    assert row.by_weighing
    assert row.mass.on_cake_g.value == pytest.approx(1.2 * row.pieces.count)


def test_time_is_so_much_to_begin_and_so_much_a_piece() -> None:
    row = pipe(border(), surface(), BUTTERCREAM)
    ready, piped = row.labour
    assert ready.minutes.value == times()["row_set_up"].minutes.value
    assert piped.minutes.value == pytest.approx(row.pieces.count * pieces()["shell"].seconds.value / 60)


def test_a_row_that_does_not_fit_is_refused() -> None:
    with pytest.raises(OutOfRange, match="height of the row"):
        pipe(border(where="side", height="140 mm"), surface(), BUTTERCREAM)
    with pytest.raises(OutOfRange, match="drop of a swag"):
        pipe(border(kind="swag", where="side", height="10 mm", pitch="90 mm"), surface(), BUTTERCREAM)
    with pytest.raises(OutOfRange, match="breadth of a row"):
        pipe(border(kind="rosette", where="top edge", tip="30 mm"), surface(width_mm=90.0), BUTTERCREAM)
    assert BorderPlace.SIDE.value == "side"


def comb(**more: object) -> Texture:
    return Texture.model_validate({"tier": 1, "kind": "combed", "depth": "4 mm", "pitch": "8 mm"} | more)


def test_a_comb_takes_half_of_its_grooves() -> None:
    worked = work_texture(comb(), surface(), coat=BUTTERCREAM, coat_mm=7.0, second=None)
    # V grooves of 4 mm take 2 mm off the mean: ridges stand at 9, grooves leave 5.
    assert (worked.ridge_mm, worked.valley_mm) == pytest.approx((9.0, 5.0))
    area = pi * 212.0 * 110.0
    assert worked.removed_g.value == pytest.approx(area * 2.0 / 1000 * 0.8)
    assert worked.mass is None
    # 110 mm in grooves of 8 mm: 14 of 7.86 mm.
    assert worked.grooves is not None
    assert worked.grooves.count == 14


def test_stripes_take_the_place_of_what_is_grooved_out() -> None:
    stripes = comb(kind="striped", pitch="20 mm", groove="10 mm", formula="ganache", upright=True)
    worked = work_texture(stripes, surface(), coat=BUTTERCREAM, coat_mm=7.0, second=GANACHE)
    assert worked.mass is not None
    # Square grooves over half of the side, 4 mm deep; what goes in is what comes out, by volume.
    assert worked.mass.volume_ml.value == pytest.approx(
        surface().side_mm2 * 4.0 * 10.0 / (worked.grooves.length_mm / worked.grooves.count) / 1000  # type: ignore[union-attr]
    )
    assert worked.removed_g.value / 0.8 == pytest.approx(worked.mass.on_cake_g.value / 1.2)
    assert worked.ridge_mm == 7.0
    with pytest.raises(OutOfRange, match="breadth of a groove"):
        work_texture(comb(groove="9 mm"), surface(), coat=None, coat_mm=7.0, second=None)


def band(**more: object) -> Band:
    return Band.model_validate({"tier": 1, "height": "40 mm", "foot": "10 mm"} | more)


def test_a_band_weighs_its_area_and_thickness() -> None:
    worked = work_band(band(kind="paste", thickness="2.5 mm"), surface(), GANACHE)
    assert worked.mass is not None
    assert worked.mass.on_cake_g.value == pytest.approx(pi * 212.0 * 40.0 * 2.5 * 1.2 / 1000)
    stencil = work_band(band(open_share="25 %", thickness="1 mm"), surface(), BUTTERCREAM)
    assert stencil.mass is not None
    assert stencil.mass.on_cake_g.value == pytest.approx(pi * 212.0 * 40.0 * 0.25 * 0.8 / 1000)


def test_a_measured_tier_closes_on_what_was_measured() -> None:
    worked = work_band(band(repeat="50 mm", measured="675 mm"), surface(), BUTTERCREAM)
    assert worked.round_mm == 675.0
    assert worked.repeats is not None
    assert worked.repeats.count * worked.repeats.pitches_mm[0] == pytest.approx(675.0)
    assert worked.template.width_mm == pytest.approx(675.0)
    with pytest.raises(OutOfRange, match="measured length"):
        work_band(band(measured="900 mm"), surface(), BUTTERCREAM)
    with pytest.raises(OutOfRange, match="upper edge of the band"):
        work_band(band(height="120 mm"), surface(), BUTTERCREAM)


def test_what_is_bought_is_counted_and_a_ribbon_is_no_food() -> None:
    printed = work_band(band(kind="printed"), surface(), None)
    # 666 mm in pieces of 260 mm are three; four strips of 40 mm come out of one sheet.
    assert printed.ware is not None
    assert printed.ware.count == 1
    ribbon = work_band(band(kind="ribbon", overlap="20 mm"), surface(), None)
    assert ribbon.ware is not None
    assert (ribbon.ware.count, ribbon.ware.is_food) == (7, False)
    assert ribbon.inedible is not None
    assert BandKind.RIBBON.value in ribbon.inedible.what


def drip(**more: object) -> Drip:
    return Drip.model_validate({"tier": 1, "formula": "ganache", "count": 20, "longest": "40 mm"} | more)


def test_drips_are_cords_that_end_in_half_an_ellipsoid() -> None:
    # By hand: 40 mm long, 8 wide, 2.5 thick, end 10 wide: pi/4 x 8 x 2.5 x 35 + pi/6 x 10 x 10 x 2.5 x 1.25.
    one = drip_ml(40.0, 8.0, Estimate.exact(2.5), Estimate.exact(1.25))
    assert one.value == pytest.approx((pi / 4 * 8 * 2.5 * 35 + pi / 6 * 100 * 2.5 * 1.25) / 1000)


@given(seed=st.integers(0, 10_000), count=st.integers(3, 40))
def test_drips_are_uneven_and_one_is_the_longest(seed: int, count: int) -> None:
    worked = work_drip(drip(count=count, seed=seed), surface(), GANACHE)
    assert len(worked.lengths_mm) == count
    assert max(worked.lengths_mm) == 40.0
    assert min(worked.lengths_mm) >= 40.0 * 0.35
    again = work_drip(drip(count=count, seed=seed), surface(), GANACHE)
    assert again == worked, "the same seed, the same drips"


def test_longer_drips_and_a_flooded_top_weigh_more() -> None:
    short, long, flooded = (
        work_drip(drip(**more), surface(), GANACHE).mass.on_cake_g.value
        for more in ({}, {"longest": "60 mm"}, {"flood": True})
    )
    assert short < long < flooded
    assert work_drip(drip(), surface(), GANACHE).pour == pours()["dark_ganache"]
    with pytest.raises(OutOfRange, match="width of a drip"):
        work_drip(drip(count=90), surface(), GANACHE)


def test_paint_and_leaf_follow_the_area() -> None:
    tier = surface()
    paint = work_paint(Painted.model_validate({"tier": 1, "share": "10 %", "layers": 2}), tier)
    area = 0.1 * (tier.side_mm2 + tier.top_mm2)
    assert paint.colour_ml.value == pytest.approx(2 * area / 1e6 * 60.0)
    assert paint.way is PaintWay.BRUSHED
    leaf = work_leaf(Leaf.model_validate({"tier": 1, "share": "50 %"}), tier)
    # By hand: half of pi x 212 x 110 is 36 631 mm2; a leaf of 80 lapping by 3 covers 77 x 77; a fifth is lost: 7.7.
    assert leaf.sheets.value == 8
    assert leaf.sheets.low <= 8 <= leaf.sheets.high


def test_every_row_of_the_tables_names_its_ground() -> None:
    for name in ("piping.csv", "amounts.csv", "pours.csv", "times.csv"):
        for row in rows(name):
            assert Basis(row["basis"])
            assert row["basis"] != "published" or row["source"]
    assert all(piece.width.low <= piece.width.value <= piece.width.high for piece in pieces().values())
    assert all(one.value.low >= 0 for one in amounts().values())
    assert TextureKind.COMBED.value == "combed"
