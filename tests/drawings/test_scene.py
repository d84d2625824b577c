"""The cake as surfaces: the measures of the section drawing, sound triangles, the same scene for the same seed."""

from __future__ import annotations

import json
import re
from base64 import b64decode
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.finish.surfaces import coats, heights, scales, shapes, surface, widths

from tierwright.brief import read_brief
from tierwright.brief.decor import TextureKind
from tierwright.dossier import Dossier, prepare
from tierwright.drawings import Base, section
from tierwright.drawings import scene_pieces as pieces
from tierwright.drawings.fineness import FOR_A_BROWSER, FOR_SOFTWARE
from tierwright.drawings.scene import Model, Scene, look, look_mark, plain, scene_of
from tierwright.drawings.scene_mesh import Mesh, grid_of, joined, linear, mixed
from tierwright.drawings.scene_tiers import DUSK, tier_mesh
from tierwright.finish import Bloom, FaceStyle, Relief, face
from tierwright.larder import board
from tierwright.shapes import Shape

EXAMPLE = Path(__file__).parents[2] / "examples" / "centenary"


@lru_cache(maxsize=1)
def dossier() -> Dossier:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    return prepare(brief.commission, brief.kitchen)


@lru_cache(maxsize=1)
def scene() -> Scene:
    return scene_of(look(dossier()))


def named(name: str) -> Model:
    return next(model for model in scene().models if model.name == name)


def volume_mm3(mesh: Mesh) -> float:
    """By the divergence theorem, the open foot lying at height 0."""
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def test_tiers_have_the_measures_of_the_section_drawing() -> None:
    done = dossier()
    under = board(done.coating.base_board or "")
    drawn = section(
        done.sizing.stack, done.coating, base=Base(outline=under.outline, thickness_mm=under.thickness_mm.value)
    )
    blocks: dict[str, tuple[float, float, float]] = {}
    for name, number, inside in re.findall(
        r'<g id="section-(tier-(\d)|base)"(.*?)(?=<g id="section-(?:tier-\d|base)"|<g data-part|$)', drawn.svg, re.S
    ):
        rects = re.findall(r'<rect x="([\d.-]+)" y="([\d.-]+)" width="([\d.]+)" height="([\d.]+)"', inside)
        corners = [(float(x), float(y)) for x, y, _w, _h in rects]
        corners += [(float(x) + float(w), float(y) + float(h)) for x, y, w, h in rects]
        for points in re.findall(r'<polygon points="([^"]+)"', inside):
            corners += [(float(x), float(y)) for x, y in re.findall(r"([\d.-]+),([\d.-]+)", points)]
        xs, ys = zip(*corners, strict=True)
        blocks[number or name] = (max(xs) - min(xs), min(ys), max(ys))
    floor = blocks["base"][2]
    for tier in done.sizing.stack.tiers:
        wide, top, _low = blocks[str(tier.number)]
        points = named(f"{tier.name} tier").mesh.points
        # The drawing is written to a hundredth of a millimetre on paper; chords stray by 0.15 mm at most.
        allowed = 0.02 * drawn.scale + 0.3
        assert np.ptp(points[:, 0]) == pytest.approx(wide * drawn.scale, abs=allowed)
        assert points[:, 2].max() - scene().floor_mm == pytest.approx((floor - top) * drawn.scale, abs=allowed)
    plate = named("board").mesh.points
    assert np.ptp(plate[:, 0]) == pytest.approx(under.outline.width_mm, abs=0.3)
    assert np.ptp(plate[:, 2]) == pytest.approx(under.thickness_mm.value)


