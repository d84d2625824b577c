"""The open fonts that lettering is drawn from: outlines, advances, kerning, and how fine their strokes are.

Libertinus Serif in three cuts and Great Vibes, both under the SIL Open Font License 1.1 (``fonts/OFL-*.txt``). A face
is several files, each for some scripts; a letter comes from the first that holds it.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, cached_property
from importlib.resources import files
from io import BytesIO
from math import sqrt
from typing import Any, Final

import shapely
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.basePen import BasePen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tierwright.errors import UnknownName

Affine = tuple[float, float, float, float, float, float]
_STEPS: Final = 12  # chords to a curve where breadths are measured
_SCRIPTS: Final = ("latin", "latin-ext", "vietnamese", "greek", "cyrillic")


class FaceStyle(StrEnum):
    """The cut of the letters."""

    UPRIGHT = "upright"
    ITALIC = "italic"
    BOLD = "bold"
    SCRIPT = "script"


class _CornersPen(BasePen):  # type: ignore[misc]
    """Collects the corners of closed outlines, curves as chords."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self.rings: list[list[tuple[float, float]]] = []

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.rings.append([pt])

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.rings[-1].append(pt)

    def _curveToOne(  # noqa: N802
        self, pt1: tuple[float, float], pt2: tuple[float, float], pt3: tuple[float, float]
    ) -> None:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.rings[-1][-1], pt1, pt2, pt3
        for i in range(1, _STEPS + 1):
            t = i / _STEPS
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
            self.rings[-1].append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))


@dataclass(frozen=True, kw_only=True)
class Glyph:
    """
    One letter of a face; all measures are by the size of type.

    Attributes
    ----------
    character
        The letter.
    name
        Its name in its file.
    part
        Which of the face's files holds it.
    advance
        What it takes of the line. [size]
    """

    character: str
    name: str
    part: FacePart
    advance: float

    def path(self, affine: Affine) -> str:
        """Return its outline as an SVG path, moved by (xx, xy, yx, yy, dx, dy), to a thousandth. [mm]"""
        pen = SVGPathPen(self.part.glyph_set, ntos=_thousandth)
        self._draw(pen, affine)
        return str(pen.getCommands())

    def bounds(self, affine: Affine) -> tuple[float, float, float, float]:
        """Return left, lower, right and upper end of its outline, moved likewise. [mm]"""
        pen = BoundsPen(self.part.glyph_set)
        self._draw(pen, affine)
        x0, y0, x1, y1 = (float(value) for value in pen.bounds)
        return x0, y0, x1, y1

    def _draw(self, pen: BasePen, affine: Affine) -> None:
        em = self.part.em
        scaled = (affine[0] / em, affine[1] / em, affine[2] / em, affine[3] / em, affine[4], affine[5])
        self._drawn.replay(TransformPen(pen, scaled))

    @cached_property
    def _drawn(self) -> DecomposingRecordingPen:
        """Its outline in font units, read from the file once."""
        pen = DecomposingRecordingPen(self.part.glyph_set)
        self.part.glyph_set[self.name].draw(pen)
        return pen

    @cached_property
    def area(self) -> float:
        """Area inside its outline. [size^2]"""
        return float(self.shape.area)

    @cached_property
    def has_ink(self) -> bool:
        """Whether there is anything to draw; a space has none."""
        pen = AreaPen(self.part.glyph_set)
        self._drawn.replay(pen)
        return bool(pen.value)

    @cached_property
    def shape(self) -> BaseGeometry:
        """Its outline as an area. Rings that lie in an odd number of others are holes."""
        pen = _CornersPen(self.part.glyph_set)
        self._drawn.replay(pen)
        em = self.part.em
        shape: BaseGeometry = Polygon()
        # Winding tells a hole from an overlap: an outer ring runs one way, a hole the other.
        rings = [Polygon([(x / em, y / em) for x, y in ring]) for ring in pen.rings if len(ring) > 2]
        solid = [ring for ring in rings if not ring.exterior.is_ccw]
        holes = [ring for ring in rings if ring.exterior.is_ccw]
        if solid:
            shape = shapely.union_all([ring.buffer(0) for ring in solid])
        return shape.difference(shapely.union_all([ring.buffer(0) for ring in holes])) if holes else shape

    @cached_property
    def stroke(self) -> float:
        """Length of its strokes, each of its parts taken as one stroke of one breadth. [size]"""
        parts = [part for part in shapely.get_parts(self.shape).tolist() if isinstance(part, Polygon)]
        return sum(stroke_of(part.area, part.length) for part in parts)

    @cached_property
    def thinnest(self) -> float:
        """Breadth at which it first falls apart or loses a stroke when it is made thinner all round. [size]"""
        return _breaks_at(self.shape, -1.0)

    @cached_property
    def narrowest(self) -> float:
        """Breadth of line that first closes a gap in it when it is made fatter all round. [size]"""
        return _breaks_at(self.shape, 1.0)


def stroke_of(area: float, outline: float) -> float:
    """
    Length of a stroke of which the area and the length of the outline are known.

    Parameters
    ----------
    area, outline
        In a unit squared, and in that unit. [any]

    Returns
    -------
    length
        In that unit. [any]

    Notes
    -----
    A stroke of length l and one breadth b has ``l b = area`` and, both its ends counted, ``l + b = outline / 2``: l is
    the larger root of ``t**2 - outline / 2 t + area``. A dot, for which there is no root, counts as a quarter of
    its outline. A closed ring has no ends and is found shorter by about its breadth.
    """
    half = outline / 2
    return (half + sqrt(max(0.0, half * half - 4 * area))) / 2


