"""The finished cake as surfaces with their materials, for the turning view and the still picture alike."""

from __future__ import annotations

from base64 import b64encode
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from hashlib import sha256
from math import cos, pi, sin
from typing import Any, Final

import numpy as np

from tierwright.dossier import Dossier
from tierwright.drawings import scene_pieces as pieces
from tierwright.drawings.fineness import FOR_A_BROWSER, Fineness
from tierwright.drawings.scene_lines import (
    band_mesh,
    drip_mesh,
    flood_mesh,
    leaf_mesh,
    rope_mesh,
    stripe_mesh,
)
from tierwright.drawings.scene_mesh import Mesh, Numbers, Whole, joined, mixed
from tierwright.drawings.scene_tiers import slab_mesh, tier_mesh
from tierwright.errors import MissingData
from tierwright.finish import Bloom, CutLetter, Look, Placed, Surface, bloom_of, look_of
from tierwright.larder import board

BOARD_COLOUR: Final = "#f4f1ea"
EYES: Final = {Bloom.RAYS: "#d9a520", Bloom.FIVE: "#e3c64a", Bloom.FACED: "#f0c419"}
SUGAR: Final = ("#ffffff", 0.35)
"""How much white sugar lightens a flower in a picture. [-] Chosen by us."""
TILT: Final = 0.28
"""How far a fresh flower may lean out of its place. [rad] Chosen by us."""
SWING: Final = 0.5
"""How far a flower on a side may turn in its place. [rad] Chosen by us."""
SEED: Final = 1


class Material(StrEnum):
    """What a surface is made of, as the light sees it."""

    COAT = "coat"
    POURED = "poured"
    METAL = "metal"
    PETAL = "petal"
    BOARD = "board"
    RIBBON = "ribbon"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """
    A surface, and every place in which it stands.

    Attributes
    ----------
    name
        What it is, for a person.
    mesh, material
        Its surface, and what it is made of.
    places
        A 3 by 4 matrix for each: where its x, y and z lie and where its origin is. [mm]
    colours
        One for each place, ``#rrggbb``; a tinted tier is white.
    """

    name: str
    mesh: Mesh
    material: Material
    places: Numbers
    colours: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """
    Everything there is to see.

    Attributes
    ----------
    models
        Tiers and boards first.
    tiers
        What casts shadows, bottom first.
    floor_mm, top_mm, reach_mm
        Levels of the table and of the highest tier, and half the greatest width. [mm]
    """

    models: tuple[Model, ...]
    tiers: tuple[Surface, ...]
    floor_mm: float
    top_mm: float
    reach_mm: float


HERE: Final = np.eye(3, 4)[None]


def look(dossier: Dossier) -> Look:
    """
    Return what can be seen of a commission's cake.

    Raises
    ------
    MissingData
        The finish could not be worked as asked, so that nobody knows how the cake looks.
    """
    finish = dossier.finish
    if finish is None:
        raise MissingData("how the tiers are finished", "the picture", "drawing")
    base = dossier.coating.base_board
    thick = board(base).thickness_mm.value if base else 0.0
    return look_of(finish.surfaces, finish.work, finish.flowers, finish.inscriptions, base_mm=thick)


def scene_of(seen: Look, fineness: Fineness = FOR_A_BROWSER, seed: int = SEED) -> Scene:
    """
    Return a cake as surfaces.

    Parameters
    ----------
    seen
        What can be seen.
    fineness
        How fine its triangles are.
    seed
        Of what a hand leaves to chance: strokes, torn leaf, how far a flower leans.
    """
    tiers = {surface.tier: surface for surface in seen.surfaces}
    reliefs = dict(seen.reliefs)
    models = [_single("board", slab_mesh(slab, fineness), Material.BOARD, BOARD_COLOUR) for slab in seen.boards]
    for surface in seen.surfaces:
        painted = tuple(one for one in seen.placed if one.what == "painted" and one.tier == surface.tier)
        mesh = tier_mesh(surface, reliefs.get(surface.tier), painted, fine=fineness, seed=seed + surface.tier)
        hue = "#ffffff" if painted else surface.colour
        models.append(_single(f"{surface.name} tier", mesh, Material.COAT, hue))
    models += _lying(seen.placed, tiers, fineness, seed)
    models += _standing(seen.placed, fineness)
    models += _flowering(seen.placed, fineness, seed)
    models += _written(seen.letters, fineness)
    reach = max([surface.foot.reach_mm for surface in seen.surfaces] + [slab.rim.reach_mm for slab in seen.boards])
    return Scene(models=tuple(models), tiers=seen.surfaces, floor_mm=seen.floor_mm, top_mm=seen.top_mm, reach_mm=reach)


