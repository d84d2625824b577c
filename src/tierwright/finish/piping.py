"""Piped rows: how many pieces close on the line, what they weigh, and how long they take."""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, sqrt
from typing import Final

from tierwright.brief.decor import Border, BorderKind, BorderPlace
from tierwright.errors import OutOfRange, require_range
from tierwright.finish.closing import Closed, close
from tierwright.finish.model import DecorMass, Labour, Surface
from tierwright.finish.paths import Path, line_round
from tierwright.finish.stuff import Stuff
from tierwright.finish.tables import Piece, amount, pieces, time_of
from tierwright.ranges import power, times, with_losses
from tierwright.working import Estimate

MM3_PER_ML: Final = 1000.0
TIMED_LINE_MM: Final = 25.0
"""Length of line for which the table gives the time. [mm]"""
WEIGHED: Final = 0.05
"""What ten weighed pieces may differ from the rest of the row. [-]"""
NARROWEST_LINE_MM: Final = 15.0
"""Half breadth that a row on a top edge must leave. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PipedRow:
    """
    One piped row.

    Attributes
    ----------
    tier, where, kind
        Which tier, where on it, and what is piped.
    formula
        What it is piped of.
    tip_mm
        Opening of the tip. [mm]
    width_mm, height_mm, length_mm
        Measures of one piece. [mm]
    pieces
        How the row is parted: counts and pitches, from corner to corner.
    up_mm
        Height of the row over the tier's foot. [mm]
    out_mm
        How far the middles lie outside the coated foot; negative inside the top edge. [mm]
    drop_mm
        How far a swag hangs. [mm]
    mass
        Volume and mass.
    labour
        Hands' time.
    by_weighing
        Whether ten weighed pieces gave the mass.
    colour
        Its colour, ``#rrggbb``.
    """

    tier: int
    where: BorderPlace
    kind: BorderKind
    formula: str
    tip_mm: float
    width_mm: Estimate
    height_mm: Estimate
    length_mm: float
    pieces: Closed
    up_mm: float
    out_mm: float
    drop_mm: float
    mass: DecorMass
    labour: tuple[Labour, ...]
    by_weighing: bool = False
    colour: str = ""


def swag_length_mm(span_mm: float, drop_mm: float) -> float:
    """
    Length of a line that hangs between two points of one height.

    Parameters
    ----------
    span_mm
        Distance of the points. [mm], above 0
    drop_mm
        How far its middle hangs below them. [mm], 0 and up

    Returns
    -------
    length
        Along the line. [mm]

    Raises
    ------
    OutOfRange
        A span that is not positive, or a drop of more than three spans.

    Notes
    -----
    A parabola of span a and drop h: ``sqrt(a**2 + 16 h**2) / 2 + a**2 / (8 h) asinh(4 h / a)``. A soft line is nearer a
    catenary; at a drop of a quarter of the span the two differ by 1 in 500.

    References
    ----------
    .. [1] Bronshtein et al., Handbook of Mathematics, 'Parabola: arc length'; Machinery's Handbook, 'Parabolic arc'.
    """
    require_range("span of a swag", span_mm, 1e-3, 5000.0, "mm")
    require_range("drop of a swag", drop_mm, 0.0, 3 * span_mm, "mm")
    if drop_mm < 1e-9 * span_mm:
        return span_mm
    ratio = 4 * drop_mm / span_mm
    return span_mm / 2 * (sqrt(1 + ratio * ratio) + asinh(ratio) / ratio)


def row_line(surface: Surface, where: BorderPlace, up_mm: float, breadth_mm: float) -> tuple[Path, float]:
    """
    Return the line through the middles of a row, and how far it lies outside the coated tier. [mm]

    At the foot the pieces stand on what is below, against the side; at the top edge they stand inside it; on the side
    the line is measured on the coat.

    Raises
    ------
    OutOfRange
        Pieces too broad for the top that they stand on.
    """
    if where is BorderPlace.BASE:
        return line_round(surface.foot.outline, surface.foot.by_mm + breadth_mm / 2), breadth_mm / 2
    if where is BorderPlace.SIDE:
        share = up_mm / surface.height_mm * (1 - surface.top_scale)
        path = surface.foot.path
        return (path if share == 0 else path.scaled(1 - share)), 0.0
    top, half = surface.top.path, min(surface.top.outline.extent_mm) / 2 + surface.top.by_mm
    half *= surface.top_scale
    require_range(
        "breadth of a row on the top edge", breadth_mm, 0.0, 2 * (half - NARROWEST_LINE_MM), "mm",
        f"the {surface.name} tier",
    )  # fmt: skip
    return top.scaled(1 - breadth_mm / 2 / half), -breadth_mm / 2


def pipe(border: Border, surface: Surface, stuff: Stuff) -> PipedRow:
    """
    Work one piped row.

    Parameters
    ----------
    border
        What is asked for.
    surface
        The tier that it runs round.
    stuff
        What it is piped of.

    Returns
    -------
    row
        The mass of one piece is ``breadth x height x length x fill x density``, each from the opening of the tip; lines
        and ropes take the row's length instead of a piece's. Ten weighed pieces go before the table.

    Raises
    ------
    OutOfRange
        A row higher than its tier, or pieces too broad for it.
    """
    place = f"a row of {border.kind.value}s on the {surface.name} tier"
    piece = pieces()[border.kind.value]
    width = piece.width * border.tip
    height = times(width, piece.height)
    up = {BorderPlace.BASE: 0.0, BorderPlace.TOP: surface.height_mm}.get(border.where, border.height or 0.0)
    if up > surface.height_mm:
        raise OutOfRange("height of the row over the foot", up, 0.0, surface.height_mm, "mm", place)
    path, out = row_line(surface, border.where, up, width.value)
    along = piece.length * width.value
    pieces_ = close(path.spans_mm, border.pitch or _usual_pitch(border.kind, piece, along))
    drop = 0.0
    if border.kind is BorderKind.SWAG:
        drop = border.drop or amount("swag_drop").value.value * max(pieces_.pitches_mm)
        if border.where is not BorderPlace.BASE and drop > up:
            raise OutOfRange("drop of a swag", drop, 0.0, up, "mm", place)
    volume = _volume_ml(border.kind, piece, width, pieces_, drop)
    on_cake = times(volume, stuff.density_g_per_ml)
    if border.ten_weigh is not None:
        on_cake = Estimate.within(border.ten_weigh / 10 * pieces_.count, WEIGHED)
        volume = on_cake * (1 / stuff.density_g_per_ml.value)
    return PipedRow(
        tier=surface.tier,
        where=border.where,
        kind=border.kind,
        formula=stuff.key,
        tip_mm=border.tip,
        width_mm=width,
        height_mm=height,
        length_mm=along,
        pieces=pieces_,
        up_mm=up,
        out_mm=out,
        drop_mm=drop,
        mass=DecorMass(
            tier=surface.tier,
            part="piping",
            formula=stuff.key,
            volume_ml=volume,
            on_cake_g=on_cake,
            to_make_g=with_losses(on_cake, amount("bowl_loss").value, amount("bag_loss").value),
            thickness_mm=height,
        ),
        labour=_labour(border, surface, piece, pieces_),
        by_weighing=border.ten_weigh is not None,
        colour=stuff.colour,
    )


def _usual_pitch(kind: BorderKind, piece: Piece, along_mm: float) -> float:
    # A swag's span says nothing of its tip: six openings' breadth is a small one.
    return 12 * along_mm if kind is BorderKind.SWAG else piece.close * along_mm


def _volume_ml(kind: BorderKind, piece: Piece, width: Estimate, parted: Closed, drop_mm: float) -> Estimate:
    # Breadth, height and length of one piece all miss the same way when its breadth does.
    if kind not in (BorderKind.LINE, BorderKind.ROPE, BorderKind.SWAG):
        each = times(power(width, 3), piece.height, piece.fill)
        return each * (piece.length * parted.count / MM3_PER_ML)
    run = parted.length_mm
    if kind is BorderKind.SWAG:
        hung = zip(parted.counts, parted.pitches_mm, strict=True)
        run = sum(count * swag_length_mm(pitch, drop_mm) for count, pitch in hung)
    return times(power(width, 2), piece.height, piece.fill) * (run / MM3_PER_ML)


def line_of(tip_mm: float, run_mm: float) -> tuple[Estimate, Estimate]:
    """
    Return the volume and the height of a piped line, from its tip's opening and its length. [ml], [mm]

    ``breadth^2 x height ratio x fill x length``, as for a row of one line.
    """
    piece = pieces()["line"]
    width = piece.width * tip_mm
    return times(power(width, 2), piece.height, piece.fill) * (run_mm / MM3_PER_ML), times(width, piece.height)


def _labour(border: Border, surface: Surface, piece: Piece, parted: Closed) -> tuple[Labour, ...]:
    ready = time_of("row_set_up")
    count = parted.length_mm / TIMED_LINE_MM if border.kind is BorderKind.LINE else float(parted.count)
    return (
        Labour(
            task="row_set_up", label=ready.label, tier=surface.tier, count=1.0, per=ready.per,
            minutes_each=ready.minutes,
        ),
        Labour(
            task=f"piped_{piece.key}", label=f"piping {piece.name}s", tier=surface.tier, count=count,
            per="inch of line" if border.kind is BorderKind.LINE else piece.name, minutes_each=piece.seconds * (1 / 60),
        ),
    )  # fmt: skip
