"""The desk: one version of a commission laid out for a person to read."""

from __future__ import annotations

import json
import zlib
from collections.abc import Hashable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest

from tierwright.brief import Commission as Brief
from tierwright.brief import Kitchen as BriefKitchen
from tierwright.brief import parse_commission, parse_kitchen
from tierwright.coating import Coating
from tierwright.dossier import Dossier, from_json, prepare, to_json
from tierwright.drawings import AS_THE_PAGE, Bar, Base, Drawing, Names, section
from tierwright.errors import BadInput
from tierwright.sheets import words_of
from tierwright.sheets.naming import Words
from tierwright.sizing import Stack
from tierwright.units import Display
from tierwright.web.access import Door
from tierwright.web.addresses import address
from tierwright.web.dates import day_words
from tierwright.web.memory import Memory
from tierwright.web.models import Commission, Membership, Role, Version
from tierwright.web.sheet import Moments, Sheet, sheets
from tierwright.web.whole import whole
from tierwright.working import Assumption, Caution, Figure, Question, Severity

HEALTH_KEYS = ("allergy.", "diet.", "buying.label.")
PRICE_KEYS = ("price.", "cost.", "buying.total", "buying.left_over")
KEPT_IN_MEMORY = 64
PIECES_IN_MEMORY = 64
MOMENT = "D j M Y, H:i"


def pack(dossier: Dossier) -> bytes:
    """Return a dossier as a version keeps it."""
    return zlib.compress(to_json(dossier), 6)


Key = tuple[int, int]
"""A version: its commission, and its number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """
    What a version says, as this process holds it.

    Attributes
    ----------
    brief
        The brief it was worked from, as a person wrote it.
    dossier
        What was worked out.
    pieces
        Pieces of pages made from it, packed; forgotten with it.
    """

    brief: dict[str, Any]
    dossier: Dossier
    pieces: Memory[Hashable, bytes] = field(default_factory=lambda: Memory(PIECES_IN_MEMORY))


DOSSIERS: Memory[Key, Held] = Memory(KEPT_IN_MEMORY)
"""The last few versions that were read."""


def held_of(version: Version) -> Held:
    """Return what this process holds of a version, read first where it holds nothing."""
    key = (version.commission_id, version.number)
    held = DOSSIERS.get(key, lambda: _read(version))
    if held.brief != version.brief:
        # A version never changes, but for another process having erased a person from it since.
        DOSSIERS.forget(key)
        held = DOSSIERS.get(key, lambda: _read(version))
    return held


def dossier_of(version: Version) -> Dossier:
    """Return what a version says."""
    return held_of(version).dossier


def _read(version: Version) -> Held:
    return Held(brief=version.brief, dossier=_unpacked(version))


def _unpacked(version: Version) -> Dossier:
    try:
        return from_json(zlib.decompress(version.dossier))
    except BadInput:
        # Kept by an older program whose dossier held less: the same brief is worked through again.
        return prepare(parse_commission(version.brief, "commission"), kitchen_of(version.kitchen))


def kitchen_of(written: dict[str, Any]) -> BriefKitchen:
    """Return a kitchen as the rooms take it, from what a person wrote; the last few are remembered by their text."""
    return _kitchen_read(json.dumps(written, sort_keys=True))


@lru_cache(maxsize=64)
def _kitchen_read(text: str) -> BriefKitchen:
    return parse_kitchen(json.loads(text), "kitchen")


def draw(dossier: Dossier, prefix: str = "section") -> Drawing:
    """Draw the section of a dossier's cake, in the ink of the page; the same cake is not drawn again."""
    words = words_of(dossier)
    stack, coating, names = dossier.sizing.stack, dossier.coating, tuple(words.formulas.items())
    return _drawn(stack, coating, words.base, names, words.flavours, words.bars, words.display, prefix)


@lru_cache(maxsize=256)
def _drawn(
    stack: Stack,
    coating: Coating,
    base: Base | None,
    formulas: tuple[tuple[str, str], ...],
    flavours: tuple[str, ...],
    bars: tuple[Bar, ...],
    display: Display,
    prefix: str,
) -> Drawing:
    return section(
        stack,
        coating,
        base=base,
        names=Names(formulas=dict(formulas), flavours=flavours),
        bars=bars,
        display=display,
        ink=AS_THE_PAGE,
        width_mm=150.0,
        prefix=prefix,
    )


def speaks_of_health(question: Question, named: tuple[str, ...]) -> bool:
    """Say whether a question gives away a guest's allergy or diet: by its key, or by naming what a guest reacts to."""
    said = f"{question.key} {question.text} {question.reason} {question.figure} {question.change}".casefold()
    return question.key.startswith(HEALTH_KEYS) or any(name in said for name in named)


def moments_of(commission: Commission) -> Moments:
    """Return the fixed moments of a commission in its own time zone."""
    zone = ZoneInfo(commission.timezone)
    return Moments(
        enquired=commission.enquired_at.astimezone(zone),
        handover=commission.handover_at.astimezone(zone),
        cutting=commission.cutting_at.astimezone(zone),
        last_slice=commission.last_slice_at.astimezone(zone),
    )


