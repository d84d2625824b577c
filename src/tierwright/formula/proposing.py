"""Carrying out a proposal, one at a time, on a copy of the formula."""

from __future__ import annotations

from dataclasses import replace

from tierwright.errors import MissingData
from tierwright.formula.model import Formula, Line, Proposal


def apply(formula: Formula, proposal: Proposal) -> Formula:
    """
    Return the formula with one proposal carried out.

    Parameters
    ----------
    formula
        In grams; it is left as it is.
    proposal
        One made for this very formula.

    Returns
    -------
    formula
        With the weights that move, and the proposal's key added to ``applied``.

    Raises
    ------
    MissingData
        The formula has no such ingredient, or it has been changed since the proposal was made.
    """
    after: dict[str, list[tuple[float, float]]] = {}
    for change in proposal.changes:
        after.setdefault(change.ingredient, []).append((change.before_g, change.after_g))
    lines: list[Line] = []
    for line in formula.lines:
        waiting = after.get(line.ingredient, [])
        hit = next((pair for pair in waiting if abs(pair[0] - line.grams.value) < 1e-9), None)
        if hit is None:
            lines.append(line)
            continue
        waiting.remove(hit)
        lines.append(replace(line, grams=line.grams * (hit[1] / hit[0]), count=0.0, way=f"{line.way}, changed"))
    for key, waiting in after.items():
        if waiting:
            raise MissingData(f"{waiting[0][0]:g} g of {key}", f"the change {proposal.title!r}", formula.text.key)
    return replace(formula, lines=tuple(lines), applied=(*formula.applied, proposal.key))
