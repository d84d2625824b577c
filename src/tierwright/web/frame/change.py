"""A change before it is kept: what was typed, laid into the brief, worked through, and held against what stands."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tierwright.brief import parse_commission
from tierwright.dossier import Dossier, look_through, settled
from tierwright.errors import BadInput, Infeasible, MissingData, OutOfRange, Problem, TierwrightError
from tierwright.web.access import Door
from tierwright.web.frame.desk import DOSSIERS, Held, kitchen_of, pack
from tierwright.web.frame.filling import WAS, fill_in, names_of, written
from tierwright.web.memory import Memory
from tierwright.web.models import Commission, Draft, Version
from tierwright.web.sheet import Part
from tierwright.working import Severity

PLACE = "commission"
WORKED: Memory[str, Dossier] = Memory(16)
"""The last few briefs that were worked through: what is kept has as a rule just been looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """
    What became of a changed brief.

    Attributes
    ----------
    brief
        The brief with the change in it.
    dossier
        What it comes to, or None where something is wrong; settled only when it is kept.
    wrong
        What is wrong with single fields, by name.
    beyond
        What is wrong elsewhere, in sentences.
    """

    brief: dict[str, Any]
    dossier: Dossier | None = None
    wrong: dict[str, tuple[str, ...]] = field(default_factory=dict)
    beyond: tuple[str, ...] = ()


def try_out(part: Part, brief: dict[str, Any], kitchen: dict[str, Any], typed: Mapping[str, str]) -> Tried:
    """Lay what was typed into a brief and work it through; whatever is wrong is all in the answer."""
    return work_through(fill_in(part, brief, typed), kitchen, {name for name, _label in names_of(part, typed)})


def work_through(brief: dict[str, Any], kitchen: dict[str, Any], named: set[str]) -> Tried:
    """Work a brief through; what is wrong with the fields in ``named`` is said of them, the rest in sentences."""
    try:
        dossier = WORKED.get(
            json.dumps((brief, kitchen), sort_keys=True),
            lambda: look_through(parse_commission(brief, PLACE), kitchen_of(kitchen)),
        )
    except BadInput as bad:
        wrong, beyond = _sorted_out(bad.problems, named)
        return Tried(brief=brief, wrong=wrong, beyond=beyond)
    except OutOfRange as error:
        text = _("%(what)s comes to %(value)g %(unit)s; what can be computed is %(low)g to %(high)g.") % {
            "what": error.quantity, "value": error.value, "unit": error.unit, "low": error.low, "high": error.high,
        }  # fmt: skip
        return Tried(brief=brief, beyond=(text,))
    except Infeasible as error:
        text = f"{error.wish}: {error.reason}."
        if error.cheapest_change:
            text += " " + _("The cheapest change that would do: %(change)s.") % {"change": error.cheapest_change}
        return Tried(brief=brief, beyond=(text,))
    except MissingData as error:
        text = _("%(what)s is needed for %(needed)s.") % {"what": error.what, "needed": error.needed_for}
        return Tried(brief=brief, beyond=(text,))
    except TierwrightError as error:
        return Tried(brief=brief, beyond=(str(error),))
    return Tried(brief=brief, dossier=dossier)


def _sorted_out(problems: tuple[Problem, ...], named: set[str]) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    wrong: dict[str, tuple[str, ...]] = {}
    beyond: list[str] = []
    for problem in problems:
        place = problem.place.removeprefix(f"{PLACE}: ")
        text = _("Found %(found)s; expected %(expected)s.") % {"found": problem.found, "expected": problem.expected}
        if problem.nearest:
            text += " " + _("Nearest that would work: %(nearest)s.") % {"nearest": problem.nearest}
        if place in named:
            wrong[place] = (*wrong.get(place, ()), text)
        else:
            beyond.append(f"{place}: {text}")
    return wrong, tuple(beyond)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """One field that two people (or two tabs) have typed differently."""

    name: str
    label: str
    then: str
    theirs: str
    mine: str


def clashes(
    part: Part, then: Mapping[str, str], theirs: Mapping[str, str], mine: Mapping[str, str]
) -> tuple[dict[str, str], list[Clash]]:
    """
    Merge two changes of one form.

    Returns
    -------
    merged
        Every field: whichever side changed it; mine where both did.
    clashing
        The fields that both changed, each its own way.
    """
    labels = dict(names_of(part, {**theirs, **mine}))
    merged: dict[str, str] = {}
    found: list[Clash] = []
    for name in {**theirs, **mine}:
        was, their, my = (_even(source.get(name, "")) for source in (then, theirs, mine))
        if my == their or their == was:
            if name in mine:
                merged[name] = mine[name]
        elif my == was:
            if name in theirs:
                merged[name] = theirs[name]
        else:
            merged[name] = mine.get(name, "")
            if not name.endswith(WAS):
                found.append(Clash(name=name, label=labels.get(name, name), then=was, theirs=their, mine=my))
    return merged, found


