"""The still picture: light followed through the very scene that the turning view shows.

The renderer is an optional part of the house (``picture``). Without it there is no picture, and nothing in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from math import cos, pi, radians, sin, tan
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from tierwright.drawings.fineness import FOR_A_PICTURE
from tierwright.drawings.scene import Material, Model, Scene, scene_of
from tierwright.drawings.scene_mesh import Numbers, Whole, grid_of, linear, mixed
from tierwright.drawings.smoothing import Field, quieted
from tierwright.errors import TierwrightError, require_range
from tierwright.finish import Look

Pixels = npt.NDArray[np.uint8]

CAMERA_DEG: Final = (-14.0, 15.0)
"""From where it is seen: turned from the front, and raised. [deg]"""
VIEW_DEG: Final = 24.0
"""Angle of view across the shorter side. [deg]"""
LOWER: Final = 0.12
"""How far below the middle of its height the cake is looked at: the board's near edge hangs lowest. [reach]"""
ROOM: Final = 1.06
"""How much wider the picture is than the cake. [-]"""
TABLE: Final = "#e4ded4"
BOUNCES: Final = 6
EXPOSURE: Final = 0.9
SHOULDER: Final = 0.72
"""Light above this is drawn in softly, so that white icing keeps its form. [-]"""
CLOTH_MM: Final = 900.0
SHINE: Final = ("#ffdf8a", 0.55)
"""What a studio's lamps, which are not in the picture, would add to leaf. [-] By eye."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """
    How a picture is to be made.

    Attributes
    ----------
    width_px, height_px
        Its size. [px], 16 to 4000
    samples
        Paths of light followed for each point. [-], 1 to 4096
    pass_samples
        So many of them at a time; between two passes it can be stopped. [-]
    seed
        Of the paths, and of what a hand leaves to chance.
    """

    width_px: int = 900
    height_px: int = 1100
    samples: int = 48
    pass_samples: int = 4
    seed: int = 1

    def __post_init__(self) -> None:
        require_range("width of the picture", self.width_px, 16, 4000, "px")
        require_range("height of the picture", self.height_px, 16, 4000, "px")
        require_range("paths of light", self.samples, 1, 4096, "a point")
        require_range("paths of light at a time", self.pass_samples, 1, 4096, "a point")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """
    A finished picture.

    Attributes
    ----------
    content
        The file's bytes.
    kind
        ``png`` or ``jpeg``.
    width_px, height_px
        Its size. [px]
    samples
        Paths followed for each point; fewer than asked for where it was stopped. [-]
    """

    content: bytes
    kind: str
    width_px: int
    height_px: int
    samples: int


class NoRenderer(TierwrightError):
    """The renderer is not installed, so that there is no picture."""

    def __init__(self) -> None:
        super().__init__(
            "the renderer is not installed, so that no picture is made; it comes with the extra called picture: "
            "pip install 'tierwright[picture]'"
        )


def is_installed() -> bool:
    """Say whether the renderer is there."""
    return find_spec("mitsuba") is not None


def picture_of(
    seen: Look, wanted: Wanted | None = None, *, kind: str = "png", report: Callable[[int, int], bool] | None = None
) -> Picture:
    """
    Make a picture of a finished cake.

    Parameters
    ----------
    seen
        What can be seen.
    wanted
        Size, care and seed.
    kind
        ``png`` or ``jpeg``.
    report
        Told how many paths of how many have been followed after each pass; stops the work by answering True.

    Returns
    -------
    picture
        The same look, wish and program give the same bytes.

    Raises
    ------
    NoRenderer
        The renderer is not installed.
    """
    wanted = wanted or Wanted()
    if not is_installed():
        raise NoRenderer
    mi: Any = import_module("mitsuba")
    mi.set_variant("scalar_rgb")
    scene = scene_of(seen, FOR_A_PICTURE, wanted.seed)
    world = mi.load_dict(_world(mi, scene, wanted))
    total = np.zeros((wanted.height_px, wanted.width_px, 12), dtype=np.float32)
    done = 0
    while done < wanted.samples:
        now = min(wanted.pass_samples, wanted.samples - done)
        # A box filter keeps every point to itself, so that the order in which threads finish does not matter.
        total += now * np.array(mi.render(world, spp=now, seed=wanted.seed * 4096 + done))[:, :, :12]
        done += now
        if report is not None and report(done, wanted.samples):
            break
    total /= done
    light = quieted(total[:, :, :3], *(total[:, :, i : i + 3] for i in (3, 6, 9)))
    return Picture(
        content=_file(mi, _developed(light), kind),
        kind=kind,
        width_px=wanted.width_px,
        height_px=wanted.height_px,
        samples=done,
    )


def _developed(light: Field) -> Pixels:
    """Return light as bytes: a soft shoulder for what is brighter than paper, then the curve of IEC 61966-2-1."""
    shown = light * EXPOSURE
    over = np.maximum(shown - SHOULDER, 0.0) / (1 - SHOULDER)
    shown = np.where(shown > SHOULDER, SHOULDER + (1 - SHOULDER) * (1 - np.exp(-over)), shown)
    coded = np.where(shown <= 0.0031308, 12.92 * shown, 1.055 * np.maximum(shown, 1e-9) ** (1 / 2.4) - 0.055)
    return np.asarray(np.clip(np.rint(255 * coded), 0, 255), dtype=np.uint8)


def _file(mi: Any, pixels: Pixels, kind: str) -> bytes:
    stream = mi.MemoryStream()
    if kind == "png":
        mi.Bitmap(pixels).write(stream, mi.Bitmap.FileFormat.PNG)
    else:
        mi.Bitmap(pixels).write(stream, mi.Bitmap.FileFormat.JPEG, quality=92)
    return bytes(stream.raw_buffer())


def _world(mi: Any, scene: Scene, wanted: Wanted) -> dict[str, Any]:
    world: dict[str, Any] = {
        "type": "scene",
        "integrator": {
            "type": "aov",
            "aovs": "colour:albedo,slope:sh_normal,place:position",
            "light": {"type": "path", "max_depth": BOUNCES},
        },
        "sensor": _camera(mi, scene, wanted),
        "table": _surface(mi, "table", *_table(scene), _cloth()),
    }
    world |= _lights(mi, scene)
    for number, model in enumerate(scene.models):
        for hue in dict.fromkeys(model.colours):
            world[f"m{number}_{hue[1:]}"] = _model(mi, model, hue)
    return world


def _camera(mi: Any, scene: Scene, wanted: Wanted) -> dict[str, Any]:
    """Stand so far off that the whole cake fits in with some room round it."""
    turn, rise = (radians(angle) for angle in CAMERA_DEG)
    middle = (scene.floor_mm + scene.top_mm) / 2
    high = (scene.top_mm - scene.floor_mm) * cos(rise) + 2 * scene.reach_mm * sin(rise)
    wide = 2 * scene.reach_mm
    shorter = min(wanted.width_px, wanted.height_px)
    span = ROOM * max(wide * shorter / wanted.width_px, high * shorter / wanted.height_px)
    aim = middle - LOWER * scene.reach_mm
    away = span / 2 / tan(radians(VIEW_DEG / 2)) + 0.4 * scene.reach_mm
    eye = [away * cos(rise) * sin(turn), -away * cos(rise) * cos(turn), middle + away * sin(rise)]
    return {
        "type": "perspective",
        "fov": VIEW_DEG,
        "fov_axis": "smaller",
        "to_world": mi.ScalarTransform4f().look_at(origin=eye, target=[0, 0, aim], up=[0, 0, 1]),
        "film": {
            "type": "hdrfilm", "width": wanted.width_px, "height": wanted.height_px, "pixel_format": "rgb",
            "component_format": "float32", "rfilter": {"type": "box"},
        },
        "sampler": {"type": "independent", "seed": wanted.seed},
    }  # fmt: skip


def _lights(mi: Any, scene: Scene) -> dict[str, Any]:
    """Return a large window to the left, a paler one to the right, and the room's own light."""
    size = max(scene.top_mm - scene.floor_mm, 2 * scene.reach_mm)
    middle = (scene.floor_mm + scene.top_mm) / 2

    def window(turn_deg: float, rise_deg: float, away: float, half: float, light: tuple[float, float, float]) -> Any:
        turn, rise = radians(turn_deg), radians(rise_deg)
        at = [
            away * size * cos(rise) * sin(turn),
            -away * size * cos(rise) * cos(turn),
            middle + away * size * sin(rise),
        ]
        stand = mi.ScalarTransform4f().look_at(origin=at, target=[0, 0, middle], up=[0, 0, 1])
        return {
            "type": "rectangle",
            "to_world": stand @ mi.ScalarTransform4f().scale([half * size, half * size, 1.0]),
            "emitter": {"type": "area", "radiance": {"type": "rgb", "value": list(light)}},
        }

    return {
        "room": {"type": "constant", "radiance": {"type": "rgb", "value": [0.36, 0.36, 0.38]}},
        "window": window(-62.0, 38.0, 2.4, 0.85, (6.6, 6.3, 5.8)),
        "second": window(68.0, 24.0, 2.8, 0.7, (1.5, 1.6, 1.8)),
    }


