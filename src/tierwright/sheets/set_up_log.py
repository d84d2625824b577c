"""The set-up record after the event: what was written down, by whom it was taken over, what was photographed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tierwright.drawings import still
from tierwright.sheets.page import Json, Page, picture
from tierwright.svg import INK_ON_PAPER, Drawing, document, element, number

SIGNATURE_MM: Final = 60.0
PHOTOGRAPHS_MM: Final = {1: (110.0, 80.0), 2: (80.0, 62.0), 3: (54.0, 60.0), 4: (80.0, 46.0), 6: (54.0, 46.0)}
SMALL_PHOTOGRAPH_MM: Final = (40.0, 36.0)
"""Width and height of a photograph, by how many there are at most; small from seven on. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """
    One entry of the record.

    Attributes
    ----------
    at, text
        When, by the clock of the place, and what, in words.
    version, mark
        Which version of the commission it was, and the mark of its dossier.
    photograph, size_px
        JPEG bytes of a photograph, and its size; empty for none. [px]
    path, pad
        A signature as an SVG path, and the field that it was drawn in; empty for none.
    says
        What was signed, word for word.
    """

    at: str
    text: str
    version: int
    mark: str
    photograph: bytes = b""
    size_px: tuple[int, int] = (0, 0)
    path: str = ""
    pad: tuple[int, int] = (600, 200)
    says: tuple[str, ...] = ()


def log_page(title: str, lines: Sequence[Line], *, facts: Sequence[tuple[str, str]]) -> Page:
    """
    Return the record, set to fit one page of paper.

    Parameters
    ----------
    title
        Set-up record, or release on collection.
    lines
        Entries in their order.
    facts
        Names and values above them.
    """
    shown = [line for line in lines if line.photograph]
    room = next((size for most, size in PHOTOGRAPHS_MM.items() if len(shown) <= most), SMALL_PHOTOGRAPH_MM)
    data: dict[str, Json] = {
        "title": title,
        "facts": [[name, value] for name, value in facts],
        "rows": [[line.at, line.text, f"{line.version}, {line.mark}"] for line in lines],
        "signed": [
            {
                "text": f"{line.text}, {line.at}",
                "drawing": picture(_signature(line, i)) if line.path else None,
                "says": list(line.says),
            }
            for i, line in enumerate(lines)
            if line.says
        ],
        "photographs": [
            {
                "text": f"{line.at}: {line.text}",
                "drawing": picture(
                    still(
                        line.photograph, size_px=line.size_px, width_mm=room[0], height_mm=room[1], said=line.text,
                        prefix=f"photograph-{i}", title="Photograph",
                    )
                ),
            }
            for i, line in enumerate(shown, start=1)
        ],
        "columns": max(1, min(len(shown), int(174.0 // (room[0] + 3.0)))),
    }  # fmt: skip
    return Page(template="set_up_log", sheet=title.lower(), data=data)


def _signature(line: Line, place: int) -> Drawing:
    wide, high = line.pad
    scale = SIGNATURE_MM / wide
    stroke = element("path", d=line.path, transform=f"scale({number(scale)})", fill="none", stroke_width=4)
    return document(
        prefix=f"signature-{place}",
        title="Signature",
        desc=line.text,
        width_mm=SIGNATURE_MM,
        height_mm=high * scale,
        ink=INK_ON_PAPER,
        definitions="",
        body=stroke,
    )