def _single(name: str, mesh: Mesh, material: Material, colour: str) -> Model:
    return Model(name=name, mesh=mesh, material=material, places=HERE, colours=(colour,))


def _lying(placed: Iterable[Placed], tiers: Mapping[int, Surface], fine: Fineness, seed: int) -> Iterable[Model]:
    """Return what follows a line; things of one kind, tier and colour are one surface."""
    groups: dict[tuple[str, int, str, Material], list[Mesh]] = defaultdict(list)
    for number, one in enumerate(placed):
        mesh, material = None, Material.COAT
        match one.what:
            case "rope" | "line" | "swag":
                stands = one.what != "swag" and one.out[2] > 0.9
                mesh = rope_mesh(one, twisted=one.what == "rope", stands=stands, fine=fine)
            case "drip" if one.detail == "flood":
                mesh, material = flood_mesh(one, tiers[one.tier], fine), Material.POURED
            case "drip":
                mesh, material = drip_mesh(one, fine), Material.POURED
            case "band":
                mesh = band_mesh(one, tiers[one.tier], fine)
                material = Material.RIBBON if one.detail in ("ribbon", "printed") else Material.COAT
            case "stripe":
                mesh = stripe_mesh(one, tiers[one.tier], fine)
            case "leaf":
                mesh, material = leaf_mesh(one, tiers[one.tier], seed + number), Material.METAL
        if mesh is not None:
            groups[one.what, one.tier, one.colour, material].append(mesh)
    for (what, tier, colour, material), meshes in groups.items():
        yield _single(f"{what} {tier}", joined(meshes), material, colour)


def _piece(what: str, fine: Fineness) -> Mesh | None:
    match what:
        case "bead":
            return pieces.bead(fine.around, sparing=fine.sparing)
        case "shell":
            return pieces.shell(sparing=fine.sparing)
        case "rosette":
            return pieces.rosette(sparing=fine.sparing)
    return None


def _standing(placed: Iterable[Placed], fine: Fineness) -> Iterable[Model]:
    """Return piped pieces, each kind once with all its places."""
    groups: dict[str, list[Placed]] = defaultdict(list)
    for one in placed:
        groups[one.what].append(one)
    for what, some in groups.items():
        mesh = _piece(what, fine)
        if mesh is None:
            continue
        yield Model(
            name=what,
            mesh=mesh,
            material=Material.COAT,
            places=np.array([_frame(one.at_mm, one.out, one.along, one.size_mm) for one in some]),
            colours=tuple(one.colour for one in some),
        )


def _frame(at: Any, out: Any, along: Any, size: tuple[float, float, float], lean: Numbers | None = None) -> Numbers:
    """Return where a piece's x, y and z lie in the cake, as large as it is, and where it stands."""
    z = np.array(out, dtype=np.float64)
    x = np.array(along, dtype=np.float64)
    x -= z * (x @ z)
    x /= np.linalg.norm(x)
    axes = np.column_stack([x, np.cross(z, x), z])
    if lean is not None:
        axes = axes @ lean
    return np.column_stack([axes * np.array(size), np.array(at)])


def _flowering(placed: Iterable[Placed], fine: Fineness, seed: int) -> Iterable[Model]:
    """Return flowers, each form once with all its places, and their eyes."""
    dice = np.random.default_rng(seed)
    places: dict[tuple[Bloom, str], list[Numbers]] = defaultdict(list)
    colours: dict[tuple[Bloom, str], list[str]] = defaultdict(list)
    for one in placed:
        if one.what != "flower":
            continue
        state, _, species = one.detail.partition(" ")
        bloom = bloom_of(species)
        on_side = abs(one.out[2]) < 0.7
        swing = dice.uniform(-SWING, SWING) if on_side else 0.0
        tilt, towards = (0.0, 0.0) if state == "pressed" else (dice.uniform(0.05, TILT), dice.uniform(0, 2 * pi))
        lean = _about_z(towards) @ _about_x(tilt) @ _about_z(-towards) @ _about_z(swing)
        wide = one.size_mm[0]
        lifted = np.array(one.at_mm) + np.array(one.out) * (0.25 + wide / 2 * sin(tilt) * 0.7)
        places[bloom, "petals"].append(_frame(lifted, one.out, one.along, one.size_mm, lean))
        hue = mixed(one.colour, *SUGAR) if state == "sugared" else one.colour
        colours[bloom, "petals"].append(hue)
        if bloom in EYES:
            places[bloom, "eye"].append(places[bloom, "petals"][-1])
            colours[bloom, "eye"].append(mixed(EYES[bloom], *SUGAR) if state == "sugared" else EYES[bloom])
    for (bloom, part), some in places.items():
        mesh = pieces.flower(bloom, fine.petal) if part == "petals" else pieces.eye(bloom, sparing=fine.sparing)
        assert mesh is not None
        yield Model(
            name=f"{bloom.value} {part}", mesh=mesh, material=Material.PETAL, places=np.array(some),
            colours=tuple(colours[bloom, part]),
        )  # fmt: skip


