"""Surfaces to decorate, and the things that lie on them.

All places are in one space: millimetres from the middle of the base board's upper face, x to the right, y away from the
maker (the back), z up. A surface is a tier as it stands coated: a line round its foot, straight or leaning side, and a
level top, part of which the next tier covers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import Final

from tierwright.finish.paths import Path, line_round
from tierwright.finish.unrolling import Unrolled, unrolled
from tierwright.shapes import Outline, Point
from tierwright.working import NOTHING, Estimate

Point3 = tuple[float, float, float]
SHEET: Final = "flowers"
"""The sheet of work to which this room's figures and cautions belong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rim:
    """
    A closed line: an outline, the distance outside it, and how much it is drawn smaller about the middle.

    Attributes
    ----------
    outline
        Cake or board.
    by_mm
        Thickness of the coat outside it; 0 for a board. [mm]
    scale
        1, or less at the top of a carved tier. [-]
    """

    outline: Outline
    by_mm: float = 0.0
    scale: float = 1.0

    @property
    def path(self) -> Path:
        """The line itself."""
        path = line_round(self.outline, self.by_mm)
        return path if self.scale == 1.0 else path.scaled(self.scale)

    @property
    def reach_mm(self) -> float:
        """Half of its greatest width. [mm]"""
        return (self.outline.largest_mm / 2 + self.by_mm) * self.scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """
    A coated tier, to be decorated.

    Attributes
    ----------
    tier, name
        Number from the bottom, and ``bottom``, ``middle``, ``top`` and so on.
    foot
        Line round the coated foot.
    top_scale
        Width at the top over that at the foot; 1 unless the tier is carved. [-], 0.2 to 1
    foot_mm, top_mm
        Height at which the coated side begins to show, and of its top, above the base board. [mm]
    ground
        What its foot stands on: the rim of the base board or of the top below; None where nobody has said.
    above
        What stands on it: rim of the next tier with its coat, or of its board where that is wider; None on the top.
    coat
        Key of the coat's formula; empty for a naked tier.
    colour
        Colour of the coat, ``#rrggbb``.
    """

    tier: int
    name: str
    foot: Rim
    top_scale: float
    foot_mm: float
    top_mm: float
    ground: Rim | None
    above: Rim | None
    coat: str
    colour: str

    @property
    def top(self) -> Rim:
        """Line round the top edge."""
        return Rim(outline=self.foot.outline, by_mm=self.foot.by_mm, scale=self.top_scale)

    @property
    def height_mm(self) -> float:
        """Upright height of the coated side. [mm]"""
        return self.top_mm - self.foot_mm

    @property
    def side(self) -> Unrolled:
        """The side, laid flat."""
        return unrolled(self.foot.path, self.height_mm, self.top_scale)

    @property
    def side_mm2(self) -> float:
        """Area of the side. [mm2]"""
        return self.side.area_mm2

    @property
    def top_mm2(self) -> float:
        """Area of the top that shows. [mm2]"""
        covered = 0.0 if self.above is None else self.above.path.area_mm2
        return max(0.0, self.top.path.area_mm2 - covered)

    @property
    def ledge_mm(self) -> float:
        """Least room round the foot on what it stands on. [mm]"""
        return 0.0 if self.ground is None else max(0.0, _gap(self.ground, self.foot))

    @property
    def shelf_mm(self) -> float:
        """Least breadth of the top that shows round what stands on it; the whole half width on the top tier. [mm]"""
        return self.top.reach_mm if self.above is None else max(0.0, _gap(self.top, self.above))

    def at(self, s_mm: float, up_mm: float) -> tuple[Point3, Point3]:
        """
        Return a place on the side, and which way is outward there.

        Parameters
        ----------
        s_mm
            How far along the foot from the back, against the clock seen from above. [mm]
        up_mm
            How high over the foot, measured upright. [mm]
        """
        spot = self.foot.path.spot(s_mm)
        share = up_mm / self.height_mm
        scale = 1 - share * (1 - self.top_scale)
        x, y = spot.at_mm
        # The side leans inward by what it loses on the way up.
        lean = (x * spot.out[0] + y * spot.out[1]) * (1 - self.top_scale) / self.height_mm
        length = sqrt(1 + lean * lean)
        out = (spot.out[0] / length, spot.out[1] / length, lean / length)
        return (x * scale, y * scale, self.foot_mm + up_mm), out


