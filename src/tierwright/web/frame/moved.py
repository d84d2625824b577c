"""Consequences in a maker's words: what would move, sheet by sheet, the figures that decide first."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from tierwright.compare import Consequences, Move, consequences
from tierwright.dossier import Dossier
from tierwright.sheets.show import shown, spread
from tierwright.units import Display
from tierwright.web.sheet import Words, sheets
from tierwright.working import Figure, Question

GLANCE: Final = (
    r"portions\.wanted", r"portions\.made", r"portions\.shortage_risk", r"stack\.oven_loads", r"batter\.volume_ml",
    r"bakes?\.(oven_)?(hours|minutes|total_min)", r"kitchen\.count", r"stack\.height_mm", r"cost\.total", r"price\.ask",
    r"week\.hands", r"road\.(latest|last)_", r"set_?up\.",
)  # fmt: skip
"""Keys of the figures that are looked at first, in order."""

SHARES: Final = ("risk", "take_up", "chance", "_share")
"""Ends of the keys of figures that are a share of something."""

DECIDING: Final = re.compile(
    r"portions\.(wanted|made|shortage_risk|surplus)$|stack\.|kitchen\.count$|formula\.[^.]+\.make_g$"
    r"|tier\.\d+\.(width_mm|portions|mass_g|finished_height_mm)$|cake\.|bake\.[^.]+\.minutes$|support\.|price\.|cost\."
    r"|road\.|set_?up"
)
"""Keys of figures that decide something, against those that are steps on the way to one. Chosen by us."""
COUNTED: Final = frozenset(
    (gettext_noop("portions"), gettext_noop("people"), gettext_noop("cakes"), gettext_noop("loads"))
)
"""Units that are words of what is counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One figure before and after, in words; ``way`` says which way it went, in a word."""

    key: str
    label: str
    before: str
    after: str
    change: str
    way: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedSheet:
    """What moved on one sheet: the deciding figures, and the rest."""

    title: Words
    first: tuple[Moved, ...]
    rest: tuple[Moved, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Everything that moves between two dossiers, as a page shows it."""

    sheets: tuple[MovedSheet, ...]
    glance: tuple[Moved, ...]
    opened: tuple[Question, ...]
    closed: tuple[Question, ...]
    otherwise: tuple[Question, ...]
    count: int

    @property
    def nothing(self) -> bool:
        """Whether nothing moves at all."""
        return not (self.count or self.opened or self.closed or self.otherwise)


def outcome(before: Dossier, after: Dossier, may_see: Callable[[str, str], bool]) -> Outcome:
    """
    Compare two dossiers.

    Parameters
    ----------
    before, after
        What is compared.
    may_see
        Says of a sheet and a key whether the reader may see it.
    """
    found: Consequences = consequences(before.notes, after.notes)
    display = after.kitchen.units.display()
    moves = [move for move in found.moves if may_see(move.sheet, move.key)]
    order = list(sheets())
    by_sheet: dict[str, list[Move]] = {}
    for move in moves:
        by_sheet.setdefault(move.sheet, []).append(move)
    ranked = sorted(by_sheet, key=lambda key: order.index(key) if key in order else len(order))
    still = {question.key for question in found.opened} & {question.key for question in found.closed}
    return Outcome(
        glance=_glance(moves, display),
        sheets=tuple(_sheet(key, by_sheet[key], display) for key in ranked),
        opened=_visible((q for q in found.opened if q.key not in still), may_see),
        closed=_visible((q for q in found.closed if q.key not in still), may_see),
        otherwise=_visible((q for q in found.opened if q.key in still), may_see),
        count=len(moves),
    )


def _glance(moves: list[Move], display: Display) -> tuple[Moved, ...]:
    first = [move for pattern in GLANCE for move in moves if re.match(pattern, move.key)]
    rows = (_moved(move, display) for move in first)
    return tuple(row for row in rows if row.before != row.after)


def _visible(questions: Iterable[Question], may_see: Callable[[str, str], bool]) -> tuple[Question, ...]:
    seen = [question for question in questions if may_see(question.sheet, question.key)]
    return tuple(sorted(seen, key=lambda question: -question.severity))


def _sheet(key: str, moves: list[Move], display: Display) -> MovedSheet:
    rows = [(bool(DECIDING.search(move.key)), _moved(move, display)) for move in moves]
    # What reads the same before and after moved by less than anybody can weigh or measure.
    rows = [(first, row) for first, row in rows if row.before != row.after]
    first = tuple(row for deciding, row in rows if deciding)
    rest = tuple(row for deciding, row in rows if not deciding)
    known = sheets().get(key)
    return MovedSheet(title=known.title if known else key, first=first or rest[:5], rest=rest if first else rest[5:])


def _moved(move: Move, display: Display) -> Moved:
    share = move.share
    change = way = ""
    if move.before is None:
        way = _("new")
    elif move.after is None:
        way = _("gone")
    elif isinstance(move.before, float) and isinstance(move.after, float):
        way = _("more") if move.after > move.before else _("less")
        if share is not None and 0.005 <= abs(share) < 10:
            change = f"{share:+.0%}".replace("-", "\N{MINUS SIGN}").replace("%", "\N{NO-BREAK SPACE}%")
    else:
        way = _("other")
    return Moved(
        key=move.key,
        label=move.label,
        before=said(display, move.before, move.unit, move.key),
        after=said(display, move.after, move.unit, move.key),
        change=change,
        way=way,
    )


def said(display: Display, value: float | str | None, unit: str, key: str = "") -> str:
    """Return a figure's value in the maker's units; a chance or share as a percentage; a dash where there is none."""
    if value is None:
        return "\N{EN DASH}"
    if unit in ("", "1") and isinstance(value, float) and key.endswith(SHARES):
        return f"{value * 100:.2g}\N{NO-BREAK SPACE}%" if abs(value) < 1 else f"{value:.0%}"
    return shown(display, value, _counted(unit))


def _counted(unit: str) -> str:
    """Return the word of what is counted in the page's language; a unit of measure stays as it is."""
    return _(unit) if unit in COUNTED else unit


def span_of(display: Display, figure: Figure) -> str:
    """Return a figure's likely range in words, or nothing where there is none."""
    if figure.low is None or figure.high is None:
        return ""
    if figure.unit in ("", "1") and figure.key.endswith(SHARES):
        low, high = (said(display, end, figure.unit, figure.key) for end in (figure.low, figure.high))
        return f"{low} \N{EN DASH} {high}"
    return spread(display, figure.low, figure.high, _counted(figure.unit))
