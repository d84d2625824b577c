"""The pan sheet: every pan with its lining, the batter in it, and how deep that stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tierwright.formula.model import FormulaWork, PanFill
from tierwright.shapes import Outline, Shape
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import estimate_range, of_sheet, shown, steps_with_cautions
from tierwright.units import Display
from tierwright.working import Caution

OVERLAP_MM = 25.0
"""How far the ends of a lining strip lap over each other; common practice. [mm]"""
RISE_MM = 10.0
"""How far a lining strip stands above the pan's edge; common practice. [mm]"""

STEPS = (
    "Line every pan, then set it on the scale and take the weight of the pan off.",
    "Weigh the batter in; the depth is a check, the weight is the measure.",
    "Level the batter and note which pan stands on which shelf.",
)


def page(
    works: Iterable[FormulaWork],
    *,
    pans: Mapping[str, str] | None = None,
    uses: Mapping[str, str] | None = None,
    levels_mm: Mapping[str, float] | None = None,
    cautions: Iterable[Caution] = (),
    display: Display,
) -> Page:
    """
    Return the pan sheet.

    Parameters
    ----------
    works
        The formulas, worked through.
    pans
        Names of pans by key.
    uses
        Names of pan jobs by key.
    levels_mm
        Height to which each job's layers are levelled, by job. [mm]
    cautions
        All hazards; those of bakes are printed here.
    display
        The maker's units.
    """
    steps, left = steps_with_cautions(STEPS, of_sheet(cautions, "bakes"))
    rows: list[Json] = []
    for work in works:
        if work.batch is None:
            continue
        jobs: dict[tuple[str, str], list[PanFill]] = {}
        for fill in work.batch.fills:
            jobs.setdefault((fill.job, fill.pan), []).append(fill)
        for (job, pan), fills in jobs.items():
            first = fills[0]
            level = (levels_mm or {}).get(job)
            rows.append(
                {
                    "pan": (pans or {}).get(pan, _outline_words(first.outline, display)),
                    "use": f"{(uses or {}).get(job, job)}: {work.formula.text.name}",
                    "count": str(len(fills)),
                    "base": f"base {_outline_words(first.outline, display)}",
                    "strip": _strip(first, display),
                    "batter": display.show_mass(first.batter_g.value),
                    "range": estimate_range(display, first.batter_g, "g"),
                    "depth": display.show_length(first.fill_mm),
                    "share": f"{first.fill_share * 100:.0f} % of the pan",
                    "level": display.show_length(level) if level else display.show_length(first.baked_mm),
                }
            )
    data: dict[str, Json] = {"title": "Pans", "cautions": left, "pans": rows, "steps": steps}
    return Page(template="pans", sheet="pans", data=data)


def _outline_words(outline: Outline, display: Display) -> str:
    width = display.show_length(outline.width_mm)
    if outline.shape is Shape.RECTANGLE:
        return f"rectangle {width} × {display.show_length(outline.length_mm)}"
    return f"{outline.shape.value} {width}"


def _strip(fill: PanFill, display: Display) -> str:
    """Return the side strip's measures in words: once round with an overlap, and a little above the edge."""
    depth_mm = fill.fill_mm / fill.fill_share if fill.fill_share > 0 else 0.0
    length = shown(display, fill.outline.perimeter_mm + OVERLAP_MM, "mm")
    # No-break spaces: a measure is not torn from its unit.
    return f"strip {length} × {shown(display, depth_mm + RISE_MM, 'mm')}".replace(" ", "\u00a0")
