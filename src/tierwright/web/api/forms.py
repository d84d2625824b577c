"""What goes in and out over the API."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from ninja import Field, Schema


class CommissionLine(Schema):
    """A commission as the board lists it."""

    id: int
    title: str
    enquired_at: datetime
    handover_at: datetime
    cutting_at: datetime
    last_slice_at: datetime
    timezone: str
    version: int = Field(description="number of the latest version")
    quoted: int | None = Field(description="number of the quoted version")
    portions: int
    open_questions: int
    gravest: int = Field(description="of the open questions: 4 could hurt, 3 must change, 2 to be asked")
    put_away_at: datetime | None


class CommissionPage(Schema):
    """Some commissions, and where the next ones begin."""

    commissions: list[CommissionLine]
    next_from: int | None


class VersionLine(Schema):
    """A version of a commission."""

    number: int
    words: str
    made_at: datetime


class CommissionWhole(CommissionLine):
    """A commission with its latest brief and all its versions."""

    brief: dict[str, Any]
    versions: list[VersionLine]


class Asked(Schema):
    """A question that is open."""

    key: str
    severity: int
    sheet: str
    text: str
    reason: str
    figure: str
    change: str


class Shift(Schema):
    """A figure before and after, in the units of its name; None where it is not on that side."""

    key: str
    label: str
    sheet: str
    unit: str
    before: float | str | None
    after: float | str | None


class Moves(Schema):
    """What moves between two states of a commission."""

    figures: list[Shift]
    opened: list[Asked]
    closed: list[Asked]


class Preview(Schema):
    """What a brief comes to, and what moves against the latest version; nothing is kept."""

    portions: int
    questions: list[Asked]
    moves: Moves | None


class Wrong(Schema):
    """One thing wrong: where, what was found, and what would work."""

    place: str
    found: str
    expected: str
    nearest: str


class Refusal(Schema):
    """Why something was refused, with every problem at once."""

    reason: str
    problems: list[Wrong] = Field(default_factory=list)


class Changes(Schema):
    """A whole brief, or changes laid over the latest one (RFC 7396: a null takes a value out)."""

    brief: dict[str, Any] | None = None
    changes: dict[str, Any] | None = None


class Kept(Changes):
    """A change to keep: from which version it was made, and a few words about it."""

    base: int = Field(ge=1)
    words: str = Field(default="", max_length=400)
