"""The room's own tables: materials, sections, boards, crumb, fillings, friction, driving and partial factors."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.working import Basis, Estimate, Source

Row = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """
    What a support, rod or board is made of.

    Attributes
    ----------
    key, name
        Key and name in words.
    use
        ``support``, ``board`` or ``both``.
    family
        ``wood``, ``board`` (wood-based), ``plastic``, ``card`` (and foam) or ``metal``: picks its partial factor.
    modulus_mpa, crush_mpa, bend_mpa, bearing_mpa
        Young's modulus along the support or in the board's weaker direction, crushing strength along it, bending
        strength, and the pressure that its face stands. [MPa]
    poisson
        Poisson's ratio. [-]
    damp
        Share of stiffness and strength that is left when damp. [-], 0 to 1
    creep
        Added share of deflection after a day or more under load. [-]
    density_kg_m3
        Density. [kg/m3]
    source
        Where the values come from.
    """

    key: str
    name: str
    use: str
    family: str
    modulus_mpa: Estimate
    crush_mpa: Estimate
    bend_mpa: Estimate
    bearing_mpa: Estimate
    poisson: float
    damp: Estimate
    creep: float
    density_kg_m3: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportStock:
    """
    A support as it is bought, before it is cut.

    Attributes
    ----------
    key, name
        Key and name in words.
    material
        Key of its material in this room's table.
    outer_mm
        Outer diameter. [mm], 1 to 60
    wall_mm
        Wall thickness of a tube; 0 for a solid. [mm]
    longest_mm
        Longest length it comes in. [mm]
    reusable
        Whether it comes back to the maker.
    """

    key: str
    name: str
    material: str
    outer_mm: float
    wall_mm: float = 0.0
    longest_mm: float = 300.0
    reusable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardStock:
    """A board as it is bought: key, name, key of its material in this room's table, and thickness. [mm]"""

    key: str
    name: str
    material: str
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CrumbClass:
    """How soft a cake is: modulus and crushing pressure of its crumb. [kPa]"""

    key: str
    name: str
    modulus_kpa: Estimate
    crush_kpa: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class FillingClass:
    """How soft a filling is: yield stress at room temperature, and what chilling and warmth make of it. [Pa]"""

    key: str
    name: str
    yield_pa: Estimate
    chilled_factor: float
    warm_factor: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """One looked-up number with its range, name and source."""

    key: str
    name: str
    value: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """How a vehicle is driven: the largest accelerations of a trip over gravity, and the margin asked. [-]"""

    key: str
    name: str
    forward_g: Estimate
    side_g: Estimate
    rear_g: float
    vertical_g: Estimate
    margin: float
    source: Source


