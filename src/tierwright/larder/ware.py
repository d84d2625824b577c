"""Pans, the materials they are made of, boards and supports: what a tier is baked in and stands on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.larder.tables import Row, estimate, rows, source_of, split, yes
from tierwright.shapes import Outline, Shape
from tierwright.working import Estimate, Source


class Series(StrEnum):
    """Which of the two series of sizes a pan or board belongs to."""

    INCH = "inch"
    METRIC = "metric"


@dataclass(frozen=True, slots=True, kw_only=True)
class PanMaterial:
    """
    What a pan is made of, as the oven sees it.

    Attributes
    ----------
    key, name
        Name in files, and in words.
    wall_mm
        Thickness of the wall. [mm]
    emissivity
        Share of a black body's radiation that the outside takes and gives. [-]
    conductivity_w_per_m_k, density_kg_per_m3, specific_heat_j_per_kg_k
        Thermal properties near room temperature. [W/(m K)], [kg/m3], [J/(kg K)]
    note
        What it does to a cake.
    source
        Where the figures come from.
    """

    key: str
    name: str
    wall_mm: Estimate
    emissivity: Estimate
    conductivity_w_per_m_k: float
    density_kg_per_m3: float
    specific_heat_j_per_kg_k: float
    note: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Pan:
    """
    A cake pan (tin) of a nominal size.

    Attributes
    ----------
    key, name
        Name in files, such as ``round_8x3_in``, and in words.
    outline
        Inside at the rim.
    depth_mm
        Inside depth. [mm]
    series
        Inch or metric.
    materials
        Keys of the materials it is commonly made of.
    note
        What to mind when measuring one's own.
    source
        Where the size comes from.
    """

    key: str
    name: str
    outline: Outline
    depth_mm: float
    series: Series
    materials: tuple[str, ...]
    note: str
    source: Source

    @property
    def volume_ml(self) -> float:
        """Volume to the rim, with straight sides. [ml]"""
        return self.outline.area_mm2 * self.depth_mm / 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """
    A board under a tier or under the whole cake.

    Attributes
    ----------
    key, kind, material
        Name in files; ``card``, ``foam_core``, ``hardboard``, ``plywood``, ``acrylic`` or ``drum``; what it is made of.
    outline
        Its shape and size.
    series
        Inch or metric.
    thickness_mm
        Thickness. [mm]
    density_kg_per_m3
        Density. [kg/m3]
    youngs_modulus_mpa
        Stiffness in bending. [MPa]
    needs_cover
        Whether it must be wrapped before food touches it.
    note
        What to mind.
    source
        Where the figures come from.
    """

    key: str
    kind: str
    material: str
    outline: Outline
    series: Series
    thickness_mm: Estimate
    density_kg_per_m3: float
    youngs_modulus_mpa: Estimate
    needs_cover: bool
    note: str
    source: Source

    @property
    def mass_g(self) -> float:
        """Weight of the board. [g]"""
        return self.outline.area_mm2 * self.thickness_mm.value * self.density_kg_per_m3 * 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Support:
    """
    A support that carries a tier, or a rod that keeps tiers in line.

    Attributes
    ----------
    key, kind, material
        Name in files; ``dowel``, ``tube``, ``straw``, ``hub`` or ``centre rod``; what it is made of.
    outer_mm, inner_mm
        Diameters; inner 0 is solid. [mm]
    length_mm
        Length as bought. [mm]
    youngs_modulus_mpa
        Stiffness along its length. [MPa]
    strength_mpa
        Stress that it bears in compression along its length. [MPa]
    density_kg_per_m3
        Density of the material. [kg/m3]
    note
        What to mind.
    source
        Where the figures come from.
    """

    key: str
    kind: str
    material: str
    outer_mm: float
    inner_mm: float
    length_mm: float
    youngs_modulus_mpa: Estimate
    strength_mpa: Estimate
    density_kg_per_m3: float
    note: str
    source: Source


@cache
def pan_materials() -> Mapping[str, PanMaterial]:
    """Return the materials of pans by key."""
    return MappingProxyType(
        {
            row["key"]: PanMaterial(
                key=row["key"],
                name=row["name"],
                wall_mm=estimate(row, "wall_mm"),
                emissivity=estimate(row, "emissivity"),
                conductivity_w_per_m_k=float(row["conductivity_w_per_m_k"]),
                density_kg_per_m3=float(row["density_kg_per_m3"]),
                specific_heat_j_per_kg_k=float(row["specific_heat_j_per_kg_k"]),
                note=row["note"],
                source=source_of(row),
            )
            for row in rows("pan_materials.csv")
        }
    )


@cache
def pans() -> Mapping[str, Pan]:
    """Return the pans by key."""
    return MappingProxyType(
        {
            row["key"]: Pan(
                key=row["key"],
                name=row["name"],
                outline=_outline(row),
                depth_mm=float(row["depth_mm"]),
                series=Series(row["series"]),
                materials=split(row["materials"]),
                note=row["note"],
                source=source_of(row),
            )
            for row in rows("pans.csv")
        }
    )


@cache
def boards() -> Mapping[str, Board]:
    """Return the boards by key."""
    return MappingProxyType(
        {
            row["key"]: Board(
                key=row["key"],
                kind=row["kind"],
                material=row["material"],
                outline=_outline(row),
                series=Series(row["series"]),
                thickness_mm=estimate(row, "thickness_mm"),
                density_kg_per_m3=float(row["density_kg_per_m3"]),
                youngs_modulus_mpa=estimate(row, "youngs_modulus_mpa"),
                needs_cover=yes(row["needs_cover"]),
                note=row["note"],
                source=source_of(row),
            )
            for row in rows("boards.csv")
        }
    )


@cache
def supports() -> Mapping[str, Support]:
    """Return the supports by key."""
    return MappingProxyType(
        {
            row["key"]: Support(
                key=row["key"],
                kind=row["kind"],
                material=row["material"],
                outer_mm=float(row["outer_mm"]),
                inner_mm=float(row["inner_mm"]),
                length_mm=float(row["length_mm"]),
                youngs_modulus_mpa=estimate(row, "youngs_modulus_mpa"),
                strength_mpa=estimate(row, "strength_mpa"),
                density_kg_per_m3=float(row["density_kg_per_m3"]),
                note=row["note"],
                source=source_of(row),
            )
            for row in rows("supports.csv")
        }
    )


def pan(key: str) -> Pan:
    """
    Return one pan by its key.

    Raises
    ------
    UnknownName
        No pan has this key; the nearest are named.
    """
    table = pans()
    if key not in table:
        raise UnknownName("pan", key, tuple(table))
    return table[key]


def board(key: str) -> Board:
    """
    Return one board by its key.

    Raises
    ------
    UnknownName
        No board has this key; the nearest are named.
    """
    table = boards()
    if key not in table:
        raise UnknownName("board", key, tuple(table))
    return table[key]


def support(key: str) -> Support:
    """
    Return one support by its key.

    Raises
    ------
    UnknownName
        No support has this key; the nearest are named.
    """
    table = supports()
    if key not in table:
        raise UnknownName("support", key, tuple(table))
    return table[key]


def _outline(row: Row) -> Outline:
    return Outline(shape=Shape(row["shape"]), width_mm=float(row["width_mm"]), length_mm=float(row["length_mm"]))