def _even(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


def in_words(part: Part, before: Mapping[str, str], after: Mapping[str, str]) -> str:
    """Return what a change changed, such as ``People invited: 124 to 96``; of what touches health, only that it did."""
    if part.health:
        # The words are copied into the record of deeds, which is not erased with the health data.
        return str(part.title)
    said: list[str] = []
    labels = dict(names_of(part, {**before, **after}))
    for name, label in labels.items():
        was, now = _even(before.get(name, "")), _even(after.get(name, ""))
        if was == now:
            continue
        if max(len(was), len(now)) > 40 or "\n" in was + now:
            said.append(label)
        elif was and now:
            said.append(f"{label}: {was} \N{RIGHTWARDS ARROW} {now}")
        else:
            said.append(f"{label}: {now}" if now else _("%(label)s: taken out") % {"label": label})
    if len(said) > 3:
        more = len(said) - 2
        rest = ngettext("and %(count)d more", "and %(count)d more", more) % {"count": more}
        said = [*said[:2], rest]
    return "; ".join(said)[:400] or str(part.title)


class Overtaken(Exception):
    """Somebody else has kept a version in the meantime."""


def keep(door: Door, commission: Commission, base: int, tried: Tried, kitchen: dict[str, Any], words: str) -> Version:
    """
    Keep a worked change as the next version.

    Raises
    ------
    Overtaken
        The latest version is no longer the one that the change was made from.
    """
    assert tried.dossier is not None
    dossier = settled(tried.dossier)
    packed = pack(dossier)
    with transaction.atomic():
        row = Commission.objects.select_for_update().get(pk=commission.pk)
        if row.head != base:
            raise Overtaken
        version = Version(
            commission=row, number=base + 1, brief=tried.brief, kitchen=kitchen, dossier=packed, words=words,
            made_by=door.user,
        )  # fmt: skip
        version.save()
        row.head = version.number
        copy_head(row, dossier)
        row.save()
        door.note("kept", f"{row.title}, {version.number}: {words}", row)
    held = Held(brief=version.brief, dossier=dossier)
    DOSSIERS.get((version.commission_id, version.number), lambda: held)
    return version


def begin(door: Door, tried: Tried, kitchen: dict[str, Any], words: str) -> Commission:
    """Begin a commission with its first version."""
    assert tried.dossier is not None
    dossier = settled(tried.dossier)
    packed = pack(dossier)
    with transaction.atomic():
        row = Commission(kitchen=door.kitchen, enquired_at=timezone.now(), head=1)
        copy_head(row, dossier)
        row.save()
        Version(
            commission=row, number=1, brief=tried.brief, kitchen=kitchen, dossier=packed, words=words, made_by=door.user
        ).save()
        door.note("begun", row.title, row)
    return row


def copy_head(row: Commission, dossier: Dossier) -> None:
    """Copy what a list shows from a dossier into the commission's row."""
    commission = dossier.commission
    asked = [question for question in dossier.notes.questions if question.severity >= Severity.ASK]
    row.title = commission.title
    row.timezone = commission.day.timezone
    row.handover_at = commission.handover_at
    row.cutting_at = commission.cutting_at
    row.last_slice_at = last_slice_at(dossier)
    row.portions = dossier.sizing.stack.portions
    row.questions = len(asked)
    row.gravest = max((int(question.severity) for question in asked), default=0)


def last_slice_at(dossier: Dossier) -> Any:
    """Return the moment of the last slice: the brief's, else the cutting; after midnight where the clock says so."""
    from datetime import datetime, timedelta

    commission = dossier.commission
    cutting = commission.cutting_at
    if commission.day.last_slice is None:
        return cutting
    at = datetime.combine(cutting.date(), commission.day.last_slice, tzinfo=ZoneInfo(commission.day.timezone))
    return at if at >= cutting else at + timedelta(days=1)


def draft_of(door: Door, commission: Commission | None, part: str) -> Draft | None:
    """Return what this person has typed into a form and not kept."""
    return Draft.objects.filter(kitchen=door.kitchen, commission=commission, user=door.user, part=part).first()


class Retyped(Exception):
    """Another tab has typed into the same form since."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        super().__init__(draft.part)


def save_draft(
    door: Door, commission: Commission | None, part: str, base: int, typed: dict[str, str], seen: int
) -> Draft:
    """
    Keep what was typed so that it is never lost.

    Raises
    ------
    Retyped
        The draft holds something else than this tab last saw; nothing is written.
    """
    with transaction.atomic():
        draft = (
            Draft.objects.select_for_update()
            .filter(kitchen=door.kitchen, commission=commission, user=door.user, part=part)
            .first()
        )
        if draft is None:
            draft = Draft(
                kitchen=door.kitchen, commission=commission, user=door.user, part=part, base=base, typed=typed,
                revision=seen + 1,
            )  # fmt: skip
            draft.save()
            return draft
        if draft.revision != seen and draft.typed != typed:
            raise Retyped(draft)
        if draft.typed != typed or draft.base != base:
            draft.typed, draft.base = typed, base
            draft.revision += 1
            draft.save()
        return draft


def written_at(part: Part, commission: Commission, number: int) -> dict[str, str]:
    """Return the text of a form's fields as a version has them."""
    version = Version.objects.defer("dossier").get(commission=commission, number=number)
    return written(part, version.brief)
