"""Entries of the set-up log: read strictly, kept once, in the order in which they were made."""

from __future__ import annotations

import re
import uuid
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from hashlib import sha256
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tierwright.units import fahrenheit_to_celsius
from tierwright.web.access import Door
from tierwright.web.arriving import Fate, Outcome, Unreadable, fate_before, moment_of, order_of, read_all, whole_of
from tierwright.web.frame.desk import dossier_of
from tierwright.web.handover.models import Photograph, SetUpEntry
from tierwright.web.handover.photographs import NoPicture, Picture, picture_of
from tierwright.web.models import Commission, Version

MOST_AT_ONCE: Final = 50
LONGEST: Final = 400
COLDEST_C: Final = -30.0
HOTTEST_C: Final = 60.0
"""Between these a probe in or beside a cake may read. [degC] Chosen by us."""
PAD: Final = (600, 200)
"""Width and height of the pad on which somebody signs; a signature is drawn in these units."""
STROKES: Final = re.compile(r"(?:M\d{1,3} \d{1,3}(?:L\d{1,3} \d{1,3})+){1,200}")
LONGEST_PATH: Final = 40_000
LEAST_POINTS: Final = 8
LEAST_SPAN: Final = 40
SEEN: Final = ("level", "coat", "decoration", "cards")
WHERE: Final = ("middle", "coat", "air")


class Did(StrEnum):
    """What an entry says."""

    ARRIVED = "arrived"
    SET_UP = "set-up"
    TEMPERATURE = "temperature"
    COUNTED = "counted"
    SEEN = "seen"
    PHOTOGRAPH = "photograph"
    RECEIVER = "receiver"
    NOTE = "note"
    SIGNED = "signed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One entry as a tablet sends it; ``picture`` where it holds a photograph."""

    key: uuid.UUID
    version: int
    what: Did
    value: dict[str, Any]
    device: str
    order: int
    done_at: datetime
    picture: Picture | None = None


def read(raw: Any, head: int, now: datetime) -> Sent:
    """
    Read one entry.

    Parameters
    ----------
    raw
        What was sent.
    head
        The latest version of the commission.
    now
        The present moment.

    Raises
    ------
    Unreadable
        Anything is missing, of the wrong kind or beyond what can be.
    """
    if not isinstance(raw, dict):
        raise Unreadable(_("An entry is a table of names and values."))
    try:
        key, what = uuid.UUID(_text(raw, "key", 40)), Did(_text(raw, "what", 20))
    except ValueError:
        raise Unreadable(_("The key or the kind of the entry is not known.")) from None
    at = moment_of(
        _text(raw, "done_at", 40),
        now,
        unread=_("The moment is not a date and time with its zone."),
        wrong=_("The tablet's clock is wrong: set its date, then enter this again."),
    )
    given = raw.get("value")
    if not isinstance(given, dict):
        raise Unreadable(_("An entry is a table of names and values."))
    picture = None
    if what is Did.PHOTOGRAPH:
        try:
            picture = picture_of(given.get("file") if isinstance(given.get("file"), str) else "")  # type: ignore[arg-type]
        except NoPicture as error:
            raise Unreadable(str(error)) from None
    return Sent(
        key=key,
        version=whole_of(raw.get("version"), 1, head, _("There is no such version of the commission.")),
        what=what,
        value=READERS[what](given),
        device=_text(raw, "device", 60),
        order=order_of(raw),
        done_at=at,
        picture=picture,
    )


def _text(raw: dict[str, Any], name: str, longest: int, least: int = 1) -> str:
    text = raw.get(name, "")
    if not isinstance(text, str) or not least <= len(text.strip()) <= longest or "\x00" in text:
        raise Unreadable(_("%(name)s is missing or too long.") % {"name": name})
    return text.strip()


def _one_of(raw: dict[str, Any], name: str, known: tuple[str, ...]) -> str:
    found = _text(raw, name, 40)
    if found not in known:
        raise Unreadable(_("%(found)s is not known here.") % {"found": found})
    return found


def _nothing(_raw: dict[str, Any]) -> dict[str, Any]:
    return {}


def _temperature(raw: dict[str, Any]) -> dict[str, Any]:
    number, unit = raw.get("number"), raw.get("unit")
    if not isinstance(number, int | float) or isinstance(number, bool) or unit not in ("C", "F"):
        raise Unreadable(_("A temperature is a number in C or F."))
    celsius = float(number) if unit == "C" else fahrenheit_to_celsius(float(number))
    if not COLDEST_C <= celsius <= HOTTEST_C:
        raise Unreadable(
            _("No probe in or beside a cake reads %(number)g %(unit)s.") % {"number": number, "unit": unit}
        )
    return {"where": _one_of(raw, "where", WHERE), "number": number, "unit": unit, "c": round(celsius, 2)}