def _breaks_at(shape: BaseGeometry, way: float) -> float:
    """Return twice the growth (or loss) at which a shape's parts or holes are no longer as many, up to a fifth."""
    # Fewer corners are as good to a thousandth of the size, and many times quicker.
    shape = shape.simplify(0.001)
    parts, holes = _count(shape)
    low, high = 0.0, 0.1
    for _ in range(8):
        middle = (low + high) / 2
        low, high = (
            (middle, high) if _count(shape.buffer(way * middle, quad_segs=2)) == (parts, holes) else (low, middle)
        )
    return 2 * low


def _count(shape: BaseGeometry) -> tuple[int, int]:
    polygons = [part for part in shapely.get_parts(shape).tolist() if isinstance(part, Polygon) and not part.is_empty]
    return len(polygons), sum(len(part.interiors) for part in polygons)


def _thousandth(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@dataclass(frozen=True, kw_only=True)
class FacePart:
    """One font file of a face."""

    font: TTFont

    @cached_property
    def em(self) -> int:
        """Units of the size of type."""
        return int(self.font["head"].unitsPerEm)

    @cached_property
    def letters(self) -> dict[int, str]:
        """Names of glyphs by their character."""
        return dict(self.font.getBestCmap())

    @cached_property
    def glyph_set(self) -> Any:
        """The outlines."""
        return self.font.getGlyphSet()

    @cached_property
    def _pairs(self) -> list[Any]:
        """The tables of pairs of its kerning, in their order, as OpenType's GPOS names them."""
        if "GPOS" not in self.font:
            return []
        table = self.font["GPOS"].table
        wanted = sorted(
            {
                number
                for record in table.FeatureList.FeatureRecord
                if record.FeatureTag == "kern"
                for number in record.Feature.LookupListIndex
            }
        )
        lookups = []
        for number in wanted:
            found = []
            for sub in table.LookupList.Lookup[number].SubTable:
                inner = sub.ExtSubTable if sub.LookupType == 9 else sub
                if inner.LookupType == 2:
                    found.append(inner)
            lookups.append(found)
        return lookups

    def kerning(self, left: str, right: str) -> float:
        """
        Return what is added to the advance of a glyph before another. [size]

        References
        ----------
        .. [1] ISO/IEC 14496-22:2019 (Open Font Format), GPOS lookup type 2: in each lookup the first table that holds
           the pair is taken.
        """
        total = 0.0
        for tables in self._pairs:
            for table in tables:
                value = _pair_value(table, left, right)
                if value is not None:
                    total += value
                    break
        return total / self.em


def _pair_value(table: Any, left: str, right: str) -> float | None:
    """Return a table's change of the first advance for a pair; None where it does not hold the pair."""
    if left not in table.Coverage.glyphs:
        return None
    if table.Format == 1:
        for record in table.PairSet[table.Coverage.glyphs.index(left)].PairValueRecord:
            if record.SecondGlyph == right:
                return float(getattr(record.Value1, "XAdvance", 0) or 0)
        return None
    first = table.ClassDef1.classDefs.get(left, 0)
    second = table.ClassDef2.classDefs.get(right, 0)
    return float(getattr(table.Class1Record[first].Class2Record[second].Value1, "XAdvance", 0) or 0)


@dataclass(frozen=True, kw_only=True)
class Face:
    """A cut of an open font."""

    style: FaceStyle
    parts: tuple[FacePart, ...]

    @cached_property
    def capital(self) -> float:
        """Height of a capital H. [size]"""
        part = self.parts[0]
        pen = BoundsPen(part.glyph_set)
        part.glyph_set[part.letters[ord("H")]].draw(pen)
        return float(pen.bounds[3]) / part.em

    def glyphs(self, text: str) -> tuple[Glyph, ...]:
        """
        Return the letters of a text.

        Raises
        ------
        UnknownName
            Characters that the font lacks, all of them, named as Unicode names them.
        """
        plain = unicodedata.normalize("NFC", text)
        held = [character for character in plain if any(ord(character) in part.letters for part in self.parts)]
        lacking = [character for character in dict.fromkeys(plain) if character not in held]
        if lacking:
            said = ", ".join(f"{character} ({unicodedata.name(character, 'unnamed')})" for character in lacking)
            raise UnknownName(f"letter of the {self.style.value} font", said, ())
        return tuple(_glyph(self.style, character) for character in plain)

    def kerning(self, left: Glyph, right: Glyph) -> float:
        """Return what is added between two letters; nought where they come from different files. [size]"""
        return left.part.kerning(left.name, right.name) if left.part is right.part else 0.0


@cache
def face(style: FaceStyle) -> Face:
    """Return a face; its files are read once."""
    folder = files("tierwright.finish").joinpath("fonts")
    found = [folder.joinpath(f"{style.value}-{script}.woff2") for script in _SCRIPTS]
    parts = [FacePart(font=TTFont(BytesIO(one.read_bytes()))) for one in found if one.is_file()]
    return Face(style=style, parts=tuple(parts))


@cache
def _glyph(style: FaceStyle, character: str) -> Glyph:
    part = next(part for part in face(style).parts if ord(character) in part.letters)
    name = part.letters[ord(character)]
    return Glyph(character=character, name=name, part=part, advance=float(part.font["hmtx"][name][0]) / part.em)
