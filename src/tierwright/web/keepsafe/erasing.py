"""Erasing a person for good, on request: wherever their name, how they are reached or what they said of health stands.

What the law asks a business to keep stays as it was: the ledger, and offers with their acceptance, which are sealed; so
does what was signed when the cake was handed over. Everything else is rewritten in one transaction. Copies taken before
still hold it until they are thinned out.
"""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tierwright.brief import parse_commission
from tierwright.dossier import from_json
from tierwright.errors import BadInput
from tierwright.web.frame.desk import DOSSIERS
from tierwright.web.jobs.models import Job
from tierwright.web.models import Audit, Client, Commission, Draft, Version
from tierwright.web.plans.models import HeldTask, KeptWeek
from tierwright.web.prints.models import PrintedPaper, PrintedSheets
from tierwright.week import from_json as plan_from_json

GONE: Final = "…"
PERSONAL: Final = (
    ("client",),
    ("venue", "contact"),
    ("venue", "file", "receiver"),
    ("venue", "file", "cutter"),
    ("venue", "file", "contacts", "*", "name"),
    ("venue", "file", "contacts", "*", "phone"),
    ("handing_over", "collector"),
    ("handing_over", "vehicle"),
    ("diets", "*", "note"),
    ("allergies", "*", "note"),
    ("decor", "lettering", "*", "text"),
)
"""Where a brief speaks of people; the title is given anew."""
SHORTEST: Final = 3
"""A shorter text is erased where it stands and not looked for elsewhere: it would be found in half the words."""


def erase_person(client: Client) -> int:
    """
    Erase a client from the book and from every commission of theirs.

    Returns
    -------
    commissions
        How many commissions were rewritten.
    """
    with transaction.atomic():
        commissions = list(client.commissions.select_for_update())
        for commission in commissions:
            erase_commission(commission, _told(client))
        client.name = _("erased %(day)s") % {"day": timezone.localdate().isoformat()}
        client.contact = client.health = client.note = ""
        client.health_erased_at = client.put_away_at = timezone.now()
        client.save()
    return len(commissions)


def _told(client: Client) -> set[str]:
    lines = [client.name, *client.contact.splitlines(), *client.health.splitlines(), *client.note.splitlines()]
    return {line.strip() for line in lines if len(line.strip()) >= SHORTEST}


def erase_commission(commission: Commission, told: set[str]) -> None:
    """Rewrite a commission without the people in it: every version, draft, question and line of the audit."""
    title = _("Commission of %(day)s") % {"day": commission.cutting_at.date().isoformat()}
    texts = set(told) | {commission.title}
    for version in commission.versions.only("brief").iterator(chunk_size=20):
        texts |= set(_texts_in(version.brief))
    replace = {text: title if text == commission.title else GONE for text in texts if len(text) >= SHORTEST}
    for version in commission.versions.iterator(chunk_size=5):
        # A version is never changed but for this: the rule of the model is passed by on purpose.
        Version.objects.filter(pk=version.pk).update(
            brief=_brief_without(version.brief, title, replace),
            dossier=_dossier_without(bytes(version.dossier), title, replace),
            words=_replaced(version.words, replace),
        )
    Draft.objects.filter(commission=commission).delete()
    commission.look_pictures.all().delete()
    PrintedSheets.objects.filter(version__commission=commission).delete()
    PrintedPaper.objects.filter(kitchen=commission.kitchen_id).delete()
    commission.client_questions.update(text=GONE, answer="")
    commission.client_links.filter(withdrawn_at=None).update(withdrawn_at=timezone.now())
    for entry in commission.bench_entries.exclude(value={}):
        value = _replaced(entry.value, replace)
        if value != entry.value:
            entry.value = value
            entry.save(update_fields=["value"])
    for line in Audit.objects.filter(commission=commission):
        words = _replaced(line.words, replace)
        if words != line.words:
            Audit.objects.filter(pk=line.pk).update(words=words[:400])
    _rewrite_weeks(commission, replace)
    commission.title = title
    commission.save(update_fields=["title"])
    transaction.on_commit(DOSSIERS.clear)


