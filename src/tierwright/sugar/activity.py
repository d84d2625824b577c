"""Water activity of solutions of sugars, polyols, acids and salt."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tierwright.errors import UnknownName, require_range
from tierwright.units import ZERO_CELSIUS_K

Floats = NDArray[np.float64]

WATER_MOLAR_G: Final = 18.01528
SALT_MOLAR_G: Final = 58.443
GLUCOSE_MOLAR_G: Final = 180.156
GAS_CONSTANT: Final = 8.314462618  # J/(mol K), SI 2019
REFERENCE_K: Final = 298.15

STARZAK_PEACOCK: Final = (17638.0, -1.0038, -0.24653)
"""Q with its sign turned [J/mol], a and b of Starzak and Peacock 1997, Zuckerindustrie 122."""

# Pitzer and Mayorga 1973, J. Phys. Chem. 77, 2300, sodium chloride at 25 C; A_phi of water at 25 C.
_PITZER_NACL: Final = (0.0765, 0.2664, 0.00127)
_A_PHI: Final = 0.392
HIGHEST_SALT_MOLAL: Final = 6.15  # saturation at 25 C
COLDEST_C: Final = -15.0
HOTTEST_C: Final = 160.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Solute:
    """
    One dissolved substance.

    Attributes
    ----------
    key
        Short name, as the table of solutes or ``glucose_polymer`` gives it.
    molar_g
        Molar mass. [g/mol]
    norrish_k
        Norrish's constant on natural logarithms. [-]
    highest_share
        Largest share of the solution's mass that may be computed. [1]
    reducing
        Whether it browns with protein and hinders the crystals of sucrose.
    source
        Where the constant comes from.
    """

    key: str
    molar_g: float
    norrish_k: float
    highest_share: float
    reducing: bool
    source: str


@cache
def solutes() -> dict[str, Solute]:
    """Return the table of solutes by key."""
    text = files("tierwright.sugar").joinpath("data/solutes.csv").read_text(encoding="utf-8")
    return {
        row["key"]: Solute(
            key=row["key"],
            molar_g=float(row["molar_g"]),
            norrish_k=float(row["norrish_k"]),
            highest_share=float(row["highest_share"]),
            reducing=row["reducing"] == "yes",
            source=row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def solute(key: str) -> Solute:
    """Return one solute of the table; ``UnknownName`` with the nearest if there is none."""
    table = solutes()
    if key not in table:
        raise UnknownName("solute", key, tuple(table))
    return table[key]


@cache
def glucose_polymer(de: float) -> Solute:
    """
    The saccharides of a glucose (corn) syrup, as one solute.

    The dextrose equivalent counts reducing ends, so the number-average molar mass is 180.16 x 100 / DE, and that is
    the mean that water feels. Norrish's constant is taken in proportion to it from glucose; at 42 DE that gives 5.36,
    beside 5.32 in Norrish 1966 (from memory).

    Parameters
    ----------
    de
        Dextrose equivalent of the dry solids. [-], 20 to 99

    Returns
    -------
    solute
        A solute with the mean molar mass of the syrup.

    Raises
    ------
    OutOfRange
        Outside 20 to 99; below 20 the law calls it maltodextrin (21 CFR 168.120, 184.1444).
    """
    require_range("dextrose equivalent", de, 20.0, 99.0, "DE")
    molar = GLUCOSE_MOLAR_G * 100.0 / de
    return Solute(
        key=f"glucose-polymer-{de:g}",
        molar_g=molar,
        norrish_k=solute("glucose").norrish_k * molar / GLUCOSE_MOLAR_G,
        highest_share=0.97,
        reducing=True,
        source="molar mass by definition of DE; K in proportion from glucose (Norrish 1966, from memory)",
    )


def water_activity(
    dissolved: Mapping[Solute, ArrayLike] | Iterable[tuple[Solute, ArrayLike]],
    water_g: ArrayLike,
    temperature_c: ArrayLike,
    salt_g: ArrayLike = 0.0,
) -> Floats:
    """
    Water activity of a solution at its temperature, for whole arrays of solutions at once.

    ``ln aw = ln(1 - x) - (sum of f sqrt(G))^2``, x being the mole fraction of all non-electrolytes together, f each
    one's share of them, and G each one's own departure from Raoult's law at that x: Starzak and Peacock's for sucrose,
    Norrish's ``K x^2`` for the others. With one solute this is that solute's own equation; with several it is
    Norrish's own rule for mixtures. Salt comes in by its osmotic coefficient (Pitzer) and Ross's product.

    Parameters
    ----------
    dissolved
        Mass of each solute. [g]
    water_g
        Mass of water. [g], above 0
    temperature_c
        Temperature of the solution. [C], -15 to 160
    salt_g
        Mass of sodium chloride. [g]

    Returns
    -------
    water_activity
        Vapour pressure over the solution as a share of that over water at its temperature. [1]

    Raises
    ------
    OutOfRange
        Negative masses, no water, a temperature or a share outside the span of the sources.

    Notes
    -----
    Norrish's constants were measured at 25 C. Sucrose's departure falls as 1/T in Starzak and Peacock's equation; the
    same law is used to carry the other constants to the boil. That is an assumption, and widens the range of a
    doctored syrup's boiling point.

    References
    ----------
    .. [1] Starzak and Peacock 1997, Zuckerindustrie 122, 380: sucrose, to 98 % and 150 C in its later form (Starzak
       and Mathlouthi 2006, Food Chemistry 96, 346).
    .. [2] Norrish 1966, J. Food Technology 1, 25.
    .. [3] Ross 1975, Food Technology 29(3), 26.
    .. [4] Pitzer and Mayorga 1973, J. Physical Chemistry 77, 2300.
    """
    pairs = [(kind, np.asarray(grams, dtype=np.float64)) for kind, grams in _pairs(dissolved)]
    water = np.asarray(water_g, dtype=np.float64)
    celsius = np.asarray(temperature_c, dtype=np.float64)
    salt = np.asarray(salt_g, dtype=np.float64)
    check_solution(pairs, water, celsius, salt)
    return unchecked_activity(pairs, water, celsius, salt)


def unchecked_activity(pairs: list[tuple[Solute, Floats]], water: Floats, celsius: Floats, salt: Floats) -> Floats:
    """
    ``water_activity`` for a caller that has checked its arrays once and iterates on them.

    Parameters
    ----------
    pairs
        Each solute with its mass. [g]
    water
        Mass of water. [g]
    celsius
        Temperature. [C]
    salt
        Mass of sodium chloride. [g]

    Returns
    -------
    water_activity
        [1]
    """
    water_mol = water / WATER_MOLAR_G
    moles = [grams / kind.molar_g for kind, grams in pairs]
    solute_mol: Floats = np.asarray(sum(moles, np.zeros(())), dtype=np.float64)
    x = solute_mol / (solute_mol + water_mol)
    kelvin = celsius + ZERO_CELSIUS_K
    root = np.zeros(())
    safe = np.where(solute_mol > 0, solute_mol, 1.0)
    for (kind, _), mol in zip(pairs, moles, strict=True):
        root = root + mol / safe * np.sqrt(departure(kind, x, kelvin))
    molality = salt / SALT_MOLAR_G / (water / 1000.0)
    log_salt = -salt_osmotic_coefficient(molality) * 2.0 * molality * WATER_MOLAR_G / 1000.0
    activity: Floats = np.asarray((1.0 - x) * np.exp(log_salt - root * root), dtype=np.float64)
    return activity


def departure(kind: Solute, mole_fraction: ArrayLike, kelvin: ArrayLike) -> Floats:
    """
    Minus the logarithm of water's activity coefficient beside one solute.

    Parameters
    ----------
    kind
        The solute.
    mole_fraction
        Its mole fraction. [1]
    kelvin
        Temperature. [K]

    Returns
    -------
    departure
        ``-ln gamma`` of water, not below zero. [-]
    """
    x = np.asarray(mole_fraction, dtype=np.float64)
    temperature = np.asarray(kelvin, dtype=np.float64)
    if kind.key == "sucrose":
        q, a, b = STARZAK_PEACOCK
        gamma = q / (GAS_CONSTANT * temperature) * x * x * (1.0 + a * x + b * x * x)
    else:
        gamma = kind.norrish_k * (REFERENCE_K / temperature) * x * x
    return np.asarray(np.maximum(gamma, 0.0), dtype=np.float64)


def norrish(kind: Solute, share: ArrayLike) -> Floats:
    """
    Norrish's water activity of one solute in water at 25 C.

    Parameters
    ----------
    kind
        The solute.
    share
        Its share of the solution's mass. [1]

    Returns
    -------
    water_activity
        ``(1 - x) exp(-K x^2)``. [1]

    References
    ----------
    .. [1] Norrish 1966, J. Food Technology 1, 25.
    """
    part = np.asarray(share, dtype=np.float64)
    moles = part / kind.molar_g
    x = moles / (moles + (1.0 - part) / WATER_MOLAR_G)
    return np.asarray((1.0 - x) * np.exp(-kind.norrish_k * x * x), dtype=np.float64)


def salt_osmotic_coefficient(molality: ArrayLike) -> Floats:
    """
    Osmotic coefficient of sodium chloride at 25 C.

    Parameters
    ----------
    molality
        Moles of salt a kilogram of water. [mol/kg], 0 to 6.15

    Returns
    -------
    osmotic_coefficient
        [-]

    References
    ----------
    .. [1] Pitzer and Mayorga 1973, J. Physical Chemistry 77, 2300.
    """
    m = np.asarray(molality, dtype=np.float64)
    beta0, beta1, c_phi = _PITZER_NACL
    root = np.sqrt(m)
    phi = 1.0 - _A_PHI * root / (1.0 + 1.2 * root) + m * (beta0 + beta1 * np.exp(-2.0 * root)) + m * m * c_phi
    return np.asarray(phi, dtype=np.float64)


def _pairs(
    dissolved: Mapping[Solute, ArrayLike] | Iterable[tuple[Solute, ArrayLike]],
) -> Iterable[tuple[Solute, ArrayLike]]:
    return dissolved.items() if isinstance(dissolved, Mapping) else dissolved


def check_solution(pairs: list[tuple[Solute, Floats]], water: Floats, celsius: Floats, salt: Floats) -> None:
    """Refuse what the sources do not cover; the worst value of an array is the one named."""
    require_range("water", float(np.min(water)), np.nextafter(0.0, 1.0), np.inf, "g")
    require_range("temperature", float(np.min(celsius)), COLDEST_C, HOTTEST_C, "C")
    require_range("temperature", float(np.max(celsius)), COLDEST_C, HOTTEST_C, "C")
    require_range("salt", float(np.min(salt)), 0.0, np.inf, "g")
    require_range("salt", float(np.max(salt / SALT_MOLAR_G / (water / 1000))), 0.0, HIGHEST_SALT_MOLAL, "mol/kg water")
    total = water + sum((grams for _, grams in pairs), np.zeros(()))
    for kind, grams in pairs:
        require_range(kind.key, float(np.min(grams)), 0.0, np.inf, "g")
        require_range(f"{kind.key} share", float(np.max(grams / total)), 0.0, kind.highest_share, "of the solution")
    if pairs:
        require_range("dissolved share", float(np.max((total - water) / total)), 0.0, 0.98 + 1e-12, "of the solution")
