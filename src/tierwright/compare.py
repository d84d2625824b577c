"""What moves when something in a brief changes: the figures and questions of two dossiers, side by side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tierwright.working import Figure, Notes, Question


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """
    One figure before and after; None where it is only in one of the two.

    Attributes
    ----------
    key, label, unit, sheet
        Those of the figure.
    before, after
        Its values, or None.
    """

    key: str
    label: str
    unit: str
    sheet: str
    before: float | str | None
    after: float | str | None

    @property
    def share(self) -> float | None:
        """Change over the value before, or None where that means nothing."""
        if isinstance(self.before, float | int) and isinstance(self.after, float | int) and self.before:
            return self.after / self.before - 1
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Consequences:
    """Every figure that moved, and the questions that opened and closed."""

    moves: tuple[Move, ...]
    opened: tuple[Question, ...]
    closed: tuple[Question, ...]


# A dossier that is kept has nine digits; anything below them is not worth a maker's glance.
LEAST_SHARE = 2e-8
LEAST = 1e-12


def consequences(before: Notes, after: Notes) -> Consequences:
    """List every figure that moved between two sets of notes, and every question that opened or closed."""
    old, new = _by_key(before.figures), _by_key(after.figures)
    moves = []
    for key in [*old, *(key for key in new if key not in old)]:
        was, now = old.get(key), new.get(key)
        if was is not None and now is not None and _same(was, now):
            continue
        known = now or was
        assert known is not None
        moves.append(
            Move(
                key=key,
                label=known.label,
                unit=known.unit,
                sheet=known.sheet,
                before=was.value if was else None,
                after=now.value if now else None,
            )
        )
    asked, asks = _texts(before.questions), _texts(after.questions)
    return Consequences(
        moves=tuple(moves),
        opened=tuple(question for text, question in asks.items() if text not in asked),
        closed=tuple(question for text, question in asked.items() if text not in asks),
    )


def _by_key(figures: Iterable[Figure]) -> dict[str, Figure]:
    return {figure.key: figure for figure in figures}


def _texts(questions: Iterable[Question]) -> dict[tuple[str, str], Question]:
    return {(question.key, question.text): question for question in questions}


def _same(was: Figure, now: Figure) -> bool:
    if isinstance(was.value, str) or isinstance(now.value, str):
        return was.value == now.value
    return abs(was.value - now.value) <= max(LEAST, LEAST_SHARE * max(abs(was.value), abs(now.value)))