def _about_z(turn: float) -> Numbers:
    return np.array([[cos(turn), -sin(turn), 0.0], [sin(turn), cos(turn), 0.0], [0.0, 0.0, 1.0]])


def _about_x(turn: float) -> Numbers:
    return np.array([[1.0, 0.0, 0.0], [0.0, cos(turn), -sin(turn)], [0.0, sin(turn), cos(turn)]])


def _written(letters: Iterable[CutLetter], fine: Fineness) -> Iterable[Model]:
    """Return letters, each form once with all its places."""
    groups: dict[tuple[str, str], list[CutLetter]] = defaultdict(list)
    for one in letters:
        groups[one.style, one.placed.detail].append(one)
    for (_style, character), some in groups.items():
        mesh = pieces.letter(some[0].style, character, flat=fine.sparing)
        if mesh is None:
            continue
        yield Model(
            name=f"letter {character}",
            mesh=mesh,
            material=Material.COAT,
            places=np.array([_letter_frame(one) for one in some]),
            colours=tuple(one.placed.colour for one in some),
        )  # fmt: skip


def _letter_frame(one: CutLetter) -> Numbers:
    placed = one.placed
    return _frame(placed.at_mm, placed.out, placed.along, (one.size_mm, one.size_mm, placed.size_mm[2]))


# --- for a browser ---------------------------------------------------------------------------------------------------


def plain(scene: Scene) -> dict[str, Any]:
    """
    Return a scene as plain JSON holds it.

    Points are whole numbers of two bytes in steps of ``step`` mm, places are floats of four bytes, both little-endian
    and in base 64; triangles of grids are left out, for they follow from rows and columns.
    """
    return {
        "floor_mm": round(scene.floor_mm, 2),
        "top_mm": round(scene.top_mm, 2),
        "reach_mm": round(scene.reach_mm, 2),
        "tiers": [_plain_tier(tier) for tier in scene.tiers],
        "models": [_plain_model(model) for model in scene.models],
    }


def _plain_tier(tier: Surface) -> dict[str, Any]:
    return {
        "foot_mm": round(tier.foot_mm, 2),
        "top_mm": round(tier.top_mm, 2),
        "top_scale": round(tier.top_scale, 4),
        "ring": [[round(x, 1), round(y, 1)] for x, y in tier.foot.path.polygon(0.5)],
    }


def _plain_model(model: Model) -> dict[str, Any]:
    mesh = model.mesh
    step = float(np.max(np.abs(mesh.points))) / 32767 or 1.0
    found: dict[str, Any] = {
        "name": model.name,
        "material": model.material.value,
        "step": step,
        "points": _coded(np.rint(mesh.points / step), "<i2"),
        "grids": [[grid.rows, grid.columns, int(grid.closed)] for grid in mesh.grids],
        "colours": list(dict.fromkeys(model.colours)),
    }
    if len(found["colours"]) > 1:
        found["colour_of"] = [found["colours"].index(colour) for colour in model.colours]
    if len(mesh.faces):
        found["faces"] = _coded(mesh.faces, "<u2" if len(mesh.points) < 65536 else "<u4")
        found["wide"] = int(len(mesh.points) >= 65536)
    if mesh.tint is not None:
        found["tint"] = _coded(np.rint(255 * np.clip(mesh.tint, 0, 1)), "u1")
    if model.places is not HERE:
        found["places"] = _coded(model.places, "<f4")
    return found


def _coded(numbers: Numbers | Whole, kind: str) -> str:
    return b64encode(np.ascontiguousarray(numbers.astype(kind)).tobytes()).decode()


@lru_cache(maxsize=16)
def scene_for_browser(seen: Look, fineness: Fineness = FOR_A_BROWSER) -> dict[str, Any]:
    """Return a cake as the turning view reads it; the same cake is not worked again."""
    return plain(scene_of(seen, fineness))


def look_mark(seen: Look, seed: int = SEED) -> str:
    """Return what stands for exactly this look: whatever else changes in a commission, its picture stays."""
    return sha256(f"{seed}:{seen!r}".encode()).hexdigest()
