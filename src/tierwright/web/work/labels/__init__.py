"""Labels: what is in each tier, who must know, and by which way each allergen comes in."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.dossier import Dossier
from tierwright.drawings import AS_THE_PAGE, Drawing
from tierwright.label import Jurisdiction, Trace, UnitLabel, card_of, draw_sticker, sticker_grid
from tierwright.larder import Allergen
from tierwright.sheets import label as printed
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.labels.forms import parts
from tierwright.web.work.labels.marks import MARKS
from tierwright.web.work.pictures import on_page


def show(desk: Desk) -> dict[str, Any]:
    """Return the allergen matrix with the way of every mark, and each label as it is printed."""
    labels = desk.dossier.labels
    card = card_of(labels.units, labels.jurisdiction)
    data: dict[str, Any] = dict(printed.page(labels, desk.cautions, AS_THE_PAGE).data)
    data["cakes"] = [cake | {"panel": on_page(cake["panel"])} for cake in data["cakes"]]
    return {
        "labels": data,
        "cakes": [(row.name, row.food_name, row.diet) for row in card.rows],
        "matrix": [
            {
                "allergen": word,
                "key": allergen.value.replace(" ", "-"),
                "marks": [(row.key, row.name, *MARKS[row.marks[place]]) for row in card.rows],
                "ways": _ways(labels.units, labels.traces, allergen),
            }
            for place, (word, allergen) in enumerate(zip(card.columns, card.allergens, strict=True))
        ],
        "lines": card.lines,
    }


def _ways(units: tuple[UnitLabel, ...], traces: tuple[Trace, ...], allergen: Allergen) -> list[dict[str, Any]]:
    """Return every way by which an allergen gets, or may get, into a cake: from the slice back to the packet."""
    names = [unit.name for unit in units]
    found = [trace for trace in traces if trace.allergen is allergen and trace.path[0] in names]
    found.sort(key=lambda trace: (names.index(trace.path[0]), -trace.presence))
    return [
        {
            "cake": trace.path[0],
            "path": trace.path[1:],
            "lot": trace.lot,
            "reason": trace.reason,
            "shape": MARKS[trace.presence][0],
            "words": MARKS[trace.presence][1],
        }
        for trace in found
    ]


def redrawn(dossier: Dossier, prefix: str) -> Drawing | None:
    """Draw the label of the whole cake as a sticker, at the size and in the form that was chosen."""
    labels = dossier.labels
    paper = "Letter" if labels.jurisdiction in (Jurisdiction.US, Jurisdiction.CANADA) else "A4"
    grid = sticker_grid(labels.whole, labels, paper)
    if grid is None:
        return None
    return draw_sticker(
        labels.whole,
        labels.jurisdiction,
        width_mm=grid.width_mm,
        height_mm=grid.height_mm,
        surface_cm2=labels.form.surface_cm2,
        prefix=prefix,
        ink=AS_THE_PAGE,
    )


SHEET = Sheet(
    key="labels",
    title=_("Labels"),
    settles=_("What is in each tier, who must know, and which packets have still to be read."),
    hangs=before_handover(hours=30),
    show=show,
    template="work/labels/sheet.html",
    parts=parts,
    redrawn=redrawn,
    health=True,
)
