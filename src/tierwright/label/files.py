"""Everything of the labels that is written beside a dossier: panels, stickers, the card as text."""

from __future__ import annotations

from tierwright.brief.commission import Jurisdiction
from tierwright.label.model import Labels, UnitLabel
from tierwright.label.panel import is_needed
from tierwright.label.panel_drawing import draw_panel
from tierwright.label.stickers import Grid, draw_sheets, fitted_size, fitting_grid, grid_of


def label_files(labels: Labels, paper: str = "") -> dict[str, str]:
    """
    Return the label files of a cake by file name.

    Stickers of drafts are left out: a sheet of them would find its way on to boxes. So is a label that no sticker of
    the paper is large enough for.

    Parameters
    ----------
    labels
        What must be said of the cake.
    paper
        ``A4`` or ``Letter``; empty for the paper of the place.
    """
    surface_cm2 = labels.form.surface_cm2
    place = labels.jurisdiction
    if not paper:
        paper = "Letter" if place in (Jurisdiction.US, Jurisdiction.CANADA) else "A4"
    files = {"allergen-card.txt": labels.card + "\n"}
    for label in (*labels.units, labels.whole):
        name = label.name.replace(" ", "-")
        if is_needed(place, surface_cm2):
            files[f"panel-{name}.svg"] = draw_panel(label.panel, form=labels.form.panel, surface_cm2=surface_cm2).svg
        if not label.is_draft:
            files |= _stickers(label, labels, paper, name)
    return files


def sticker_grid(label: UnitLabel, labels: Labels, paper: str) -> Grid | None:
    """Return the sheet of stickers for a label: the chosen one if it fits there, else the smallest that does."""
    place, surface_cm2 = labels.jurisdiction, labels.form.surface_cm2
    if labels.form.stickers:
        wished = grid_of(labels.form.stickers)
        if fitted_size(label, place, wished.width_mm, wished.height_mm, surface_cm2) is not None:
            return wished
    return fitting_grid(label, place, paper, surface_cm2)


def _stickers(label: UnitLabel, labels: Labels, paper: str, name: str) -> dict[str, str]:
    place, surface_cm2 = labels.jurisdiction, labels.form.surface_cm2
    grid = sticker_grid(label, labels, paper)
    if grid is None:
        return {}
    (sheet,) = draw_sheets([(label, grid.count)], place, grid, surface_cm2=surface_cm2)
    return {f"stickers-{name}.svg": sheet.svg}
