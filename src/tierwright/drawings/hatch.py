"""A hatch for each material, so that nothing on a drawing is told by colour."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from tierwright.coating.model import Part
from tierwright.svg import Ink, element, line, number, rect

OFFCUT: Final = "offcut"
SOLID: Final = frozenset({Part.BOARD.value})
VARIANTS: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What a hatch stands for: the kind of part, the formula it is made of, and the words of the legend."""

    part: str
    formula: str
    label: str


class Hatches:
    """
    The patterns of one drawing, in the order in which their materials come up.

    Formulas of one part get different variants of that part's pattern: two sponges are both dotted, one more
    closely than the other.
    """

    def __init__(self, prefix: str, ink: Ink, names: dict[str, str] | None = None) -> None:
        self._prefix = prefix
        self._ink = ink
        self._names = names or {}
        self._seen: dict[tuple[str, str], Material] = {}

    def fill(self, part: str, formula: str = "") -> str:
        """Return the ``fill`` value for a material, and remember it for the legend."""
        place = self._place(part, formula)
        # Solid ink needs no tile: tiles laid edge to edge may show their seams.
        return self._ink.ink if part in SOLID else f"url(#{self._id(place)})"

    def materials(self) -> tuple[Material, ...]:
        """Return the materials met so far, in order."""
        return tuple(self._seen.values())

    def definitions(self) -> str:
        """Return the ``<pattern>`` elements of the materials met so far."""
        return "".join(self._pattern(place, key[0]) for place, key in enumerate(self._seen) if key[0] not in SOLID)

    def _place(self, part: str, formula: str) -> int:
        key = (part, formula)
        if key not in self._seen:
            name = self._names.get(formula, formula)
            self._seen[key] = Material(part=part, formula=formula, label=f"{part}: {name}" if name else part)
        return list(self._seen).index(key)

    def _variant(self, place: int) -> int:
        keys = list(self._seen)
        return sum(1 for key in keys[:place] if key[0] == keys[place][0]) % VARIANTS

    def _id(self, place: int) -> str:
        return f"{self._prefix}-hatch-{place + 1}"

    def _pattern(self, place: int, part: str) -> str:
        draw = PATTERNS.get(part, _slant)
        size, marks = draw(self._variant(place))
        paper = rect(0, 0, size[0], size[1], fill=self._ink.paper, stroke="none") if self._ink.paper != "none" else ""
        return element(
            "pattern",
            paper,
            *marks(self._ink.ink),
            id=self._id(place),
            patternUnits="userSpaceOnUse",
            width=number(size[0]),
            height=number(size[1]),
        )


Marks = Callable[[str], Iterable[str]]
Tile = tuple[tuple[float, float], Marks]


def _dots(variant: int) -> Tile:
    """Crumb: dots on a staggered grid, closer for every further sponge."""
    pitch = (2.4, 1.7, 1.3, 1.0)[variant]
    radius = (0.13, 0.17, 0.2, 0.14)[variant]

    def marks(ink: str) -> Iterable[str]:
        for x, y in ((0.25, 0.25), (0.75, 0.75)):
            yield element("circle", cx=pitch * x, cy=pitch * y, r=radius, fill=ink, stroke="none")

    return (pitch, pitch), marks


def _level(variant: int) -> Tile:
    """Filling: level lines, as a liquid is drawn."""
    pitch = (0.8, 1.2, 0.55, 1.6)[variant]

    def marks(ink: str) -> Iterable[str]:
        yield line(0, pitch / 2, 4, pitch / 2, stroke=ink, stroke_width=0.18)

    return (4.0, pitch), marks


def _slant(variant: int) -> Tile:
    """Coats: slanting lines."""
    pitch = (1.3, 0.9, 1.8, 0.7)[variant]

    def marks(ink: str) -> Iterable[str]:
        # Three strokes so that the corners of the tile join without a gap.
        for shift in (-pitch, 0.0, pitch):
            yield line(shift, pitch, shift + pitch, 0, stroke=ink, stroke_width=0.15)

    return (pitch, pitch), marks


def _back_slant(variant: int) -> Tile:
    """Dam: lines slanting the other way."""
    pitch = (0.9, 1.3, 0.7, 1.8)[variant]

    def marks(ink: str) -> Iterable[str]:
        for shift in (-pitch, 0.0, pitch):
            yield line(shift, 0, shift + pitch, pitch, stroke=ink, stroke_width=0.15)

    return (pitch, pitch), marks


def _dashes(variant: int) -> Tile:
    """Crumb coat: short level strokes, as crumbs in a thin coat."""
    pitch = (1.1, 0.8, 1.5, 2.0)[variant]

    def marks(ink: str) -> Iterable[str]:
        yield line(0, pitch * 0.25, pitch * 0.55, pitch * 0.25, stroke=ink, stroke_width=0.2)
        yield line(pitch * 0.45, pitch * 0.75, pitch, pitch * 0.75, stroke=ink, stroke_width=0.2)

    return (pitch, pitch), marks


def _crossed(variant: int) -> Tile:
    """Rolled coats: both ways."""
    pitch = (1.4, 1.0, 2.0, 0.8)[variant]

    def marks(ink: str) -> Iterable[str]:
        for shift in (-pitch, 0.0, pitch):
            yield line(shift, pitch, shift + pitch, 0, stroke=ink, stroke_width=0.12)
            yield line(shift, 0, shift + pitch, pitch, stroke=ink, stroke_width=0.12)

    return (pitch, pitch), marks


def _upright(variant: int) -> Tile:
    """Marzipan: upright lines."""
    pitch = (0.8, 1.2, 0.55, 1.6)[variant]

    def marks(ink: str) -> Iterable[str]:
        yield line(pitch / 2, 0, pitch / 2, 4, stroke=ink, stroke_width=0.18)

    return (pitch, 4.0), marks


def _rings(_variant: int) -> Tile:
    """Foam: small rings, as cells."""

    def marks(ink: str) -> Iterable[str]:
        for x, y in ((0.6, 0.6), (1.8, 1.8)):
            yield element("circle", cx=x, cy=y, r=0.38, fill="none", stroke=ink, stroke_width=0.13)

    return (2.4, 2.4), marks


PATTERNS: Final[dict[str, Callable[[int], Tile]]] = {
    Part.SPONGE.value: _dots,
    Part.FILLING.value: _level,
    Part.SOAK.value: _level,
    Part.DAM.value: _back_slant,
    Part.CRUMB_COAT.value: _dashes,
    Part.COAT.value: _slant,
    Part.ROLLED.value: _crossed,
    Part.MARZIPAN.value: _upright,
    Part.FOAM.value: _rings,
    OFFCUT: _crossed,
}
