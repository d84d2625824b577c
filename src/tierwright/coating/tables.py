"""The room's tables: kinds of filling and coat, how stiff they are, usual thicknesses and losses.

Every row names its source; they are read once.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from tierwright.coating.model import CoatStyle, Finish
from tierwright.errors import MissingData, UnknownName, require_range
from tierwright.larder import Amount, amount_in, read_amounts
from tierwright.words import FormulaKind
from tierwright.working import Basis, Estimate, Source

LIGHTEST_G_PER_ML: Final = 0.1
HEAVIEST_G_PER_ML: Final = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """
    A kind of filling or coat.

    Attributes
    ----------
    key, name
        Name in files and code, and in a maker's words.
    density_g_per_ml
        Mass of a millilitre as it goes on the cake, air included. [g/ml]
    airless_g_per_ml
        Mass of a millilitre of the same mix without air. [g/ml]
    stiffness
        Key of its class of stiffness.
    fat
        The fat whose solid part stiffens it: ``milk``, ``cocoa``, ``plant`` or ``none``.
    reference_c
        Temperature at which its class of stiffness holds. [C]
    is_soft
        Whether it slumps as a filling, so that layers can shift on it.
    needs_dam
        Whether a ring of something firmer has to hold it in.
    must_chill
        Whether it is kept cold unless a laboratory result says otherwise.
    source
        Of the density.
    """

    key: str
    name: str
    density_g_per_ml: Estimate
    airless_g_per_ml: float
    stiffness: str
    fat: str
    reference_c: float
    is_soft: bool
    needs_dam: bool
    must_chill: bool
    source: Source

    @property
    def overrun_percent(self) -> float:
        """Volume gained by the air in it, over the airless mix. [%]"""
        return max(0.0, self.airless_g_per_ml / self.density_g_per_ml.value - 1) * 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Stiffness:
    """A class of stiffness: what it is like, and its yield stress at the kind's reference temperature. [Pa]"""

    key: str
    name: str
    yield_pa: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """Usual mean thickness of a finished coat at the side and on top. [mm]"""

    side_mm: Estimate
    top_mm: Estimate
    source: Source


def _rows(name: str) -> list[dict[str, str]]:
    text = files("tierwright.coating").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _source(row: dict[str, str]) -> Source:
    return Source(basis=Basis(row["basis"]), text=row["source"])


@lru_cache(maxsize=1)
def kinds() -> MappingProxyType[str, Kind]:
    """Return every kind by its key, in the table's order."""
    return MappingProxyType(
        {
            row["key"]: Kind(
                key=row["key"],
                name=row["name"],
                density_g_per_ml=Estimate(
                    value=float(row["density"]), low=float(row["density_low"]), high=float(row["density_high"])
                ),
                airless_g_per_ml=float(row["airless"]),
                stiffness=row["stiffness"],
                fat=row["fat"],
                reference_c=float(row["reference_c"]),
                is_soft=row["soft"] == "yes",
                needs_dam=row["dam"] == "yes",
                must_chill=row["chill"] == "yes",
                source=_source(row),
            )
            for row in _rows("kinds.csv")
        }
    )


def kind(key: str, place: str = "") -> Kind:
    """
    Return a kind by its key.

    Raises
    ------
    UnknownName
        The table holds no such kind; the nearest are named.
    """
    try:
        return kinds()[key]
    except KeyError:
        raise UnknownName("kind of filling or coat", key, list(kinds()), place) from None


@lru_cache(maxsize=1)
def _by_formula_kind() -> dict[str, str]:
    return {row["formula_kind"]: row["key"] for row in _rows("kinds.csv") if row["formula_kind"]}


def kind_for(formula_kind: FormulaKind) -> Kind:
    """
    Return the kind that a formula makes, for the fillings and coats among ``FormulaKind``.

    A ganache is taken as dark and ``OTHER_FILLING`` as a cooked cream; where that is wrong, name the kind itself.

    Raises
    ------
    MissingData
        A batter: it is baked, not spread.
    """
    key = _by_formula_kind().get(formula_kind.value)
    if key is None:
        raise MissingData("a filling or coat", f"coating with a formula of the kind {formula_kind.value!r}")
    return kinds()[key]