@settings(max_examples=40, deadline=None)
@given(shape=shapes, width=widths, coat=coats, height=heights, scale=scales)
def test_every_shape_holds_what_it_should_and_faces_outward(
    shape: Shape, width: float, coat: float, height: float, scale: float
) -> None:
    tier = surface(shape, width, coat_mm=coat, height_mm=height, top_scale=scale)
    mesh = tier_mesh(tier, None, (), fine=replace(FOR_A_BROWSER, side_mm=6.0))
    # A frustum: the mean of its sections by Simpson's rule is exact.
    whole = tier.foot.path.area_mm2 * height * (1 + scale + scale * scale) / 3
    assert volume_mm3(mesh) == pytest.approx(whole, rel=0.03)
    assert volume_mm3(mesh) < whole * 1.001
    assert mesh.points[:, 2].max() == pytest.approx(height)


@pytest.mark.parametrize("upright", [False, True])
def test_a_comb_takes_half_of_depth_times_breadth_and_leaves_the_ridges(upright: bool) -> None:
    tier = surface(width_mm=200.0, height_mm=96.0)
    count = 100 if upright else 16
    length = tier.foot.path.length_mm if upright else 96.0
    relief = Relief(
        kind=TextureKind.COMBED, is_upright=upright, stops_mm=tuple(length * (i + 0.5) / count for i in range(count)),
        depth_mm=3.0, groove_mm=length / count,
    )  # fmt: skip
    smooth, combed = (tier_mesh(tier, one, (), fine=replace(FOR_A_BROWSER, side_mm=2.0)) for one in (None, relief))
    # A shell 3 mm deep round the side, of which grooves take half; the rounded edge is left out of the grooves.
    taken = volume_mm3(smooth) - volume_mm3(combed)
    assert taken == pytest.approx(0.5 * 3.0 * tier.side_mm2, rel=0.12)
    assert np.hypot(*combed.points[:, :2].T).max() == pytest.approx(106.0, abs=0.05)


def test_a_sparing_scene_shows_the_same_things_with_a_third_of_the_triangles() -> None:
    sparing, whole = scene_of(look(dossier()), FOR_SOFTWARE), scene()
    assert [model.name for model in sparing.models] == [model.name for model in whole.models]
    for few, many in zip(sparing.models, whole.models, strict=True):
        assert np.array_equal(few.places, many.places)
        assert few.colours == many.colours
        if len(few.places) > 1 or few.name.startswith("letter"):
            continue
        # As broad and as high, to what chords may stray on both sides.
        off = np.ptp(many.mesh.points, axis=0) - np.ptp(few.mesh.points, axis=0)
        assert np.abs(off).max() < 2 * FOR_SOFTWARE.stray_mm + 0.1
    counts = [sum(len(m.mesh.triangles) * len(m.places) for m in one.models) for one in (sparing, whole)]
    assert counts[0] < 0.34 * counts[1]


def test_a_sparing_comb_draws_its_grooves_darker() -> None:
    tier = surface(width_mm=200.0, height_mm=96.0)
    relief = Relief(
        kind=TextureKind.COMBED, is_upright=False, stops_mm=tuple(6.0 * (i + 0.5) for i in range(16)),
        depth_mm=3.0, groove_mm=6.0,
    )  # fmt: skip
    mesh = tier_mesh(tier, relief, (), fine=FOR_SOFTWARE)
    assert mesh.tint is not None
    side = mesh.points[:, 2] < 90.0
    deep = np.hypot(*mesh.points[side, :2].T) < 104.0
    light = mesh.tint[side, 0] / linear(tier.colour)[0]
    assert light[deep] == pytest.approx(1 - DUSK)
    assert light[~deep] == pytest.approx(1.0)


def test_joined_surfaces_keep_their_triangles() -> None:
    rows = [np.array([[0.0, 0, z], [1, 0, z], [0, 1, z]]) for z in (0, 1)]
    grid = grid_of(rows, closed=True)
    free = Mesh(points=np.eye(3), faces=np.array([[0, 1, 2]]))
    both = joined([free, grid, free, grid])
    corners = both.points[both.triangles]
    assert len(corners) == 2 * 6 + 2
    assert sum(np.allclose(one, np.eye(3)) for one in corners) == 2


