"""Every slice of a tier as a real polygon, and how many of them are portions.

Nothing is looked up: a pattern of cuts is laid on the outline and the pieces are measured. The pieces always tile
the outline. A piece counts as a portion when it holds at least a stated share of the nominal ``width x depth``.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import floor, sqrt

import numpy as np
import shapely

from tierwright.errors import require_range
from tierwright.shapes import Outline, Point, Shape
from tierwright.sizing.model import CutPattern, Cutting, RingMeasure, Slice
from tierwright.sizing.rails import polygon_area, slices_between
from tierwright.sizing.rings import SLACK, Part, rings_and_core, whole_tier

LEAST_SHARE = {
    CutPattern.RINGS: 2 / 3,
    CutPattern.WEDGES: 2 / 3,
    CutPattern.GRID: 3 / 4,
    CutPattern.FINGERS: 3 / 4,
    CutPattern.SHEET: 3 / 4,
}
"""Least share of the nominal area with which a piece still counts, by pattern. [-]

Common practice. Rings measured at their outer edge give slices of about seven tenths (a 6 in round: 18 slices of
1.40 in2 for a nominal 2 in2), and they are served as portions; where straight cuts meet a curved edge, guests see a
whole finger beside a cut-off one, so the rule is stricter there.
"""

POINTED_MEASURE = 2 / 3
"""Where the width of a pointed slice is taken in outer-edge measure, as a share of the way out.

