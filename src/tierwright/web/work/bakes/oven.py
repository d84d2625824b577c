"""Your own oven: what was seen of it, what that makes of it, and what it moves before it is kept."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from tierwright.bake import Evidence, OvenCalibration
from tierwright.errors import BadInput, Problem, TierwrightError
from tierwright.web.access import Door, owner
from tierwright.web.bench.entries import Done
from tierwright.web.dates import day_words
from tierwright.web.frame.change import Overtaken, Tried, keep, work_through
from tierwright.web.frame.changing import visible
from tierwright.web.frame.desk import Desk, lay_out
from tierwright.web.frame.moved import outcome
from tierwright.web.frame.reading import page
from tierwright.web.models import BenchEntry, Kitchen, OvenEvidence
from tierwright.web.work.bakes.learning import (
    KINDS,
    as_kept,
    as_written,
    difference,
    learn,
    mode_of,
    oven_of,
    pan_bake,
    raw_oven,
    read_piece,
    with_oven,
)

FIELDS = ("pan", "dial", "done", "apart", "mean", "unit", "height", "called", "log")
LONGEST = 200_000


def seen_of(desk: Desk) -> list[OvenEvidence]:
    """Return everything on record of the oven that the commission bakes in, taken back or not, oldest first."""
    oven = oven_of(desk.dossier)
    return list(OvenEvidence.objects.filter(kitchen=desk.door.kitchen, oven=oven.name, mode=mode_of(oven).value))


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def own_oven(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show what is known of the oven; take one more thing that was seen; take one back; show what would move."""
    desk = lay_out(door, commission)
    do = request.POST.get("do", "")
    if request.method == "POST" and do in ("take-back", "bring-back"):
        return _turn(desk, do, request.POST.get("evidence", ""))
    if request.method != "POST":
        return _page(request, desk, {}, "done")
    kind = request.POST.get("kind", "")
    if kind not in KINDS:
        raise Http404
    typed = {name: request.POST.get(name, "")[:LONGEST] for name in FIELDS}
    try:
        piece = _read(request, desk, kind, typed)
        counted = _counted(desk)
        before = _before(desk, counted)
        found = learn(oven_of(desk.dossier), before, counted, (piece,))
        said = as_written(found, before)
        kitchen = with_oven(desk.version.kitchen, found.oven, said)
    except BadInput as bad:
        return _page(request, desk, typed, kind, problems=bad.problems)
    except TierwrightError as error:
        return _page(request, desk, typed, kind, problems=(Problem(place="", found="", expected=str(error)),))
    tried = work_through(desk.raw, kitchen, set())
    if do == "keep" and tried.dossier is not None:
        words = _("%(oven)s: %(key)s") % {"oven": found.oven, "key": piece.key}
        try:
            _keep(desk, tried, kitchen, said, words[:400], piece)
        except Overtaken:
            desk = lay_out(door, commission)
            tried = work_through(desk.raw, with_oven(desk.version.kitchen, found.oven, said), set())
        else:
            messages.success(request, _("Kept: %(words)s.") % {"words": words})
            return HttpResponseRedirect(desk.url("own-oven"))
    return _page(request, desk, typed, kind, found=found, tried=tried, key=piece.key)


def timed_at_the_bench(desk: Desk, seen: list[OvenEvidence]) -> list[dict[str, str]]:
    """Return the pans whose minutes in the oven were entered at the bench, each once, as the form would have them."""
    entries = BenchEntry.objects.filter(
        commission=desk.commission, what=Done.MINUTES.value, step__startswith="load.", step__contains=".out."
    )
    taken = {row.key for row in seen}
    found: dict[str, dict[str, str]] = {}
    for entry in entries:
        job, _dot, number = entry.step.partition(".out.")[2].rpartition(".")
        one = pan_bake(desk.dossier, job)
        minutes = entry.value.get("min")
        if one is None or not isinstance(minutes, int | float) or minutes <= 0:
            continue
        day = day_words(timezone.localtime(entry.done_at), "j M Y, H:i")
        called = _("%(use)s, layer %(number)s, %(day)s") % {
            "use": desk.words.uses.get(job, job), "number": number, "day": day,
        }  # fmt: skip
        dial = desk.words.display.show_temperature(one.dial_c)
        # Entered again at the same step, the later one is what was meant.
        found[entry.step] = {"pan": job, "dial": dial, "done": f"{minutes:g} min", "called": called}
    return [one for one in found.values() if one["called"] not in taken]


def _counted(desk: Desk) -> list[OvenEvidence]:
    return [row for row in seen_of(desk) if row.taken_back_at is None]


def _before(desk: Desk, counted: list[OvenEvidence]) -> dict[str, Any]:
    """Return what the kitchen said of the oven before anything was learnt."""
    return dict(counted[0].before) if counted else raw_oven(desk.door.kitchen.data, oven_of(desk.dossier).name)


def _read(request: HttpRequest, desk: Desk, kind: str, typed: dict[str, str]) -> Evidence:
    file = request.FILES.get("file")
    if file is not None and not isinstance(file, list) and (file.size or 0) <= LONGEST:
        # Kept in the form, so that it is there to be kept after it was looked at.
        typed["log"] = file.read().decode("utf-8", "replace")
    wanted = typed["called"].strip()[:160] or _name(desk, kind, typed["pan"])
    taken = {row.key for row in seen_of(desk)}
    key, count = wanted, 1
    while key in taken:
        count += 1
        key = f"{wanted} ({count})"
    return read_piece(desk.dossier, kind, typed, typed["log"], key)


