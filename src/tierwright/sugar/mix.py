"""What is in a pot: ingredients of a syrup turned into water and dissolved substances."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from tierwright.errors import MissingData, OutOfRange, UnknownName, require_range
from tierwright.sugar.activity import Solute, glucose_polymer, solute

INVERSION_GAIN: Final = 2 * 180.156 / 342.297
"""Grams of glucose and fructose from one gram of sucrose and its water. [g/g]"""
HEAVIEST_POT_G: Final = 50_000.0
_SOLUTE_COLUMNS: Final = (
    "sucrose", "glucose", "fructose", "lactose", "maltose", "isomalt", "glycerol", "sorbitol", "citric-acid",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """
    One ingredient of a syrup.

    Attributes
    ----------
    ingredient
        Key in the table of sugars, such as ``sugar``, ``glucose-syrup`` or ``honey``.
    grams
        How much of it. [g], not negative
    """

    ingredient: str
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Dissolved:
    """One dissolved substance and its mass. [g]"""

    solute: Solute
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """
    A pot of syrup.

    Attributes
    ----------
    water_g
        Water. [g]
    dissolved
        Sugars, polyols and acids, each once.
    salt_g
        Minerals, counted as sodium chloride. [g]
    inert_g
        Fat, protein and fibre: they weigh, but hardly touch the boiling point. [g]
    highest_c
        Lowest of the temperatures at which one of its ingredients breaks down. [C]
    """

    water_g: float
    dissolved: tuple[Dissolved, ...]
    salt_g: float = 0.0
    inert_g: float = 0.0
    highest_c: float = 186.0

    @property
    def solids_g(self) -> float:
        """Everything dissolved, salt included. [g]"""
        return sum(part.grams for part in self.dissolved) + self.salt_g

    @property
    def total_g(self) -> float:
        """Mass of the pot's content. [g]"""
        return self.water_g + self.solids_g + self.inert_g

    @property
    def solids_share(self) -> float:
        """Dissolved solids as a share of the solution (what a refractometer reads, over 100). [1]"""
        return self.solids_g / (self.solids_g + self.water_g)

    def grams_of(self, key: str) -> float:
        """Mass of one dissolved substance, 0 if it is not there. [g]"""
        return sum(part.grams for part in self.dissolved if part.solute.key == key)

    @property
    def sucrose_purity(self) -> float:
        """Sucrose as a share of the dissolved solids. [1]"""
        return self.grams_of("sucrose") / self.solids_g if self.solids_g else 0.0

    @property
    def reducing_share(self) -> float:
        """Sugars with a reducing end as a share of the dissolved solids. [1]"""
        reducing = sum(part.grams for part in self.dissolved if part.solute.reducing)
        return reducing / self.solids_g if self.solids_g else 0.0

    def at_share(self, solids_share: float) -> Mix:
        """Return the same solids with as much water as makes them this share of the solution. [1]"""
        require_range("solids", solids_share, 0.001, 0.98, "of the solution")
        return Mix(
            water_g=self.solids_g * (1.0 - solids_share) / solids_share,
            dissolved=self.dissolved,
            salt_g=self.salt_g,
            inert_g=self.inert_g,
            highest_c=self.highest_c,
        )

    def inverted(self, share: float) -> Mix:
        """
        Return the mix after a share of its sucrose has been split by acid.

        Parameters
        ----------
        share
            Share of the sucrose that is split. [1], 0 to 1

        Returns
        -------
        mix
            With glucose and fructose in place of it, and the water that went into them gone.
        """
        require_range("inverted share", share, 0.0, 1.0, "of the sucrose")
        split = self.grams_of("sucrose") * share
        each = split * INVERSION_GAIN / 2
        masses = {part.solute: part.grams for part in self.dissolved}
        masses[solute("sucrose")] = masses.get(solute("sucrose"), 0.0) - split
        for key in ("glucose", "fructose"):
            masses[solute(key)] = masses.get(solute(key), 0.0) + each
        water = self.water_g - split * (INVERSION_GAIN - 1.0)
        if water <= 0:
            raise OutOfRange("water left after inversion", water, 0.0, self.water_g, "g")
        return Mix(
            water_g=water,
            dissolved=_sorted(masses),
            salt_g=self.salt_g,
            inert_g=self.inert_g,
            highest_c=self.highest_c,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SugarKind:
    """One row of the table of sugars: shares of its mass, and the temperature at which it breaks down."""

    key: str
    label: str
    water: float
    shares: tuple[tuple[str, float], ...]
    polymer: float
    polymer_de: float
    salt: float
    inert: float
    highest_c: float
    source: str


@cache
def sugar_kinds() -> dict[str, SugarKind]:
    """Return the table of sugars and of what else goes into a pot, by key."""
    text = files("tierwright.sugar").joinpath("data/sugars.csv").read_text(encoding="utf-8")
    return {
        row["key"]: SugarKind(
            key=row["key"],
            label=row["label"],
            water=float(row["water"]),
            shares=tuple((name, float(row[name])) for name in _SOLUTE_COLUMNS if float(row[name])),
            polymer=float(row["polymer"]),
            polymer_de=float(row["polymer_de"]),
            salt=float(row["salt"]),
            inert=float(row["inert"]),
            highest_c=float(row["highest_c"]),
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def sugar_kind(key: str, place: str = "") -> SugarKind:
    """Return one row of the table of sugars; ``UnknownName`` with the nearest names if there is none."""
    table = sugar_kinds()
    if key not in table:
        raise UnknownName("sugar", key, tuple(table), place)
    return table[key]


def mix_of(lines: Iterable[Line]) -> Mix:
    """
    Turn weighed ingredients into a pot of syrup.

    Parameters
    ----------
    lines
        Ingredients with their masses. [g]

    Returns
    -------
    mix
        Water, dissolved substances, salt and what does not dissolve. [g]

    Raises
    ------
    UnknownName
        An ingredient that the table does not hold.
    OutOfRange
        A negative mass, or more than 50 kg.
    MissingData
        Nothing that dissolves, or no water at all.
    """
    masses: dict[Solute, float] = {}
    water = salt = inert = 0.0
    highest = 1000.0
    for number, line in enumerate(lines, start=1):
        place = f"line {number}"
        row = sugar_kind(line.ingredient, place)
        require_range(row.label, line.grams, 0.0, HEAVIEST_POT_G, "g", place)
        if line.grams == 0:
            continue
        water += row.water * line.grams
        salt += row.salt * line.grams
        inert += row.inert * line.grams
        highest = min(highest, row.highest_c)
        for key, share in row.shares:
            masses[solute(key)] = masses.get(solute(key), 0.0) + share * line.grams
        if row.polymer:
            polymer = glucose_polymer(row.polymer_de)
            masses[polymer] = masses.get(polymer, 0.0) + row.polymer * line.grams
    return _made(masses, water=water, salt=salt, inert=inert, highest_c=highest)


def sugar_and_water(sugar_g: float, water_g: float) -> Mix:
    """Return the plainest pot: granulated sugar and water. [g]"""
    return mix_of((Line(ingredient="sugar", grams=sugar_g), Line(ingredient="water", grams=water_g)))


def glucose_syrup(grams: float, *, de: float, solids_share: float) -> Mix:
    """
    Return a glucose (corn) syrup of another strength than the table's.

    Parameters
    ----------
    grams
        Mass of syrup. [g], up to 50 000
    de
        Dextrose equivalent of its solids. [-], 20 to 99
    solids_share
        Solids as a share of the syrup. [1], 0.5 to 0.9

    Returns
    -------
    mix
        To be joined to the rest by ``joined``.
    """
    require_range("glucose syrup", grams, 0.0, HEAVIEST_POT_G, "g")
    require_range("solids of the glucose syrup", solids_share, 0.5, 0.9, "of the syrup")
    return _made(
        {glucose_polymer(de): grams * solids_share},
        water=grams * (1.0 - solids_share),
        salt=0.0,
        inert=0.0,
        highest_c=sugar_kind("glucose-syrup").highest_c,
    )


def joined(*mixes: Mix) -> Mix:
    """Pour several pots together."""
    masses: dict[Solute, float] = {}
    for mix in mixes:
        for part in mix.dissolved:
            masses[part.solute] = masses.get(part.solute, 0.0) + part.grams
    return _made(
        masses,
        water=sum(mix.water_g for mix in mixes),
        salt=sum(mix.salt_g for mix in mixes),
        inert=sum(mix.inert_g for mix in mixes),
        highest_c=min((mix.highest_c for mix in mixes), default=1000.0),
    )


def _made(masses: dict[Solute, float], *, water: float, salt: float, inert: float, highest_c: float) -> Mix:
    if not any(grams > 0 for grams in masses.values()):
        raise MissingData("a sugar", "a syrup")
    if water <= 0:
        raise MissingData("water", "a syrup")
    return Mix(water_g=water, dissolved=_sorted(masses), salt_g=salt, inert_g=inert, highest_c=highest_c)


def _sorted(masses: dict[Solute, float]) -> tuple[Dissolved, ...]:
    """Parts in a fixed order, so that equal pots compare equal; what is not there is left out."""
    return tuple(
        Dissolved(solute=kind, grams=masses[kind]) for kind in sorted(masses, key=lambda kind: kind.key) if masses[kind]
    )
