"""The label sheet and the venue's allergen card: what is in each tier, and what only a packet can tell."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tierwright.dossier import Dossier
from tierwright.drawings import INK_ON_PAPER, Ink
from tierwright.errors import Infeasible
from tierwright.label import Declaration, Labels, Presence, PrintForm, UnitLabel, card_of, draw_code, draw_panel
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import caution_words, of_sheet
from tierwright.working import Caution

MARKS: Final[dict[Presence, str]] = {
    Presence.PRESENT: "contains",
    Presence.MAY: "may",
    Presence.SUSPECTED: "ask",
    Presence.UNREAD: "ask",
    Presence.NOT_DECLARED: "quiet",
}
"""Mark of the template for what is known of an allergen."""


def page(labels: Labels, cautions: Sequence[Caution] = (), ink: Ink = INK_ON_PAPER) -> Page:
    """
    Return the label sheet.

    Parameters
    ----------
    labels
        What must be said of the cake.
    cautions
        All hazards; those of labels are printed here.
    ink
        What the panels are drawn with.
    """
    data: dict[str, Json] = {
        "title": "Labels",
        "cautions": [caution_words(caution) for caution in of_sheet(cautions, "labels")],
        "place": labels.jurisdiction.value,
        "law": next((a.value for a in labels.notes.assumptions if a.key == "label.rules"), ""),
        "blocks": [{"text": block.text, "ask": block.ask} for block in labels.whole.blocks],
        "cakes": [
            _cake(label, f"panel-{place}", ink, labels.form)
            for place, label in enumerate((*labels.units, labels.whole))
        ],
        "components": [
            {"name": part.name, "runs": _runs(part.declaration), "contains": part.declaration.contains}
            for part in labels.components
        ],
    }
    return Page(template="labels", sheet="labels", data=data)


def _cake(label: UnitLabel, prefix: str, ink: Ink, form: PrintForm) -> dict[str, Json]:
    made = label.declaration
    return {
        "title": f"{label.name[:1].upper()}{label.name[1:]}",
        "name": label.food_name,
        "draft": label.is_draft,
        "runs": _runs(label.declaration),
        "statements": [words for words in (made.contains, made.may_contain, *made.warnings) if words],
        "french": None
        if label.french is None
        else {
            "name": label.food_name_french,
            "runs": _runs(label.french),
            "statements": [words for words in (label.french.contains, label.french.may_contain) if words],
        },
        "left_out": list(made.left_out),
        "fields": [
            [field.label, field.value or "to be filled in"] for field in label.fields if field.key != "food_name"
        ],
        "panel": picture(
            draw_panel(label.panel, prefix=prefix, form=form.panel, surface_cm2=form.surface_cm2, ink=ink)
        ),
        "missing": ", ".join(label.panel.missing),
    }


def _runs(made: Declaration) -> list[Json]:
    return [{"text": run.text, "strong": run.strong} for run in made.runs]


def card_page(labels: Labels, *, title: str, cautions: Sequence[Caution] = ()) -> Page:
    """
    Return the venue's allergen card, which travels with the cutting guide.

    Parameters
    ----------
    labels
        What must be said of the cake.
    title
        The commission.
    cautions
        All hazards; those about promises to guests are printed here.
    """
    matrix = card_of(labels.units, labels.jurisdiction)
    rows: list[Json] = [
        {"allergen": word, "marks": [MARKS[row.marks[place]] for row in matrix.rows]}
        for place, word in enumerate(matrix.columns)
    ]
    try:
        code: Json = picture(draw_code(f"{title}\n{labels.card}", prefix="allergen-code"))
    except Infeasible:
        # A card too long for one code is read from the paper.
        code = None
    data: dict[str, Json] = {
        "title": "Allergen card",
        "cautions": [caution_words(c) for c in cautions if c.key == "label.nothing_is_free_from"],
        "cakes": [row.name for row in matrix.rows],
        "foods": [row.food_name for row in matrix.rows],
        "rows": rows,
        "legend": [[MARKS[presence], words] for presence, words in matrix.legend],
        "diets": [[row.name, row.diet] for row in matrix.rows if row.diet],
        "lines": list(matrix.lines),
        "packets": [block.packet for block in labels.whole.blocks],
        "code": code,
    }
    return Page(template="allergens", sheet="allergen card", data=data)


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:  # noqa: ARG001 (every sheet takes the words)
    """Return the label sheet of a dossier."""
    return (page(dossier.labels, dossier.notes.cautions),)


def card(dossier: Dossier, words: Words) -> tuple[Page, ...]:  # noqa: ARG001 (every sheet takes the words)
    """Return the allergen card of a dossier."""
    return (card_page(dossier.labels, title=dossier.commission.title, cautions=dossier.notes.cautions),)
