"""The pan sheet: every pan with its lining, the batter in it, and how deep that stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tierwright.dossier import Dossier
from tierwright.formula import FormulaWork, PanFill
from tierwright.sheets.naming import Words, outline_words, said
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import estimate_range, of_sheet, shown, steps_with_cautions
from tierwright.units import Display
from tierwright.working import Caution

OVERLAP_MM = 25.0
"""How far the ends of a lining strip lap over each other; common practice. [mm]"""
RISE_MM = 10.0
"""How far a lining strip stands above the pan's edge; common practice. [mm]"""

HEADS = ("lined", "pan and cake", "layers", "lining", "batter in each", "depth of batter", "level to")
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
    english = display.english
    steps, left = steps_with_cautions([said(step, english) for step in STEPS], of_sheet(cautions, "bakes"))
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
                    "pan": (pans or {}).get(pan, outline_words(first.outline, display)),
                    "use": f"{(uses or {}).get(job, job)}: {work.formula.text.name}",
                    "count": str(len(fills)),
                    "base": f"base {outline_words(first.outline, display)}",
                    "strip": _strip(first, display),
                    "batter": display.show_mass(first.batter_g.value),
                    "range": estimate_range(display, first.batter_g, "g"),
                    "depth": display.show_length(first.fill_mm),
                    "share": said(f"{first.fill_share * 100:.0f} % of the pan", english),
                    "level": display.show_length(level) if level else display.show_length(first.baked_mm),
                }
            )
    data: dict[str, Json] = {
        "title": said("Pans", english),
        "heads": [said(head, english) for head in HEADS],
        "cautions": left,
        "pans": rows,
        "steps": steps,
    }
    return Page(template="pans", sheet=said("pans", english), data=data)


def _strip(fill: PanFill, display: Display) -> str:
    """Return the side strip's measures in words: once round with an overlap, and a little above the edge."""
    depth_mm = fill.fill_mm / fill.fill_share if fill.fill_share > 0 else 0.0
    length = shown(display, fill.outline.perimeter_mm + OVERLAP_MM, "mm")
    # No-break spaces: a measure is not torn from its unit.
    return f"strip {length} × {shown(display, depth_mm + RISE_MM, 'mm')}".replace(" ", "\u00a0")


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the pan sheet of a dossier."""
    return (
        page(
            dossier.formulas.works,
            pans=words.pans,
            uses=words.uses,
            levels_mm=words.levels_mm,
            cautions=dossier.notes.cautions,
            display=words.display,
        ),
    )