def _name(desk: Desk, kind: str, job: str) -> str:
    today = day_words(timezone.localdate(), "j M Y")
    if kind == "thermometer":
        return _("thermometer, %(day)s") % {"day": today}
    return f"{desk.words.uses.get(job, job)}, {today}"


def _keep(
    desk: Desk, tried: Tried, kitchen: dict[str, Any], said: dict[str, Any], words: str, piece: Evidence | None
) -> None:
    """Keep the kitchen, the version that follows from it, and the piece of evidence, all or nothing."""
    oven, door = oven_of(desk.dossier), desk.door
    with transaction.atomic():
        row = Kitchen.objects.select_for_update().get(pk=door.kitchen.pk)
        if piece is not None:
            first = OvenEvidence.objects.filter(
                kitchen=row, oven=oven.name, mode=mode_of(oven).value, taken_back_at=None
            ).first()
            OvenEvidence.objects.create(
                kitchen=row,
                commission=desk.commission,
                oven=oven.name,
                mode=mode_of(oven).value,
                key=piece.key,
                evidence=as_kept(piece),
                before=first.before if first else raw_oven(row.data, oven.name),
                made_by=door.user,
            )
        keep(door, desk.commission, desk.version.number, tried, kitchen, words)
        row.data = with_oven(row.data, oven.name, said)
        row.save(update_fields=["data"])
        door.note("oven learnt", words, desk.commission)


def _turn(desk: Desk, do: str, wanted: str) -> HttpResponse:
    """Take one piece of evidence back, or count it again, and learn anew from what is left."""
    rows = seen_of(desk)
    row = next((one for one in rows if str(one.pk) == wanted), None)
    if row is None:
        raise Http404
    oven = oven_of(desk.dossier)
    if (row.taken_back_at is None) != (do == "take-back"):
        return HttpResponseRedirect(desk.url("own-oven"))
    row.taken_back_at = timezone.now() if do == "take-back" else None
    counted = [one for one in rows if one.taken_back_at is None]
    said = as_written(learn(oven, row.before, counted), row.before) if counted else dict(row.before)
    kitchen = with_oven(desk.version.kitchen, oven.name, said)
    tried = work_through(desk.raw, kitchen, set())
    text = _("%(oven)s: without %(key)s") if do == "take-back" else _("%(oven)s: with %(key)s again")
    words = (text % {"oven": oven.name, "key": row.key})[:400]
    if tried.dossier is None:
        return HttpResponseRedirect(desk.url("own-oven") + "?again=yes")
    try:
        with transaction.atomic():
            row.save(update_fields=["taken_back_at"])
            _keep(desk, tried, kitchen, said, words, None)
    except Overtaken:
        return HttpResponseRedirect(desk.url("own-oven") + "?again=yes")
    return HttpResponseRedirect(desk.url("own-oven"))


def _page(
    request: HttpRequest,
    desk: Desk,
    typed: dict[str, str],
    kind: str,
    *,
    problems: tuple[Problem, ...] = (),
    found: OvenCalibration | None = None,
    tried: Tried | None = None,
    key: str = "",
) -> HttpResponse:
    oven, rows = oven_of(desk.dossier), seen_of(desk)
    counted = [row for row in rows if row.taken_back_at is None]
    now = learn(oven, counted[0].before, counted) if counted else None
    verdicts = {verdict.key: verdict for verdict in now.verdicts} if now else {}
    first = desk.dossier.bakes.pans[0] if desk.dossier.bakes.pans else None
    chosen = pan_bake(desk.dossier, typed.get("pan", "")) or first
    display = desk.words.display
    context: dict[str, Any] = {
        "oven": oven,
        "known": _known(now, desk) if now else None,
        "seen": [{"row": row, "verdict": verdicts.get(row.key)} for row in reversed(rows)],
        "pans": [(job, desk.words.uses.get(job, job)) for one in desk.dossier.bakes.pans for job in one.jobs],
        "typed": {"dial": display.show_temperature(chosen.dial_c) if chosen else "", "height": "50 %"} | typed,
        "kind": kind,
        "timed": timed_at_the_bench(desk, rows),
        "wrong": [(problem.place, _said(problem)) for problem in problems],
        "again": request.GET.get("again") == "yes",
        "found": _known(found, desk) if found else None,
        "verdict": next((one for one in found.verdicts if one.key == key), None) if found else None,
        "beyond": tried.beyond if tried else (),
        "outcome": outcome(desk.dossier, tried.dossier, visible(desk)) if tried and tried.dossier else None,
    }
    answer = page(request, desk, "work/bakes/oven.html", "bakes", **context)
    if problems or (tried is not None and tried.dossier is None):
        answer.status_code = 422
    return answer


def _said(problem: Problem) -> str:
    if not problem.found:
        return problem.expected
    return _("Found %(found)s; expected %(expected)s.") % {"found": problem.found[:80], "expected": problem.expected}


def _known(found: OvenCalibration, desk: Desk) -> dict[str, Any]:
    unit = desk.words.display.temperature
    percent = 100 * (found.factor - 1)
    if abs(percent) < 0.5:
        heat = _("as much as the usual oven")
    elif percent > 0:
        heat = _("%(percent).0f %% more than the usual oven") % {"percent": percent}
    else:
        heat = _("%(percent).0f %% less than the usual oven") % {"percent": -percent}
    return {
        "heat": heat,
        "give": f"{100 * found.factor_sd:.0f} %",
        "offset": difference(found.offset_c, unit),
        "offset_give": difference(found.offset_sd_c, unit).lstrip("+"),
        "bakes": found.bakes,
        "questions": found.notes.questions,
    }
