"""The cover: the drawing, the key facts, what is still open, and every hazard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tierwright.drawings import Drawing
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import SHEET_WORDS, by_severity, caution_words, question_words
from tierwright.working import Caution, Question


def page(
    title: str,
    facts: Sequence[tuple[str, str]],
    drawing: Drawing,
    questions: Iterable[Question],
    cautions: Iterable[Caution],
) -> Page:
    """
    Return the cover.

    Parameters
    ----------
    title
        The commission.
    facts
        Names and values in words, in the order in which they are read.
    drawing
        The section of the cake.
    questions
        What is open; the most serious is printed first.
    cautions
        Every hazard, in the order of the sheets of work.
    """
    order = list(SHEET_WORDS)
    ranked = sorted(cautions, key=lambda c: order.index(c.sheet) if c.sheet in order else len(order))
    said: list[Json] = []
    for caution in ranked:
        words = caution_words(caution)
        sheet = SHEET_WORDS.get(caution.sheet, caution.sheet).casefold()
        said.append({**words, "step": f"{sheet}, {caution.step}" if caution.step else sheet})
    data: dict[str, Json] = {
        "title": title,
        "facts": [[name, value] for name, value in facts],
        "drawing": picture(drawing),
        "questions": [question_words(question) for question in by_severity(questions)],
        "cautions": said,
    }
    return Page(template="cover", sheet="cover", data=data)