def _rewrite_weeks(commission: Commission, replace: dict[str, str]) -> None:
    """Rewrite what plans of weeks, tasks held in them, and long work of the kitchen say of a commission."""
    for week in KeptWeek.objects.filter(kitchen=commission.kitchen_id).iterator(chunk_size=5):
        if all(pk != commission.pk for pk, _number in week.whose):
            continue
        text = zlib.decompress(week.plan)
        without = _as_json(_replaced(json.loads(text), replace))
        try:
            plan_from_json(without)
        except ValueError:
            # A name that is a word of the program, as in a dossier: only the title is looked for.
            own = {commission.title: replace[commission.title]} if commission.title in replace else {}
            without = _as_json(_replaced(json.loads(text), own))
        KeptWeek.objects.filter(pk=week.pk).update(
            plan=zlib.compress(without, 6), moved=_replaced(week.moved, replace), safe=_replaced(week.safe, replace),
            words=_replaced(week.words, replace),
        )  # fmt: skip
    for held in HeldTask.objects.filter(kitchen=commission.kitchen_id):
        if (label := _replaced(held.label, replace)) != held.label:
            HeldTask.objects.filter(pk=held.pk).update(label=label[:400])
    for job in Job.objects.filter(kitchen=commission.kitchen_id).iterator(chunk_size=50):
        said = {name: getattr(job, name) for name in ("asked", "progress", "result", "error")}
        if (now := _replaced(said, replace)) != said:
            Job.objects.filter(pk=job.pk).update(**now)


def _brief_without(brief: dict[str, Any], title: str, replace: dict[str, str]) -> dict[str, Any]:
    plain = _without_people(brief, title)
    replaced: dict[str, Any] = _replaced(plain, replace)
    try:
        parse_commission(replaced, "commission")
    except BadInput:
        # Somebody is called what a word of the program is called; it is only gone where it was said of them.
        return plain
    return replaced


def _dossier_without(packed: bytes, title: str, replace: dict[str, str]) -> bytes:
    dossier = json.loads(zlib.decompress(packed))
    dossier["commission"] = _without_people(dossier["commission"], title)
    text = _as_json(_replaced(dossier, replace))
    try:
        from_json(text)
    except BadInput:
        text = _as_json(dossier)
    return zlib.compress(text, 6)


def _as_json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()


def _without_people(brief: dict[str, Any], title: str) -> dict[str, Any]:
    """Return a brief with nothing in the places that speak of people; what has to stand there says that it is gone."""
    out = json.loads(json.dumps(brief))
    for path in PERSONAL:
        for holder, key in _places(out, path):
            if holder[key]:
                holder[key] = GONE if path[-1] in ("name", "text") else ""
    out["title"] = title
    return dict(out)


def _texts_in(brief: dict[str, Any]) -> Iterator[str]:
    for path in PERSONAL:
        for holder, key in _places(brief, path):
            yield from (line.strip() for line in str(holder[key] or "").splitlines())


def _places(data: Any, path: tuple[str, ...]) -> Iterator[tuple[dict[str, Any], str]]:
    """Yield each place of a path that there is, as a mapping and a key of it."""
    if path[0] == "*":
        for part in data if isinstance(data, list) else ():
            yield from _places(part, path[1:])
    elif isinstance(data, dict) and path[0] in data:
        if len(path) == 1:
            yield data, path[0]
        else:
            yield from _places(data[path[0]], path[1:])


def _replaced(data: Any, replace: dict[str, str]) -> Any:
    """Return plain data with texts replaced wherever they stand in a string, the longest first; keys stay."""
    if isinstance(data, str):
        for text in sorted(replace, key=len, reverse=True):
            if text in data:
                # As a whole word only; doubled backslashes, for the new text is a pattern to ``re.sub``.
                data = re.sub(rf"(?<!\w){re.escape(text)}(?!\w)", replace[text].replace("\\", r"\\"), data)
        return data
    if isinstance(data, list):
        return [_replaced(part, replace) for part in data]
    if isinstance(data, dict):
        return {key: _replaced(value, replace) for key, value in data.items()}
    return data
