"""Whole numbers of pieces and repeats that close on a line, and what that makes of the wish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log

from tierwright.errors import require_range

MOST = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """
    A line parted into whole pieces, corner to corner.

    Attributes
    ----------
    spans_mm
        Lengths from corner to corner. [mm]
    counts
        Whole pieces in each. [-]
    wanted_mm
        The length that was wished for. [mm]
    """

    spans_mm: tuple[float, ...]
    counts: tuple[int, ...]
    wanted_mm: float

    @property
    def count(self) -> int:
        """Pieces in all. [-]"""
        return sum(self.counts)

    @property
    def pitches_mm(self) -> tuple[float, ...]:
        """Length of one piece in each span. [mm]"""
        return tuple(span / count for span, count in zip(self.spans_mm, self.counts, strict=True))

    @property
    def length_mm(self) -> float:
        """Length of the whole line. [mm]"""
        return sum(self.spans_mm)

    @property
    def stops_mm(self) -> tuple[float, ...]:
        """Where pieces begin, from the start of the line; the end of the line is left out. [mm]"""
        stops: list[float] = []
        start = 0.0
        for span, count in zip(self.spans_mm, self.counts, strict=True):
            stops += [start + span * i / count for i in range(count)]
            start += span
        return tuple(stops)


def whole_number(length_mm: float, wanted_mm: float) -> int:
    """
    Return how many whole pieces part a length so that one is as near as may be to the wanted length.

    Parameters
    ----------
    length_mm
        Length to part. [mm], 0.1 to 100000
    wanted_mm
        Length wished for. [mm], 0.1 to 100000

    Returns
    -------
    count
        At least one; of the two whole numbers beside ``length / wanted`` the one whose ratio to it is nearer. [-]

    Raises
    ------
    OutOfRange
        A length outside its range, or more than 5000 pieces.
    """
    require_range("length to part", length_mm, 0.1, 1e5, "mm")
    require_range("length of one piece", wanted_mm, 0.1, 1e5, "mm")
    exact = length_mm / wanted_mm
    require_range("number of pieces", exact, 0.0, MOST, "")
    low = max(1, floor(exact))
    return low if abs(log(exact / low)) <= abs(log(exact / (low + 1))) else low + 1


def close(spans_mm: Sequence[float], wanted_mm: float) -> Closed:
    """
    Part a closed line into whole pieces that meet its corners.

    Parameters
    ----------
    spans_mm
        Lengths from corner to corner; one length for a round line. [mm]
    wanted_mm
        Length wished for. [mm]

    Raises
    ------
    OutOfRange
        A length that cannot be parted so.
    """
    counts = tuple(whole_number(span, wanted_mm) for span in spans_mm)
    return Closed(spans_mm=tuple(spans_mm), counts=counts, wanted_mm=wanted_mm)


def close_count(spans_mm: Sequence[float], count: int) -> Closed:
    """Part a closed line into a wanted number of pieces; corners are met where the number allows it. [mm], [-]"""
    total = sum(spans_mm)
    if count % len(spans_mm) == 0 and max(spans_mm) - min(spans_mm) < 1e-6:
        each = count // len(spans_mm)
        return Closed(spans_mm=tuple(spans_mm), counts=(each,) * len(spans_mm), wanted_mm=total / count)
    return Closed(spans_mm=(total,), counts=(count,), wanted_mm=total / count)