def _signed(raw: dict[str, Any]) -> dict[str, Any]:
    name = _text(raw, "name", 200)
    path = raw.get("path", "")
    if raw.get("typed") is True and path == "":
        return {"name": name, "path": "", "typed": True}
    if not isinstance(path, str) or len(path) > LONGEST_PATH or STROKES.fullmatch(path) is None:
        raise Unreadable(_("The signature cannot be read: sign again."))
    points = [(int(x), int(y)) for x, y in re.findall(r"[ML](\d+) (\d+)", path)]
    xs, ys = [x for x, _y in points], [y for _x, y in points]
    if max(xs) > PAD[0] or max(ys) > PAD[1]:
        raise Unreadable(_("The signature cannot be read: sign again."))
    if len(points) < LEAST_POINTS or max(max(xs) - min(xs), max(ys) - min(ys)) < LEAST_SPAN:
        raise Unreadable(_("That is too little for a signature: sign again."))
    return {"name": name, "path": path, "typed": False}


READERS: Final[dict[Did, Callable[[dict[str, Any]], dict[str, Any]]]] = {
    Did.ARRIVED: _nothing,
    Did.SET_UP: _nothing,
    Did.TEMPERATURE: _temperature,
    Did.COUNTED: lambda raw: {"pieces": whole_of(raw.get("pieces"), 0, 10_000, _("A count is a whole number."))},
    Did.SEEN: lambda raw: {"what": _one_of(raw, "what", SEEN)},
    Did.PHOTOGRAPH: lambda raw: {"caption": _text(raw, "caption", 200, least=0)},
    Did.RECEIVER: lambda raw: {"name": _text(raw, "name", 200)},
    Did.NOTE: lambda raw: {"text": _text(raw, "text", LONGEST)},
    Did.SIGNED: _signed,
}


def mark_of_version(version: Version) -> str:
    """Return the SHA-256 of a version's dossier, as it was kept."""
    return sha256(zlib.decompress(version.dossier)).hexdigest()


def take(door: Door, commission: Commission, raws: Sequence[Any]) -> list[Outcome]:
    """Keep what a tablet sends: each entry once, the earliest first; one sent again is answered as had."""
    now = timezone.now()
    read_ones, outcomes = read_all(raws, lambda raw: read(raw, commission.head, now))
    with transaction.atomic():
        # One tablet after another: what is compared below stays as it was until this is written.
        Commission.objects.select_for_update().get(pk=commission.pk)
        for place, sent in read_ones:
            outcomes[place] = _take_one(door, commission, sent)
    return [outcomes[place] for place in sorted(outcomes)]


def _take_one(door: Door, commission: Commission, sent: Sent) -> Outcome:
    old = SetUpEntry.objects.filter(pk=sent.key).first()
    mine = old is not None and old.commission_id == commission.pk
    taken = SetUpEntry.objects.filter(commission=commission, device=sent.device, order=sent.order).exists()
    stop = fate_before(sent, had=mine, elsewhere=old is not None, taken=taken)
    if stop is not None:
        return stop
    version = door.version(commission, sent.version)
    value = dict(sent.value)
    if sent.what is Did.SIGNED:
        # What was signed stands with the signature, word for word, as that version says it.
        value["says"] = list(dossier_of(version).handover.taken_over)
    entry = SetUpEntry.objects.create(
        key=sent.key,
        commission=commission,
        version=sent.version,
        mark=mark_of_version(version),
        what=sent.what.value,
        value=value,
        device=sent.device,
        order=sent.order,
        done_at=sent.done_at,
        user=door.user,
    )
    if sent.picture is not None:
        picture = sent.picture
        Photograph.objects.create(
            entry=entry, jpeg=picture.jpeg, width=picture.width, height=picture.height, digest=picture.digest
        )
    if sent.what is Did.SIGNED:
        door.note("set-up signed", f"{value['name']}, version {sent.version}, {entry.mark[:12]}", commission)
    return Outcome(key=str(sent.key), fate=Fate.KEPT)


def said(entry: SetUpEntry, pieces: int) -> str:
    """Return an entry in words; ``pieces`` is how many the dossier counts."""
    value = entry.value
    match Did(entry.what):
        case Did.ARRIVED:
            return _("Arrived at the venue")
        case Did.SET_UP:
            return _("Set up")
        case Did.TEMPERATURE:
            where = {"middle": _("middle of the cake"), "coat": _("under the coat"), "air": _("air beside it")}
            return _("%(where)s: %(number)g °%(unit)s") % {
                "where": where[value["where"]], "number": value["number"], "unit": value["unit"]
            }  # fmt: skip
        case Did.COUNTED:
            words = ngettext(
                "%(count)d piece shown that is not food", "%(count)d pieces shown that are not food", value["pieces"]
            ) % {"count": value["pieces"]}
            short = _("the dossier counts %(pieces)d") % {"pieces": pieces}
            return words if value["pieces"] == pieces else f"{words}; {short}"
        case Did.SEEN:
            return {
                "level": _("Seen together: on the board, and level"),
                "coat": _("Seen together: coat whole on every side"),
                "decoration": _("Seen together: decoration in its place"),
                "cards": _("Handed over: allergen card and keeping card"),
            }[value["what"]]
        case Did.PHOTOGRAPH:
            return _("Photograph") + (f": {value['caption']}" if value["caption"] else "")
        case Did.RECEIVER:
            return _("Taken over by %(name)s") % {"name": value["name"]}
        case Did.NOTE:
            return _("Noted: %(text)s") % {"text": value["text"]}
        case Did.SIGNED:
            way = _("by typed name") if value["typed"] else _("by hand")
            return _("Signed by %(name)s, %(way)s") % {"name": value["name"], "way": way}
