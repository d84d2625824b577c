"""The card for words: their outlines at full size on a piece of paper that lies where they are to stand."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, cos, pi, sin
from typing import Final

from tierwright.brief.decor import LetterPlace
from tierwright.finish.bands import Template
from tierwright.finish.inscriptions import Inscription
from tierwright.finish.lettering import Written, write_along
from tierwright.finish.model import Surface
from tierwright.finish.unrolling import Unrolled
from tierwright.shapes import Point

ROOM_MM: Final = 6.0
"""Card left free at either end of the words. [mm] Chosen by us."""
ROUND_MM: Final = 2.0
"""Card left free above and below words that have no edge to lie against. [mm] Chosen by us."""
STEP_MM: Final = 2.0
"""Distance of the corners of a bent edge. [mm]"""
PROBE_MM: Final = 0.5


def lettering_card(words: Inscription, surfaces: Sequence[Surface]) -> Template:
    """
    Lay the card for words flat, at full size.

    Parameters
    ----------
    words
        As they have been laid out.
    surfaces
        The coated tiers, bottom first.

    Returns
    -------
    card
        On a round board a piece of the ring between cake and edge; on another board a strip from cake to edge; on a
        side a strip that bends as the side does when it is laid flat; on a top a rectangle. Its dashed line marks the
        middle of the words, its thin ones the line on which they stand.
    """
    match words.place:
        case LetterPlace.BAND:
            return _on_side(words, next(one for one in surfaces if one.tier == words.tier))
        case LetterPlace.BOARD if words.radius_mm:
            return _on_ring(words.written, words.radius_mm, surfaces[0])
        case LetterPlace.BOARD:
            return _on_strip(words.written, surfaces[0])
        case LetterPlace.TOP:
            left, low, right, high = words.written.bounds_mm
            return _flat(words.written, left - ROOM_MM, low - ROUND_MM, right + ROOM_MM, high + ROUND_MM)


def _on_ring(written: Written, stands: float, surface: Surface) -> Template:
    assert surface.ground is not None
    inner, outer = surface.foot.reach_mm, surface.ground.reach_mm
    half = (written.length_mm / 2 + ROOM_MM) / stands

    def arc(radius: float, reach: float, way: float = 1.0) -> list[Point]:
        steps = max(2, round(2 * reach * radius / STEP_MM))
        turns = (-pi / 2 + way * reach * (2 * i / steps - 1) for i in range(steps + 1))
        return [(radius * cos(turn), radius * sin(turn)) for turn in turns]

    return _template(
        written,
        edge=[*arc(outer, half), *arc(inner, half, -1.0)],
        line=arc(stands, half - ROOM_MM / stands),
        middle=((0.0, -inner), (0.0, -outer)),
    )


def _on_strip(written: Written, surface: Surface) -> Template:
    assert surface.ground is not None
    front = surface.foot.outline.extent_mm[1] / 2 + surface.foot.by_mm
    left, _low, right, _high = written.bounds_mm
    return _flat(written, left - ROOM_MM, -surface.ground.outline.extent_mm[1] / 2, right + ROOM_MM, -front)


def _flat(written: Written, left: float, low: float, right: float, high: float) -> Template:
    foot = written.letters[0].at_mm[1]
    middle = (left + right) / 2
    return _template(
        written,
        edge=[(left, low), (right, low), (right, high), (left, high)],
        line=[(left, foot), (right, foot)],
        middle=((middle, low), (middle, high)),
    )


def _on_side(words: Inscription, surface: Surface) -> Template:
    side, flat = surface.side, words.written
    whole, foot = side.foot.length_mm, words.foot_mm
    share = whole / side.length_at(foot)
    bent = write_along(
        flat.text,
        size_mm=flat.size_mm,
        style=flat.style,
        place=lambda along: _stand(side, whole / 2 + along * share, foot),
    )
    _left, near, _right, far = flat.bounds_mm
    low, high = max(0.0, foot + near - ROUND_MM), min(side.height_mm, foot + far + ROUND_MM)
    start, end = (whole / 2 + way * (flat.length_mm / 2 + ROOM_MM) * share for way in (-1, 1))
    return _template(
        bent,
        edge=[*side.level(low, start, end), *reversed(side.level(high, start, end))],
        line=list(side.level(foot, start, end)),
        middle=(side.flat(whole / 2, low), side.flat(whole / 2, high)),
    )


def _stand(side: Unrolled, s_mm: float, up_mm: float) -> tuple[Point, float]:
    """Return where a place on the side comes to lie, and how far its level line is turned there. [mm], [rad]"""
    (x1, y1), (x2, y2) = (side.flat(s_mm + way, up_mm) for way in (-PROBE_MM, PROBE_MM))
    return side.flat(s_mm, up_mm), atan2(y2 - y1, x2 - x1)


def _template(
    written: Written, *, edge: Sequence[Point], line: Sequence[Point], middle: tuple[Point, Point]
) -> Template:
    """Return a card whose box begins at 0, 0."""
    left, low = min(x for x, _ in edge), min(y for _, y in edge)

    def put(point: Point) -> Point:
        return (point[0] - left, point[1] - low)

    return Template(
        edge=tuple(map(put, edge)),
        repeats=(),
        folds=((put(middle[0]), put(middle[1])),),
        tab=(),
        width_mm=max(x for x, _ in edge) - left,
        height_mm=max(y for _, y in edge) - low,
        lines=tuple((put(a), put(b)) for a, b in pairwise(line)),
        letters=written.path,
        letters_mm=(-left, -low),
    )
