"""The trade's own vocabulary where a brief and a computation must mean the same thing by a word."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Final


class CutPattern(StrEnum):
    """How a tier is cut into portions."""

    RINGS = "rings"  # concentric rings, each then cut across into slices
    GRID = "grid"  # straight cuts both ways
    WEDGES = "wedges"  # from the middle outward
    FINGERS = "fingers"  # a close straight grid of upright fingers
    SHEET = "sheet"  # a flat cake cut in squares or bars


class RingMeasure(StrEnum):
    """Where the width of a slice is measured when rings are cut."""

    OUTER_EDGE = "outer edge"
    MIDDLE = "middle of the ring"
    AREA = "area"


class CoatStyle(StrEnum):
    """How a tier is finished outside."""

    FULL = "full"  # a whole coat, smooth or textured
    SEMI_NAKED = "semi-naked"  # scraped back until the cake shows through
    NAKED = "naked"  # no coat
    ROLLED = "rolled"  # fondant or marzipan rolled out and laid over a thin undercoat
    GANACHE = "ganache"  # a whole coat of ganache


class Finish(StrEnum):
    """Texture of a whole coat; it adds to the mean thickness."""

    SMOOTH = "smooth"
    COMBED = "combed"
    TEXTURED = "textured"
    STRIPED = "striped"


class Cutter(StrEnum):
    """Who cuts the cake: a practised hand keeps closer to the plan."""

    MAKER = "maker"
    CATERER = "caterer"
    CLIENT = "client"


class OtherDessert(StrEnum):
    """What else there is to eat when the cake is cut."""

    NONE = "none"
    SOME = "some"  # a small table beside it
    MAIN = "main"  # the cake comes after a full dessert


class FormulaKind(StrEnum):
    """What a formula makes."""

    HIGH_RATIO = "high-ratio layer"
    CREAMED = "creamed"
    POUND = "pound"
    OIL = "oil"
    SPONGE = "sponge"
    CHIFFON = "chiffon"
    MERINGUE = "meringue"  # angel cake and other batters raised by egg white alone
    SWISS_BUTTERCREAM = "swiss meringue buttercream"
    ITALIAN_BUTTERCREAM = "italian meringue buttercream"
    FRENCH_BUTTERCREAM = "french buttercream"
    POWDERED_BUTTERCREAM = "powdered-sugar buttercream"
    FLOUR_BUTTERCREAM = "flour-cooked buttercream"
    CREAM_CHEESE = "cream-cheese frosting"
    GANACHE = "ganache"
    WHIPPED_CREAM = "whipped cream"
    CURD = "curd"
    JAM = "jam"
    SYRUP = "syrup"
    ROYAL_ICING = "royal icing"
    ROLLED_FONDANT = "rolled fondant"
    MARZIPAN = "marzipan"
    OTHER_FILLING = "other filling"

    @property
    def is_batter(self) -> bool:
        """Whether it is a batter that is baked in pans."""
        return self in BATTERS

    @property
    def is_foam(self) -> bool:
        """Whether beaten eggs, not a leavener, raise it."""
        return self in (FormulaKind.SPONGE, FormulaKind.CHIFFON, FormulaKind.MERINGUE)


BATTERS = frozenset(
    {
        FormulaKind.HIGH_RATIO,
        FormulaKind.CREAMED,
        FormulaKind.POUND,
        FormulaKind.OIL,
        FormulaKind.SPONGE,
        FormulaKind.CHIFFON,
        FormulaKind.MERINGUE,
    },
)


def listed(names: Sequence[str]) -> str:
    """Say names in a sentence, each once and in their order: ``flour, eggs and milk``. At least one."""
    unique = list(dict.fromkeys(names))
    return unique[0] if len(unique) == 1 else f"{', '.join(unique[:-1])} and {unique[-1]}"


FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r", "\n")


def as_cell(text: str) -> str:
    """
    Keep words in a table from being taken for a formula by a spreadsheet.

    Examples
    --------
    >>> as_cell("=1+1"), as_cell("butter")
    ("'=1+1", 'butter')
    """
    return f"'{text}" if text.startswith(FORMULA_SIGNS) else text