def _rows(name: str) -> list[Row]:
    text = (files("tierwright.support") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _source(row: Row) -> Source:
    return Source(basis=Basis(row["basis"]), text=row["source"])


def _span(row: Row, stem: str, unit: str) -> Estimate:
    low, value, high = f"{stem}_low_{unit}", f"{stem}_{unit}", f"{stem}_high_{unit}"
    return Estimate(value=float(row[value]), low=float(row[low]), high=float(row[high]))


@lru_cache(maxsize=1)
def materials() -> Mapping[str, Material]:
    """Return every material of supports, rods and boards, by key."""
    return MappingProxyType(
        {
            row["key"]: Material(
                key=row["key"],
                name=row["name"],
                use=row["use"],
                family=row["family"],
                modulus_mpa=_span(row, "modulus", "mpa"),
                crush_mpa=_span(row, "crush", "mpa"),
                bend_mpa=_span(row, "bend", "mpa"),
                bearing_mpa=_span(row, "bearing", "mpa"),
                poisson=float(row["poisson"]),
                damp=Estimate(value=float(row["damp"]), low=float(row["damp_low"]), high=float(row["damp_high"])),
                creep=float(row["creep"]),
                density_kg_m3=float(row["density_kg_m3"]),
                source=_source(row),
            )
            for row in _rows("materials")
        }
    )


@lru_cache(maxsize=1)
def support_stocks() -> Mapping[str, SupportStock]:
    """Return common sizes of supports, by key; what the maker owns goes first."""
    return MappingProxyType(
        {
            row["key"]: SupportStock(
                key=row["key"],
                name=row["name"],
                material=row["material"],
                outer_mm=float(row["outer_mm"]),
                wall_mm=float(row["wall_mm"]),
                longest_mm=float(row["longest_mm"]),
                reusable=row["reusable"] == "yes",
            )
            for row in _rows("sections")
        }
    )


@lru_cache(maxsize=1)
def board_stocks() -> Mapping[str, BoardStock]:
    """Return common boards, by key; what the maker owns goes first."""
    return MappingProxyType(
        {
            row["key"]: BoardStock(
                key=row["key"],
                name=row["name"],
                material=row["material"],
                thickness_mm=float(row["thickness_mm"]),
            )
            for row in _rows("boards")
        }
    )


@lru_cache(maxsize=1)
def crumb_classes() -> Mapping[str, CrumbClass]:
    """Return the classes of crumb, by key."""
    return MappingProxyType(
        {
            row["key"]: CrumbClass(
                key=row["key"],
                name=row["name"],
                modulus_kpa=_span(row, "modulus", "kpa"),
                crush_kpa=_span(row, "crush", "kpa"),
                source=_source(row),
            )
            for row in _rows("crumb")
        }
    )


@lru_cache(maxsize=1)
def filling_classes() -> Mapping[str, FillingClass]:
    """Return the classes of filling, by key."""
    return MappingProxyType(
        {
            row["key"]: FillingClass(
                key=row["key"],
                name=row["name"],
                yield_pa=_span(row, "yield", "pa"),
                chilled_factor=float(row["chilled_factor"]),
                warm_factor=float(row["warm_factor"]),
                source=_source(row),
            )
            for row in _rows("fillings")
        }
    )


def _values(name: str, low: str, value: str, high: str) -> Mapping[str, Value]:
    return MappingProxyType(
        {
            row["key"]: Value(
                key=row["key"],
                name=row["name"],
                value=Estimate(value=float(row[value]), low=float(row[low]), high=float(row[high])),
                source=_source(row),
            )
            for row in _rows(name)
        }
    )


@lru_cache(maxsize=1)
def friction() -> Mapping[str, Value]:
    """Return coefficients of friction, by key. [-]"""
    return _values("friction", "low", "value", "high")


@lru_cache(maxsize=1)
def bonds() -> Mapping[str, Value]:
    """Return shear strengths of what sticks a board down, by key. [kPa]"""
    return _values("bonds", "shear_low_kpa", "shear_kpa", "shear_high_kpa")


@lru_cache(maxsize=1)
def surfaces() -> Mapping[str, Value]:
    """Return the vertical jolts of road surfaces, by key, as shares of gravity. [-]"""
    return _values("surfaces", "vertical_g", "vertical_g", "vertical_g")


@lru_cache(maxsize=1)
def finish_limits() -> Mapping[str, Value]:
    """Return the span over the sag that a finish stands, by key. [-]"""
    return _values("finish_limits", "span_ratio", "span_ratio", "span_ratio")


@lru_cache(maxsize=1)
def factors() -> Mapping[str, Value]:
    """Return partial factors and limits, by key. [-]"""
    return _values("factors", "value", "value", "value")


@lru_cache(maxsize=1)
def drives() -> Mapping[str, Drive]:
    """Return ways of driving and cargo rules, by key."""
    return MappingProxyType(
        {
            row["key"]: Drive(
                key=row["key"],
                name=row["name"],
                forward_g=_span(row, "forward", "g"),
                side_g=_span(row, "side", "g"),
                rear_g=float(row["rear_g"]),
                vertical_g=_span(row, "vertical", "g"),
                margin=float(row["margin"]),
                source=_source(row),
            )
            for row in _rows("drive")
        }
    )


def find_material(key: str) -> Material:
    """
    Return a material by its key.

    Raises
    ------
    UnknownName
        No such material.
    """
    if key not in materials():
        raise UnknownName("material", key, tuple(materials()))
    return materials()[key]


def find_crumb(key: str) -> CrumbClass:
    """
    Return a class of crumb by its key.

    Raises
    ------
    UnknownName
        No such class.
    """
    if key not in crumb_classes():
        raise UnknownName("class of crumb", key, tuple(crumb_classes()))
    return crumb_classes()[key]


def find_filling(key: str) -> FillingClass:
    """
    Return a class of filling by its key.

    Raises
    ------
    UnknownName
        No such class.
    """
    if key not in filling_classes():
        raise UnknownName("class of filling", key, tuple(filling_classes()))
    return filling_classes()[key]


def factor(key: str) -> float:
    """Return a partial factor or limit by its key. [-]"""
    return factors()[key].value.value