def _table(scene: Scene) -> tuple[Numbers, Whole, Numbers, None]:
    """Return a cloth that runs back and rises behind the cake without an edge."""
    radius = 1.2 * CLOTH_MM
    back = scene.reach_mm + 500.0
    line = [(-6000.0, 0.0), (back, 0.0)]
    line += [(back + radius * sin(a), radius * (1 - cos(a))) for a in np.linspace(0.05, pi / 2, 24)]
    line += [(back + radius, radius + 6000.0)]
    rows = [np.array([[x, y, scene.floor_mm + z] for x in (-9000.0, 9000.0)]) for y, z in line]
    mesh = grid_of(rows, closed=False)
    # Seen from inside: its rows run away from the eye.
    return mesh.points, mesh.triangles[:, ::-1], -mesh.normals, None


def _cloth() -> dict[str, Any]:
    return {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": _rgb(linear(TABLE))}}


def _rgb(light: Iterable[float]) -> dict[str, Any]:
    return {"type": "rgb", "value": [float(part) for part in light]}


def _material(material: Material, colour: dict[str, Any]) -> dict[str, Any]:
    """Return how light meets a material. Roughness and gloss are chosen by eye."""
    match material:
        case Material.METAL:
            inner: dict[str, Any] = {
                "type": "principled", "base_color": colour, "metallic": 0.3, "roughness": 0.25, "specular": 0.8,
            }  # fmt: skip
        case Material.BOARD:
            inner = {"type": "principled", "base_color": colour, "roughness": 0.35, "specular": 0.4}
        case Material.POURED:
            inner = {"type": "principled", "base_color": colour, "roughness": 0.14, "specular": 0.6, "clearcoat": 0.5}
        case Material.RIBBON:
            inner = {"type": "principled", "base_color": colour, "roughness": 0.3, "specular": 0.5, "sheen": 0.4}
        case Material.PETAL:
            inner = {"type": "principled", "base_color": colour, "roughness": 0.65, "specular": 0.25, "sheen": 0.6}
        case Material.COAT:
            inner = {"type": "principled", "base_color": colour, "roughness": 0.48, "specular": 0.35}
    return {"type": "twosided", "bsdf": inner}


def _model(mi: Any, model: Model, hue: str) -> Any:
    """Return all places of one colour of a model as one surface."""
    mesh = model.mesh
    places = [place for place, colour in zip(model.places, model.colours, strict=True) if colour == hue]
    triangles, normals = mesh.triangles, mesh.normals
    points = np.concatenate([mesh.points @ place[:, :3].T + place[:, 3] for place in places])
    # A normal turns with the inverse of what its surface is stretched by.
    facing = np.concatenate([normals @ np.linalg.inv(place[:, :3]) for place in places])
    facing /= np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-12)
    faces = np.concatenate([triangles + i * len(mesh.points) for i in range(len(places))])
    tint = None if mesh.tint is None else np.tile(mesh.tint * linear(hue), (len(places), 1))
    shown = mixed(hue, *SHINE) if model.material is Material.METAL else hue
    colour = _rgb(linear(shown)) if tint is None else {"type": "mesh_attribute", "name": "vertex_color"}
    return _surface(mi, model.name, points, faces, facing, tint, _material(model.material, colour))


def _surface(
    mi: Any, name: str, points: Numbers, faces: Whole, normals: Numbers, tint: Numbers | None, material: dict[str, Any]
) -> Any:
    props = mi.Properties()
    props["bsdf"] = mi.load_dict(material)
    mesh = mi.Mesh(name, len(points), len(faces), has_vertex_normals=True, props=props)
    if tint is not None:
        mesh.add_attribute("vertex_color", 3, np.ravel(tint).astype(np.float32))
    held = mi.traverse(mesh)
    held["vertex_positions"] = np.ravel(points).astype(np.float32)
    held["vertex_normals"] = np.ravel(normals).astype(np.float32)
    held["faces"] = np.ravel(faces).astype(np.uint32)
    held.update()
    return mesh
