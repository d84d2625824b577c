"""A QR code of the allergen card's text, so that whoever stands at the table can keep it."""

from __future__ import annotations

from typing import Final

from tierwright.errors import Infeasible
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, number

MODULE_MM: Final = 0.42
"""Width of one module: a telephone reads it at arm's length. [mm] Common practice."""
QUIET: Final = 4
"""White round the code, in modules: ISO/IEC 18004, section 9.1. [-]"""
LARGEST_BYTES: Final = 2953
"""Most that one code holds in bytes at the lowest level of correction: ISO/IEC 18004, table 7. [bytes]"""


def draw_code(text: str, *, prefix: str = "code", title: str = "Allergen card", ink: Ink = INK_ON_PAPER) -> Drawing:
    """
    Draw a text as a QR code.

    Parameters
    ----------
    text
        What it holds, word for word.
    prefix, title
        Start of every id; what it is.
    ink
        What it is drawn with; the paper is always white, since a code needs its contrast.

    Raises
    ------
    Infeasible
        The text is longer than a code holds.
    """
    # Only a printed card needs the encoder: nothing else waits for it.
    import segno

    size = len(text.encode("utf-8"))
    if size > LARGEST_BYTES:
        raise Infeasible(
            "The allergen card as one code", f"it has {size} bytes, and a code holds {LARGEST_BYTES}", "print the card"
        )
    code = segno.make(text, error="l", micro=False, boost_error=False)
    modules = [bytes(row) for row in code.matrix]
    side = (len(modules) + 2 * QUIET) * MODULE_MM
    path = "".join(
        f"M{number((QUIET + start) * MODULE_MM)} {number((QUIET + y) * MODULE_MM)}h{number(run * MODULE_MM)}"
        f"v{number(MODULE_MM)}h-{number(run * MODULE_MM)}z"
        for y, row in enumerate(modules)
        for start, run in _runs(row)
    )
    white = f'<rect x="0" y="0" width="{number(side)}" height="{number(side)}" fill="#ffffff" stroke="none"/>'
    return document(
        prefix=prefix,
        title=title,
        desc=f"A square code that holds this text: {text}",
        width_mm=side,
        height_mm=side,
        ink=ink,
        definitions="",
        body=f'{white}<path d="{path}" fill="#000000" stroke="none" shape-rendering="crispEdges"/>',
        scale=1.0,
    )


def _runs(row: bytes) -> list[tuple[int, int]]:
    """Return the dark runs of a row: where each begins and how long it is."""
    runs: list[tuple[int, int]] = []
    for place, module in enumerate(row):
        if not module:
            continue
        if runs and sum(runs[-1]) == place:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((place, 1))
    return runs