@lru_cache(maxsize=1)
def stiffnesses() -> MappingProxyType[str, Stiffness]:
    """Return every class of stiffness by its key, the softest first."""
    return MappingProxyType(
        {
            row["key"]: Stiffness(
                key=row["key"],
                name=row["name"],
                yield_pa=Estimate(
                    value=float(row["yield_pa"]), low=float(row["yield_low_pa"]), high=float(row["yield_high_pa"])
                ),
                source=_source(row),
            )
            for row in _rows("stiffness.csv")
        }
    )


@lru_cache(maxsize=1)
def solid_fat() -> MappingProxyType[str, tuple[tuple[float, float], ...]]:
    """Return the solid part of each fat by temperature: pairs of [C] and [% of the fat], rising."""
    curves: dict[str, list[tuple[float, float]]] = {}
    for row in _rows("solid_fat.csv"):
        curves.setdefault(row["fat"], []).append((float(row["temperature_c"]), float(row["solid_percent"])))
    return MappingProxyType({fat: tuple(points) for fat, points in curves.items()})


@lru_cache(maxsize=1)
def _amounts() -> Mapping[str, Amount]:
    return read_amounts(_rows("amounts.csv"))


def amount(key: str) -> Amount:
    """
    Return a usual amount by its key.

    Raises
    ------
    UnknownName
        The table holds no such amount.
    """
    return amount_in(_amounts(), key)


@lru_cache(maxsize=32)
def usual_thickness(style: CoatStyle, finish: Finish) -> Thickness:
    """Return the usual mean thickness of a coat; only a full coat's depends on its finish. [mm]"""
    wanted = finish.value if style is CoatStyle.FULL else ""
    found = {
        row["place"]: row for row in _rows("thickness.csv") if row["style"] == style.value and row["finish"] == wanted
    }
    side, top = (
        Estimate(
            value=float(found[place]["value_mm"]),
            low=float(found[place]["low_mm"]),
            high=float(found[place]["high_mm"]),
        )
        for place in ("side", "top")
    )
    return Thickness(side_mm=side, top_mm=top, source=_source(found["side"]))


def density_from_overrun(airless_g_per_ml: float, overrun_percent: float) -> float:
    """
    Density of a mix that has taken up air.

    Parameters
    ----------
    airless_g_per_ml
        Density without air. [g/ml], 0.1 to 2
    overrun_percent
        Volume gained, over the airless volume. [%], 0 to 400

    Returns
    -------
    density
        With air; the air's own mass is left out (0.1 % at most). [g/ml]

    Raises
    ------
    OutOfRange
        An argument outside its range.
    """
    require_range("airless density", airless_g_per_ml, LIGHTEST_G_PER_ML, HEAVIEST_G_PER_ML, "g/ml")
    require_range("overrun", overrun_percent, 0.0, 400.0, "%")
    return airless_g_per_ml / (1 + overrun_percent / 100)


def density(kind_key: str, measured_g_per_ml: float | None = None) -> Estimate:
    """
    Density to reckon with: the maker's own weighing where there is one, else the table's.

    Parameters
    ----------
    kind_key
        Key of the kind.
    measured_g_per_ml
        A cup of it weighed, over the cup's volume; taken to be good to 3 %. [g/ml], 0.1 to 2

    Raises
    ------
    OutOfRange
        A measured density that no filling or coat has.
    UnknownName
        No such kind.
    """
    if measured_g_per_ml is None:
        return kind(kind_key).density_g_per_ml
    require_range("measured density", measured_g_per_ml, LIGHTEST_G_PER_ML, HEAVIEST_G_PER_ML, "g/ml", kind_key)
    return Estimate.within(measured_g_per_ml, 0.03)
