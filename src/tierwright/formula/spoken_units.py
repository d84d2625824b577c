"""The units that ingredient lines are written in: their many spellings, and how much each holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from tierwright.units import CUP_ML, FLUID_OUNCE_ML, OUNCE_G, PINT_ML, POUND_G, TABLESPOON_ML, TEASPOON_ML, Measures
from tierwright.working import Estimate


class Dimension(StrEnum):
    """What a unit measures."""

    MASS = "mass"
    VOLUME = "volume"
    PINCH = "pinch"  # a few grains, by fingers
    STICK = "stick"  # a wrapped stick of butter
    PACK = "pack"  # a package, which needs its size beside it
    PIECE = "piece"
    VAGUE = "vague"  # a knob, a handful: no size that two cooks share


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit of an ingredient line: its short name, what it measures, and its spellings."""

    name: str
    dimension: Dimension
    spellings: tuple[str, ...]


def _unit(name: str, dimension: Dimension, spellings: str) -> Unit:
    return Unit(name=name, dimension=dimension, spellings=tuple(word.strip() for word in spellings.split(",")))


# A capital T and a small t differ: those two spellings alone are read with their case.
UNITS: Final[tuple[Unit, ...]] = (
    _unit("g", Dimension.MASS, "g, gr, gm, gms, gram, grams, gramme, grammes"),
    _unit("kg", Dimension.MASS, "kg, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes"),
    _unit("mg", Dimension.MASS, "mg, milligram, milligrams"),
    _unit("oz", Dimension.MASS, "oz, ozs, ounce, ounces"),
    _unit("lb", Dimension.MASS, "lb, lbs, pound, pounds"),
    _unit("fl oz", Dimension.VOLUME, "fl oz, fl. oz, floz, fl ozs, fluid ounce, fluid ounces, fluid oz"),
    _unit("ml", Dimension.VOLUME, "ml, mls, cc, millilitre, millilitres, milliliter, milliliters"),
    _unit("cl", Dimension.VOLUME, "cl, centilitre, centilitres, centiliter, centiliters"),
    _unit("dl", Dimension.VOLUME, "dl, decilitre, decilitres, deciliter, deciliters"),
    _unit("l", Dimension.VOLUME, "l, lt, ltr, litre, litres, liter, liters"),
    _unit("cup", Dimension.VOLUME, "cup, cups, c, cupful, cupfuls"),
    _unit(
        "tbsp",
        Dimension.VOLUME,
        "T, Tb, tbs, tbsp, tbsps, tbl, tbls, tblsp, tblsps, tblspn, tablespoon, tablespoons, tablespoonful,"
        " tablespoonfuls",
    ),
    _unit("tsp", Dimension.VOLUME, "t, ts, tsp, tsps, tspn, tspns, teaspoon, teaspoons, teaspoonful, teaspoonfuls"),
    _unit("dsp", Dimension.VOLUME, "dsp, dsps, dssp, dstspn, dessertspoon, dessertspoons, dessertspoonful"),
    _unit("pint", Dimension.VOLUME, "pt, pts, pint, pints"),
    _unit("quart", Dimension.VOLUME, "qt, qts, quart, quarts"),
    _unit("gallon", Dimension.VOLUME, "gal, gals, gallon, gallons"),
    _unit("gill", Dimension.VOLUME, "gill, gills"),
    _unit("dash", Dimension.PINCH, "dash, dashes"),
    _unit("pinch", Dimension.PINCH, "pinch, pinches"),
    _unit("stick", Dimension.STICK, "stick, sticks"),
    _unit("square", Dimension.PIECE, "square, squares"),
    _unit("sheet", Dimension.PIECE, "sheet, sheets, leaf, leaves"),
    _unit("cube", Dimension.PIECE, "cube, cubes"),
    _unit("shot", Dimension.PIECE, "shot, shots"),
    _unit(
        "pack",
        Dimension.PACK,
        "package, packages, pkg, pkgs, pkt, pkts, packet, packets, pack, packs, tin, tins, can, cans, jar, jars, box,"
        " boxes, bag, bags, envelope, envelopes, sachet, sachets, tub, tubs, bar, bars, block, blocks, carton, cartons,"
        " bottle, bottles, tube, tubes, container, containers",
    ),
    _unit(
        "vague",
        Dimension.VAGUE,
        "knob, knobs, handful, handfuls, bunch, bunches, sprig, sprigs, splash, splashes, drizzle, glug, squeeze,"
        " sprinkle, sprinkling, dollop, dollops, scoop, scoops, spoonful, spoonfuls, spoon, spoons, glass, glasses,"
        " mug, mugs, part, parts, slice, slices, piece, pieces, drop, drops, teacup, teacups, wineglass, smidgen",
    ),
)

CASE_MATTERS: Final = {"T": "tbsp", "Tb": "tbsp", "t": "tsp"}
BY_SPELLING: Final[dict[str, Unit]] = {spelling.lower(): unit for unit in UNITS for spelling in unit.spellings}
BY_NAME: Final[dict[str, Unit]] = {unit.name: unit for unit in UNITS}

MASS_G: Final[dict[str, float]] = {"g": 1.0, "kg": 1000.0, "mg": 0.001, "oz": OUNCE_G, "lb": POUND_G}

PINCH_TSP: Final[dict[str, Estimate]] = {
    # Common practice: a pinch about 1/16 tsp, a dash about 1/8 tsp; fingers differ by a factor of two.
    "pinch": Estimate(value=1 / 16, low=1 / 24, high=1 / 8),
    "dash": Estimate(value=1 / 8, low=1 / 12, high=1 / 6),
}

STICK_G: Final = 4 * OUNCE_G  # a quarter of a US pound of butter

HEAPS: Final[dict[str, Estimate]] = {
    # Over a level measure; common practice, and wide because no standard spoon is heaped.
    "level": Estimate.exact(1.0),
    "scant": Estimate(value=0.92, low=0.85, high=0.98),
    "generous": Estimate(value=1.1, low=1.02, high=1.2),
    "rounded": Estimate(value=1.35, low=1.15, high=1.6),
    "heaped": Estimate(value=1.7, low=1.3, high=2.2),
}


def find_unit(word: str) -> Unit | None:
    """Return the unit of this spelling (full stop allowed), or None."""
    bare = word.rstrip(".")
    if bare in CASE_MATTERS:
        return BY_NAME[CASE_MATTERS[bare]]
    return BY_SPELLING.get(bare.lower())


def volume_ml(unit: str, measures: Measures) -> float:
    """
    Volume of one of a unit in these measures. [ml]

    Raises
    ------
    KeyError
        No unit of volume has this name.

    Examples
    --------
    231 cubic inches to the gallon, 16 cups to the gallon (NIST Handbook 44, appendix C):

    >>> round(volume_ml("cup", Measures.US), 4)
    236.5882
    """
    pint = PINT_ML[measures]
    table = {
        "ml": 1.0,
        "cl": 10.0,
        "dl": 100.0,
        "l": 1000.0,
        "tsp": TEASPOON_ML[measures],
        "tbsp": TABLESPOON_ML[measures],
        "dsp": 2 * TEASPOON_ML[measures],
        "cup": CUP_ML[measures],
        "fl oz": FLUID_OUNCE_ML[measures],
        "pint": pint,
        "quart": 2 * pint,
        "gallon": 8 * pint,
        "gill": pint / 4,
    }
    return table[unit]
