"""A body to heat or cool: bands of material one on another, a coat round the side, a pan, and their grid."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt, tanh
from typing import Final

import numpy as np

from tierwright.errors import require_range
from tierwright.heat import march as m
from tierwright.heat.choi_okos import part_property
from tierwright.heat.material import Material

RINGS: Final = 20
RIM_FILM: Final = 15.0  # film on a bare rim, for how far it acts as a fin; W/(m2 K)
TOP_RATIO: Final = 0.15  # thinnest over mean cell where the skin dries


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """
    One layer of a body.

    Attributes
    ----------
    material
        What it is made of.
    thickness_mm
        As it is put in. [mm]
    cells
        Cells up its thickness; 0 chooses by thickness.
    """

    material: Material
    thickness_mm: float
    cells: int = 0

    def __post_init__(self) -> None:
        require_range("thickness", self.thickness_mm, 0.1, 400.0, "mm", self.material.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """
    A pan: floor and side of one material.

    Attributes
    ----------
    material
        What the pan is made of; dry.
    thickness_mm
        Of floor and side. [mm]
    height_mm
        Inside height of the side. [mm]
    contact_m2k_w
        Resistance of lining and grease between pan and batter. [m2 K/W]
    emissivity
        Of its outside. [-]
    """

    material: Material
    thickness_mm: float
    height_mm: float
    contact_m2k_w: float = 1.0e-3
    emissivity: float = 0.20


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """
    A round body, bottom up.

    Attributes
    ----------
    radius_mm
        Outside radius without pan and side coat. [mm]
    bands
        Layers from the bottom.
    coat, coat_mm
        What is round the side over the whole height, and how thick. [mm]
    wall
        The pan it stands in, or None.
    insert, insert_radius_mm
        A metal core or nail in the middle, over the whole height of the cake. [mm]
    emissivity
        Of the top, and of the bare side and bottom. [-]
    rings
        Cells from the axis to the edge of the cake.
    thin_top
        Grade the top band towards its surface, as drying needs.
    """

    radius_mm: float
    bands: tuple[Band, ...]
    coat: Material | None = None
    coat_mm: float = 0.0
    wall: Wall | None = None
    insert: Material | None = None
    insert_radius_mm: float = 0.0
    emissivity: float = 0.92
    rings: int = RINGS
    thin_top: bool = False

    def __post_init__(self) -> None:
        require_range("radius", self.radius_mm, 8.0, 600.0, "mm", "body")
        if not self.bands:
            raise ValueError("a body needs at least one band")


class Grid:
    """
    The arrays that the march reads, built once from a body; in SI units.

    ``cake`` marks the cells that are neither pan, coat nor insert; ``band`` numbers each cell's band (-1 elsewhere).
    ``freezing_c`` is where the first ice forms anywhere [degC], and ``is_moist`` whether water moves anywhere;
    ``arrays`` are those of them that a march reads.
    """

    def __init__(self, body: Body) -> None:
        self.body = body
        pan = body.wall is not None
        self.has_pan = pan
        radii = [0.0]
        rings = body.rings
        start = 0.0
        if body.insert is not None:
            radii.append(body.insert_radius_mm)
            start = body.insert_radius_mm
            rings -= 1
        radii += [start + (body.radius_mm - start) * (i + 1) / rings for i in range(rings)]
        cake_rings = len(radii) - 1
        if body.coat is not None:
            radii += [body.radius_mm + body.coat_mm / 2.0, body.radius_mm + body.coat_mm]
        if body.wall is not None:
            radii.append(radii[-1] + body.wall.thickness_mm)
        heights: list[float] = [body.wall.thickness_mm] if body.wall is not None else []
        bands: list[int] = [-1] if body.wall is not None else []
        for number, band in enumerate(body.bands):
            top = body.thin_top and number == len(body.bands) - 1
            sizes = band_cells(band, thin=top)
            heights += sizes
            bands += [number] * len(sizes)
        self.radii = np.asarray(radii) / 1000.0
        nr, nz = len(radii) - 1, len(heights)
        self.shape = (nr, nz)
        self.thickness = np.tile(np.asarray(heights) / 1000.0, (nr, 1))
        self.materials: list[Material] = []
        kind = np.zeros((nr, nz), dtype=np.int64)
        self.band = np.tile(np.asarray(bands, dtype=np.int64), (nr, 1))
        for j, number in enumerate(bands):
            kind[:, j] = self._index(body.bands[max(number, 0)].material)
        if body.insert is not None:
            kind[0, :] = self._index(body.insert)
            self.band[0, :] = -1
        if body.coat is not None:
            kind[cake_rings : cake_rings + 2, :] = self._index(body.coat)
            self.band[cake_rings:, :] = -1
        if body.wall is not None:
            kind[:, 0] = kind[nr - 1, :] = self._index(body.wall.material)
            self.band[:, 0] = self.band[nr - 1, :] = -1
        self.freezing_c = max(material.freezing_c for material in self.materials)
        self.is_moist = any(material.diffusivity_m2_s > 0.0 for material in self.materials)
        self.kind = kind
        self.cake = self.band >= 0
        self.areas = np.pi * (self.radii[1:] ** 2 - self.radii[:-1] ** 2)
        density = np.asarray([material.dry_density_kg_m3 for material in self.materials])
        self.dry = density[kind] * self.areas[:, None] * self.thickness
        self.moisture = np.asarray([material.water_dry_basis for material in self.materials])[kind]
        table = np.asarray([_parameters(material) for material in self.materials])
        self.cells = np.ascontiguousarray(np.moveaxis(table[kind], 2, 0))
        if body.wall is not None:
            # The wall keeps its own mass while it follows the cake's height; its topmost cell carries the bare rim, as
            # far as a fin reaches.
            bare_mm = body.wall.height_mm - sum(band.thickness_mm for band in body.bands)
            metal = body.wall.material
            conductivity = metal.solid_conductance[0] / metal.solid_volume_m3_kg[0]
            reach = sqrt(conductivity * body.wall.thickness_mm / 1000.0 / (2.0 * RIM_FILM))
            rim = reach * tanh(max(bare_mm, 0.0) / 1000.0 / reach)
            self.dry[nr - 1, nz - 1] += metal.density_kg_m3 * self.areas[nr - 1] * rim
            self.cells[m.RISE][nr - 1, :] = 1.0
        self.seam_r = kind[:-1, :] != kind[1:, :]
        self.seam_z = kind[:, :-1] != kind[:, 1:]
        self.resistance_r = np.zeros((nr - 1, nz))
        self.resistance_z = np.zeros((nr, nz - 1))
        self.pan = np.zeros(4)
        if body.wall is not None:
            self.resistance_r[nr - 2, :] = body.wall.contact_m2k_w
            self.resistance_z[:, 0] = body.wall.contact_m2k_w
            self.resistance_r[nr - 2, 0] = self.resistance_z[nr - 1, 0] = 0.0
            self.pan[:] = (body.wall.height_mm / 1000.0, body.wall.thickness_mm / 1000.0, conductivity, 1.0)
        self.arrays = m.Arrays(
            self.dry,
            self.thickness,
            self.radii,
            self.cells,
            self.seam_r,
            self.seam_z,
            self.resistance_r,
            self.resistance_z,
            self.pan,
        )

    def _index(self, material: Material) -> int:
        if material not in self.materials:
            self.materials.append(material)
        return self.materials.index(material)

    def heights_above_floor(self) -> m.Array:
        """Return the middle of every row of cake over the height of the cake. [-], 0 to 1"""
        first = 1 if self.has_pan else 0
        tops = np.cumsum(self.thickness[0, first:])
        middle: m.Array = (tops - self.thickness[0, first:] / 2.0) / tops[-1]
        return np.concatenate((np.full(first, -1.0), middle))


def band_cells(band: Band, *, thin: bool) -> list[float]:
    """Thickness of a band's cells from the bottom up. [mm]"""
    count = band.cells or min(max(2, round(band.thickness_mm / 3.0)), 16)
    if not thin:
        return [band.thickness_mm / count] * count
    # Even below, then shrinking in a geometric row towards the skin, so that the topmost is TOP_RATIO of the even ones.
    shrinking = max(count // 3, 2)
    ratio = TOP_RATIO ** (1.0 / shrinking)
    sizes = [1.0] * (count - shrinking) + [ratio ** (i + 1) for i in range(shrinking)]
    total = sum(sizes)
    return [band.thickness_mm * size / total for size in sizes]


def _parameters(material: Material) -> list[float]:
    frozen_cp = thawed_cp = 0.0
    if material.freezing_c > -999.0:
        dry = material.solid_heat_j_kgk
        ice_water = material.free_water
        rest = material.water_dry_basis - ice_water
        cold = material.freezing_c
        thawed_cp = _cubic_at(dry, cold) + material.water_dry_basis * part_property("water", "heat_capacity", cold)
        frozen_cp = _cubic_at(dry, -15.0) + rest * part_property("water", "heat_capacity", -15.0)
        frozen_cp += ice_water * part_property("ice", "heat_capacity", -15.0)
    else:
        frozen_cp = thawed_cp = max(material.solid_heat_j_kgk[0], 1.0)
    return [
        *material.solid_heat_j_kgk,
        *material.solid_volume_m3_kg,
        *material.solid_conductance,
        material.diffusivity_m2_s,
        material.rise,
        material.freezing_c,
        material.free_water,
        frozen_cp,
        thawed_cp,
    ]


def _cubic_at(c: tuple[float, float, float, float], t: float) -> float:
    return c[0] + t * (c[1] + t * (c[2] + t * c[3]))