def test_everything_placed_is_there_as_often_and_where_it_was_placed() -> None:
    placed = look(dossier()).placed
    beads = [one for one in placed if one.what == "bead"]
    assert named("bead").places[:, :, 3] == pytest.approx(np.array([one.at_mm for one in beads]))
    flowers = [one for one in placed if one.what == "flower"]
    petals = named("faced petals").places
    assert len(petals) == len(flowers) == len(named("faced eye").places)
    off = np.linalg.norm(petals[:, :, 3] - np.array([one.at_mm for one in flowers]), axis=1)
    assert off.max() < 4.0
    letters = [one for one in scene().models if one.name.startswith("letter ")]
    assert sum(len(one.places) for one in letters) == len("Ahundredyearsonthewater")


def test_no_piece_leans_its_size_away() -> None:
    for model in scene().models:
        for place in model.places:
            assert np.linalg.det(place[:, :3]) > 0, model.name


def test_the_same_seed_gives_the_same_scene_and_another_tears_other_leaf() -> None:
    seen = look(dossier())
    first, again, other = (json.dumps(plain(scene_of(seen, seed=seed))) for seed in (1, 1, 2))
    assert first == again
    assert first != other
    assert look_mark(seen) == look_mark(look(dossier())) != look_mark(seen, seed=2)


def test_the_data_for_a_browser_is_small_and_says_the_same() -> None:
    data = plain(scene())
    assert len(json.dumps(data, separators=(",", ":"))) < 400_000
    for model, said in zip(scene().models, data["models"], strict=True):
        points = np.frombuffer(b64decode(said["points"]), "<i2").reshape(-1, 3) * said["step"]
        assert np.abs(points - model.mesh.points).max() <= said["step"]
        faces = np.frombuffer(b64decode(said.get("faces", "")), "<u4" if said.get("wide") else "<u2")
        assert len(faces) == 3 * len(model.mesh.faces)
        places = np.frombuffer(b64decode(said.get("places", "")), "<f4")
        assert len(places) in (0, 12 * len(model.places))
        assert [said["colours"][i] for i in said.get("colour_of", [0] * len(model.places))] == list(model.colours)


@pytest.mark.parametrize("bloom", Bloom)
def test_a_flower_fills_its_round(bloom: Bloom) -> None:
    mesh = pieces.flower(bloom)
    assert np.hypot(mesh.points[:, 0], mesh.points[:, 1]).max() == pytest.approx(0.5)
    assert (mesh.points[:, 2].min(), mesh.points[:, 2].max()) == (0.0, 1.0)
    assert mesh.tint is not None
    assert 0 < mesh.tint.min() <= mesh.tint.max() <= 1


@pytest.mark.parametrize("character", "AeB8Ö")
def test_a_letter_has_the_ink_of_its_face(character: str) -> None:
    mesh = pieces.letter(FaceStyle.UPRIGHT, character)
    assert mesh is not None
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    facing = np.cross(b - a, c - a)
    (glyph,) = face(FaceStyle.UPRIGHT).glyphs(character)
    # Straightened by four thousandths of its size at most.
    assert facing[:, 2].sum() / 2 == pytest.approx(glyph.area, rel=0.04)
    # Its sides close it: what faces one way faces the other as well.
    assert facing[:, :2].sum(axis=0) == pytest.approx([0, 0], abs=1e-9)


def test_a_space_leaves_no_letter() -> None:
    assert pieces.letter(FaceStyle.UPRIGHT, " ") is None


@given(st.sampled_from(["#000000", "#ffffff", "#7f3311"]), st.floats(0, 1))
def test_colours_mix_in_light(hue: str, share: float) -> None:
    # IEC 61966-2-1: 0.04045 is where its two branches meet; white is 1.
    assert linear("#ffffff") == pytest.approx([1, 1, 1])
    assert mixed(hue, hue, share) == hue