The mean distance of a sector's area from its point is two thirds of its radius; at the edge itself a pointed slice
of nominal width would hold half a portion.
"""


# A cutting of a large tier takes some hundred kilobytes.
@lru_cache(maxsize=128)
def cut(
    outline: Outline,
    *,
    pattern: CutPattern,
    measure: RingMeasure,
    width_mm: float,
    depth_mm: float,
    least_share: float | None = None,
) -> Cutting:
    """
    Cut a tier into pieces that tile it.

    Parameters
    ----------
    outline
        The cake seen from above. [mm]
    pattern
        Rings, grid, wedges, fingers or sheet.
    measure
        Where the width of a slice is measured, for rings and wedges; straight patterns do not use it.
    width_mm, depth_mm
        Nominal portion seen from above: width of a slice, depth of a ring or row. [mm], 10 to 200
    least_share
        Least share of the nominal area with which a piece counts, 0.3 to 1; None takes ``LEAST_SHARE``. [-]

    Returns
    -------
    cutting
        All pieces, those that count marked, with the rule in words.

    Raises
    ------
    OutOfRange
        A portion or share outside these spans.

    Notes
    -----
    Rings are insets of the outline, one portion deep each, taken while a whole depth is left; what remains is the
    core. A ring is cut across into as many equal slices as its measure holds whole widths, but never so many that a
    slice would fall under the least share. The core is cut from its middle into as many equal pieces as its area
    holds whole portions (one piece at least); the core of a rectangle is cut straight.
    """
    share = _check(pattern, width_mm, depth_mm, least_share)
    nominal = width_mm * depth_mm
    if pattern in (CutPattern.RINGS, CutPattern.WEDGES):
        parts, counts = _plan(outline, pattern, measure, width_mm, depth_mm, share)
        pieces = [
            piece for part, n in zip(parts, counts, strict=True) for piece in _across(part, n, width_mm / depth_mm)
        ]
    else:
        pieces = _straight(outline, width_mm, depth_mm, share * nominal)
    slices = []
    for corners in pieces:
        area = polygon_area(corners)
        slices.append(Slice(corners=corners, area_mm2=area, counts=area >= share * nominal * (1 - SLACK)))
    return Cutting(
        pattern=pattern,
        measure=measure,
        portion_width_mm=width_mm,
        portion_depth_mm=depth_mm,
        slices=tuple(slices),
        portions=sum(piece.counts for piece in slices),
        rule=_rule(pattern, measure, share),
    )


@lru_cache(maxsize=4096)
def portions_in(
    outline: Outline,
    *,
    pattern: CutPattern,
    measure: RingMeasure,
    width_mm: float,
    depth_mm: float,
    least_share: float | None = None,
) -> int:
    """
    Return the number of portions that ``cut`` would give, without drawing the slices where it can.

    Parameters and errors are those of ``cut``.
    """
    if pattern not in (CutPattern.RINGS, CutPattern.WEDGES):
        return cut(
            outline,
            pattern=pattern,
            measure=measure,
            width_mm=width_mm,
            depth_mm=depth_mm,
            least_share=least_share,
        ).portions
    share = _check(pattern, width_mm, depth_mm, least_share)
    least = share * width_mm * depth_mm * (1 - SLACK)
    parts, counts = _plan(outline, pattern, measure, width_mm, depth_mm, share)
    # Slices of one part are all equal.
    return sum(n for part, n in zip(parts, counts, strict=True) if part.area_mm2 / n >= least)


def _check(pattern: CutPattern, width_mm: float, depth_mm: float, least_share: float | None) -> float:
    require_range("portion width", width_mm, 10.0, 200.0, "mm")
    require_range("portion depth", depth_mm, 10.0, 200.0, "mm")
    if least_share is None:
        return LEAST_SHARE[pattern]
    require_range("least share of a portion", least_share, 0.3, 1.0, "of the nominal area")
    return least_share


def _rule(pattern: CutPattern, measure: RingMeasure, share: float) -> str:
    counts = f"A piece counts when it holds at least {share:.0%} of the nominal area."
    match pattern:
        case CutPattern.RINGS:
            return (
                f"Rings one portion deep from the outside in, each cut into equal slices, the width measured at the "
                f"{measure.value}; what is left in the middle is cut into as many whole portions as it holds. {counts}"
                if measure is not RingMeasure.AREA
                else f"Rings one portion deep from the outside in, each cut into equal slices; the whole tier gives "
                f"its area over the nominal area, to the nearest whole portion. {counts}"
            )
        case CutPattern.WEDGES:
            return f"Equal wedges from the middle, measured by the {measure.value}. {counts}"
        case CutPattern.GRID:
            return f"Straight cuts right across both ways, no closer than a portion. {counts}"
        case CutPattern.FINGERS:
            return f"Upright fingers by straight cuts right across both ways. {counts}"
        case CutPattern.SHEET:
            return f"Squares or bars by straight cuts right across both ways. {counts}"


# Rings and wedges


def _plan(
    outline: Outline, pattern: CutPattern, measure: RingMeasure, width: float, depth: float, share: float
) -> tuple[tuple[Part, ...], list[int]]:
    """Return the parts of a tier and the number of pieces in each."""
    nominal = width * depth
    if pattern is CutPattern.WEDGES:
        part = whole_tier(outline)
        match measure:
            case RingMeasure.OUTER_EDGE:
                wanted = part.edge_mm / width
            case RingMeasure.MIDDLE:
                wanted = part.edge_mm / 2 / width
            case RingMeasure.AREA:
                wanted = floor(part.area_mm2 / nominal + 0.5)
        return (part,), [max(1, min(_whole_number(wanted), _whole_number(part.area_mm2 / (share * nominal))))]
    parts = rings_and_core(outline, depth)
    if measure is RingMeasure.AREA:
        return parts, _by_area(parts, nominal)
    counts = []
    for part in parts:
        if part.core:
            wanted = part.area_mm2 / nominal
        elif measure is RingMeasure.MIDDLE:
            wanted = part.middle_mm / width
        else:
            wanted = part.edge_mm / width * (POINTED_MEASURE if part.pointed else 1.0)
        # Two slices at least, or a ring would meet itself along one cut.
        least = 1 if part.core else 2
        counts.append(max(least, min(_whole_number(wanted), _whole_number(part.area_mm2 / (share * nominal)))))
    return parts, counts


def _whole_number(value: float) -> int:
    return floor(value + SLACK)


def _by_area(parts: Sequence[Part], nominal: float) -> list[int]:
    """Share out the nearest whole number of portions, each further slice going where slices stay largest."""
    total = floor(sum(part.area_mm2 for part in parts) / nominal + 0.5)
    counts = [max(1 if part.core else 2, _whole_number(part.area_mm2 / nominal)) for part in parts]
    while sum(counts) < total:
        roomiest = max(range(len(parts)), key=lambda i: parts[i].area_mm2 / (counts[i] + 1))
        counts[roomiest] += 1
    return counts


def _across(part: Part, count: int, squareness: float) -> list[tuple[Point, ...]]:
    if part.box is not None:
        return _rows(part.box, count, squareness)
    if count == 1:
        return [tuple(part.outer)]
    return slices_between(part.outer, part.inner, count)


def _rows(box: tuple[float, float], count: int, squareness: float) -> list[tuple[Point, ...]]:
    """Cut a rectangle's core into equal pieces in rows along its length, near a portion's own width over depth."""
    width, length = box
    along, over = max(width, length), min(width, length)
    rows = max(1, min(count, round(sqrt(count * over / along * squareness))))
    pieces: list[tuple[Point, ...]] = []
    y = -over / 2
    for row in range(rows):
        columns = count // rows + (row < count % rows)
        height = over * columns / count
        for column in range(columns):
            x0, x1 = along * (column / columns - 0.5), along * ((column + 1) / columns - 0.5)
            corners = ((x0, y), (x1, y), (x1, y + height), (x0, y + height))
            # Turned counter-clockwise where the rectangle stands on its short side.
            pieces.append(corners if width >= length else tuple((-b, a) for a, b in corners))
        y += height
    return pieces


# Straight cuts


def _straight(outline: Outline, width: float, depth: float, least_mm2: float) -> list[tuple[Point, ...]]:
    """Cut straight both ways, portions turned the way that gives more of them."""
    upright = _grid(outline, width, depth)
    if abs(width - depth) < SLACK or outline.shape in (Shape.ROUND, Shape.SQUARE):
        return upright
    turned = _grid(outline, depth, width)

    def counting(pieces: list[tuple[Point, ...]]) -> int:
        return sum(polygon_area(piece) >= least_mm2 * (1 - SLACK) for piece in pieces)

    return turned if counting(turned) > counting(upright) else upright


def _grid(outline: Outline, width: float, depth: float) -> list[tuple[Point, ...]]:
    across, along = outline.extent_mm
    columns, rows = max(1, _whole_number(across / width)), max(1, _whole_number(along / depth))
    xs = np.linspace(-across / 2, across / 2, columns + 1)
    ys = np.linspace(-along / 2, along / 2, rows + 1)
    if outline.shape not in (Shape.SQUARE, Shape.RECTANGLE):
        # Corners of a drawn curve lie a hair outside it.
        xs[0], xs[-1], ys[0], ys[-1] = xs[0] - 1, xs[-1] + 1, ys[0] - 1, ys[-1] + 1
    left, low = (a.ravel() for a in np.meshgrid(xs[:-1], ys[:-1]))
    right, high = (a.ravel() for a in np.meshgrid(xs[1:], ys[1:]))
    cells = shapely.box(left, low, right, high)
    if outline.shape not in (Shape.SQUARE, Shape.RECTANGLE):
        whole = shapely.Polygon(outline.polygon())
        shapely.prepare(whole)
        edge = ~shapely.contains_properly(whole, cells)
        cells[edge] = shapely.intersection(cells[edge], whole)
        cells = shapely.get_parts(cells)
        cells = cells[(shapely.get_type_id(cells) == 3) & ~shapely.is_empty(cells)]
    rings = shapely.get_exterior_ring(shapely.orient_polygons(cells))
    points, owner = shapely.get_coordinates(rings, return_index=True)
    starts = np.flatnonzero(np.diff(owner, prepend=-1)).tolist()
    flat = points.tolist()
    ends = [*starts[1:], len(flat)]
    return [tuple((x, y) for x, y in flat[start : end - 1]) for start, end in zip(starts, ends, strict=True)]