@lru_cache(maxsize=256)
def _gap(outer: Rim, inner: Rim) -> float:
    """Least distance from an inner line out to an outer one round the same middle; negative where it reaches over."""
    out = outer.path
    found = outer.reach_mm
    corners = out.polygon(0.1)
    for point in inner.path.polygon(0.5):
        found = min(found, _inside(point, corners))
    return found


def _inside(point: Point, corners: tuple[Point, ...]) -> float:
    """How far a point lies inside a polygon; negative outside. [mm]"""
    px, py = point
    nearest = float("inf")
    crossings = False
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        dx, dy = x2 - x1, y2 - y1
        along = max(0.0, min(1.0, ((px - x1) * dx + (py - y1) * dy) / (dx * dx + dy * dy)))
        nearest = min(nearest, (px - x1 - along * dx) ** 2 + (py - y1 - along * dy) ** 2)
        if (y1 > py) != (y2 > py) and px < x1 + (py - y1) / dy * dx:
            crossings = not crossings
    return sqrt(nearest) if crossings else -sqrt(nearest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """
    One thing on the cake, for whoever draws it.

    Attributes
    ----------
    what
        ``shell``, ``bead``, ``rope``, ``line``, ``rosette``, ``swag``, ``drip``, ``band``, ``stripe``, ``groove``,
        ``leaf``, ``painted``, ``flower`` or ``letter``.
    tier
        Tier number; 0 for the board.
    at_mm
        Its middle where it touches the surface. [mm]
    out, along
        Unit vectors: away from the surface, and the way it runs. [-]
    size_mm
        Its measures along, across (on the surface) and outward. [mm]
    colour
        ``#rrggbb``.
    line_mm
        For what runs along a line (rope, line, swag, band, drip, stripe, groove): the line it follows, its ends
        included; empty for single things. [mm]
    detail
        What tells its kind apart: a flower's species, a band's kind, a metal.
    """

    what: str
    tier: int
    at_mm: Point3
    out: Point3
    along: Point3
    size_mm: Point3
    colour: str
    line_mm: tuple[Point3, ...] = ()
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DecorMass:
    """
    One material of the finish on one tier.

    Attributes
    ----------
    tier
        Tier number.
    part
        ``piping``, ``stripes``, ``band`` or ``drip``.
    formula
        Key of the formula or bought ingredient.
    volume_ml, on_cake_g
        On the cake. [ml], [g]
    to_make_g
        What has to be made: with what stays in bowl, bag and on the table. [g]
    thickness_mm
        Mean height or thickness of it. [mm]
    """

    tier: int
    part: str
    formula: str
    volume_ml: Estimate
    on_cake_g: Estimate
    to_make_g: Estimate
    thickness_mm: Estimate = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class Labour:
    """
    Hands' time for one job of the finish.

    Attributes
    ----------
    task
        Key of its norm.
    label
        What it is, in words.
    tier
        Tier number; 0 for the board.
    count
        How many of ``per``. [-]
    per
        What is counted.
    minutes_each
        Time for one. [min]
    """

    task: str
    label: str
    tier: int
    count: float
    per: str
    minutes_each: Estimate

    @property
    def minutes(self) -> Estimate:
        """Time for all. [min]"""
        return self.minutes_each * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class Ware:
    """
    Something bought by the piece for the finish.

    Attributes
    ----------
    key, name
        Key of its price among the kitchen's wares, and its name.
    count
        Pieces to buy, spares included.
    grams
        Mass of what ends up on the cake. [g]
    tier
        Tier number; 0 for the board.
    is_food
        Whether it is eaten.
    days_before
        Days before the handover on which it is needed. [days]
    """

    key: str
    name: str
    count: int
    grams: Estimate
    tier: int
    is_food: bool
    days_before: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Inedible:
    """Something on the cake that has to be taken off before it is cut: on which tier, what, how many, and where."""

    tier: int
    what: str
    count: int
    where: str
