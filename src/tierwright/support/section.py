"""From what is bought to what is worked: the cross-section of a stock."""

from __future__ import annotations

from tierwright.support.column import Section
from tierwright.support.tables import SupportStock


def section_of(stock: SupportStock) -> Section:
    """Return the cross-section of a stock."""
    return Section(outer_mm=stock.outer_mm, wall_mm=stock.wall_mm)