@dataclass
class Desk:
    """
    One version of a commission, and who reads it.

    Attributes
    ----------
    door
        The person, and the kitchen.
    commission, version
        What is read.
    """

    door: Door
    commission: Commission
    version: Version

    @cached_property
    def held(self) -> Held:
        """What this process holds of the version."""
        return held_of(self.version)

    @property
    def dossier(self) -> Dossier:
        """What the version says."""
        return self.held.dossier

    @property
    def reader(self) -> tuple[bool, ...]:
        """Everything about the reader that decides what they may see, and what they may follow."""
        who = self.door.membership
        return who.owns, who.may_see_prices, who.may_see_health, self.older

    @cached_property
    def words(self) -> Words:
        """The words of the dossier's keys."""
        return words_of(self.dossier)

    @cached_property
    def drawing(self) -> Drawing:
        """The section of the cake."""
        return draw(self.dossier)

    @property
    def brief(self) -> Brief:
        """The brief as the rooms take it."""
        return self.dossier.commission

    @property
    def raw(self) -> dict[str, Any]:
        """The brief as a person wrote it."""
        brief: dict[str, Any] = self.version.brief
        return brief

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """Every figure that this person may see, by key."""
        closed = {sheet.key for sheet in sheets().values() if not self.admits(sheet)}
        return {
            figure.key: figure
            for figure in self.dossier.notes.figures
            if figure.sheet not in closed and self._priced(figure.key)
        }

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """Every open question that this person may see, most serious first."""
        found = self.dossier.notes.questions
        if not self.door.membership.may_see_health:
            found = tuple(question for question in found if not speaks_of_health(question, self._named))
        return tuple(question for question in found if self._open(question.sheet))

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """Every hazard: nobody is spared one."""
        return self.dossier.notes.cautions

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """Every default that was used, as this person may read it."""
        used = tuple(assumed for assumed in self.dossier.notes.assumptions if self._priced(assumed.key))
        if self.door.membership.may_see_health:
            return used
        named = self._named
        return tuple(one for one in used if not any(name in f"{one.text} {one.value}".casefold() for name in named))

    @cached_property
    def sheets(self) -> tuple[Sheet, ...]:
        """The sheets that have something to say about this commission to this person, in the usual order."""
        notes = self.dossier.notes
        said = {entry.sheet for entries in (notes.figures, notes.questions, notes.cautions) for entry in entries}
        return tuple(
            sheet for sheet in sheets().values() if (sheet.template or sheet.key in said) and self.admits(sheet)
        )

    @property
    def older(self) -> bool:
        """Whether this is not the latest version: it is read, and nothing is changed from it."""
        return self.version.number != self.commission.head

    @property
    def kitchen_has_changed(self) -> bool:
        """Whether the kitchen has changed since this version was worked."""
        return bool(self.version.kitchen != self.door.kitchen.data)

    @property
    def cutting(self) -> str:
        """The moment of cutting in words, on the venue's clock."""
        return day_words(self.brief.cutting_at, MOMENT)

    @property
    def handover(self) -> str:
        """The moment of handover in words, on the venue's clock."""
        return day_words(self.brief.handover_at, MOMENT)

    @cached_property
    def asked(self) -> int:
        """How many questions have to be answered, notes left out."""
        return sum(1 for question in self.questions if question.severity >= Severity.ASK)

    @property
    def _named(self) -> tuple[str, ...]:
        """What guests react to, as a text may name it."""
        return tuple(allergy.allergen.casefold() for allergy in self.brief.allergies)

    def admits(self, sheet: Sheet) -> bool:
        """Say whether a sheet is open to this person."""
        who = self.door.membership
        return (who.may_see_prices or not sheet.prices) and (who.may_see_health or not sheet.health)

    def _priced(self, key: str) -> bool:
        return self.door.membership.may_see_prices or not key.startswith(PRICE_KEYS)

    def _open(self, key: str) -> bool:
        sheet = sheets().get(key)
        return sheet is None or self.admits(sheet)

    def url(self, name: str, **rest: object) -> str:
        """Return the address of one of this commission's pages."""
        at = address(name, kitchen=self.door.kitchen.pk, commission=self.commission.pk, **rest)
        return f"{at}?version={self.version.number}" if self.older and name in READ_BY_VERSION else at


READ_BY_VERSION: Final = frozenset(
    {"whole", "sheet", "questions", "working", "turned", "turned-scene", "turned-picture"}
)
"""Pages that can be read for an older version, too."""


def lay_out_for_reading(door: Door, commission: int, request: HttpRequest) -> Desk:
    """
    Fetch the version that a reader asks for by ``?version=``, the latest where none is asked for.

    An older one is for owners, who then read as somebody who may see everything and change nothing.
    """
    asked = whole(request.GET.get("version"))
    if asked is None:
        return lay_out(door, commission)
    desk = lay_out(door, commission, asked)
    if not desk.older:
        return desk
    if not door.membership.owns:
        raise Http404
    reader = Membership(kitchen=door.kitchen, user=door.user, role=Role.HELPER, sees_prices=True, sees_health=True)
    return Desk(door=Door(membership=reader, user=door.user), commission=desk.commission, version=desk.version)


def lay_out(door: Door, commission: int, number: int | None = None) -> Desk:
    """Fetch a commission of the kitchen, and one of its versions, for a person to read."""
    found = door.commission(commission)
    asked = found.head if number is None else number
    version = door.version(found, asked, light=(found.pk, asked) in DOSSIERS)
    return Desk(door=door, commission=found, version=version)
