"""Beginning, doing, watching and stopping long work.

The queue (django-q2 over the database) delivers at least once: what it lost with a worker comes again. A row of
``Job`` makes of this that the work is finished once: only who has taken the row up may finish it.
"""

from __future__ import annotations

import hashlib
import json
import logging
import os
import socket
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from time import monotonic
from typing import Any, Final

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django_q.exceptions import TimeoutException
from django_q.tasks import async_task

from tierwright.errors import TierwrightError
from tierwright.web.access import language_of
from tierwright.web.jobs.kinds import kind_of
from tierwright.web.jobs.models import ENDED, Job, State
from tierwright.web.models import Kitchen

log = logging.getLogger(__name__)

MOST_TRIES: Final = 3
"""Work that has taken down its worker this often is not tried again."""

KEPT: Final = timedelta(days=30)
"""How long work that has ended is kept. Chosen by us."""

EVERY_S: Final = 0.4
"""Least time between two notes of progress; a search reports far more often than anybody looks. [s]"""


def key_for(asked: object) -> str:
    """Return a key for a question: the same JSON gives the same key."""
    return hashlib.sha256(json.dumps(asked, sort_keys=True, default=str).encode()).hexdigest()


def begin(
    kitchen: Kitchen, kind: str, asked: Mapping[str, Any], *, key: str = "", user: User | None = None,
    again: bool = False,
) -> Job:  # fmt: skip
    """
    Ask for a piece of work.

    Parameters
    ----------
    kitchen
        Whose it is.
    kind
        Key of a kind that has been hung up.
    asked
        The input, as JSON holds it.
    key
        What tells this question from others of its kind; worked out from ``asked`` if left out.
    user
        Who asks.
    again
        Do it anew even where the same question has been answered.

    Returns
    -------
    job
        New, or the one that was begun for the same question before: under way, or done with its result. One that
        failed or was stopped is begun again.
    """
    kind_of(kind)
    with transaction.atomic():
        job, made = Job.objects.select_for_update().get_or_create(
            kitchen=kitchen, kind=kind, key=key or key_for(asked), defaults={"asked": dict(asked), "begun_by": user}
        )
        if not made:
            if job.state in (State.WAITING, State.RUNNING) or (job.state == State.DONE and not again):
                return look(job)
            job.asked, job.begun_by, job.state = dict(asked), user, State.WAITING
            job.progress, job.result, job.error = {}, None, ""
            job.asked_to_stop, job.worker, job.tries = False, "", 0
            job.started_at = job.ended_at = None
            job.save()
        _enqueue(job.pk)
    return job


def stop(job: Job) -> None:
    """Ask work to stop; it ends with the best it has at its next breath, and at once if it has not begun."""
    now = timezone.now()
    waiting = Job.objects.filter(pk=job.pk, state=State.WAITING)
    if not waiting.update(state=State.STOPPED, asked_to_stop=True, ended_at=now):
        Job.objects.filter(pk=job.pk, state=State.RUNNING).update(asked_to_stop=True)
    job.refresh_from_db()


def look(job: Job) -> Job:
    """Return work as it stands, set going again if its worker is gone."""
    if job.state == State.RUNNING and _lost(job) and _let_go(job):
        job.refresh_from_db()
    return job


@dataclass(slots=True, kw_only=True)
class Work:
    """
    A piece of work in the hands of a worker.

    Attributes
    ----------
    job
        As it was taken up.
    stopping
        Whether somebody has asked it to stop, as last looked.
    """

    job: Job
    stopping: bool = False
    _noted_at: float = field(default=-1e9)

    @property
    def asked(self) -> dict[str, Any]:
        """The input."""
        asked: dict[str, Any] = self.job.asked
        return asked

    def report(self, *, done: float = 0.0, of: float = 0.0, words: str = "", at_once: bool = False) -> bool:
        """
        Note how far the work is.

        Parameters
        ----------
        done, of
            So much of so much; 0 of 0 where nobody can tell. [-]
        words
            What is known so far, for a person.
        at_once
            Note it even just after the last note.

        Returns
        -------
        stopping
            Whether to stop and hand back the best there is.
        """
        now = monotonic()
        if not at_once and now - self._noted_at < EVERY_S:
            return self.stopping
        self._noted_at = now
        _mine(self.job).update(progress={"done": done, "of": of, "words": words})
        # Somebody else's by now, or gone: there is nothing to go on for.
        found = _mine(self.job).values_list("asked_to_stop", flat=True).first()
        self.stopping = found is None or bool(found)
        return self.stopping


def run(pk: int) -> None:
    """Do a piece of work, unless it is done or somebody else has it; what the queue calls."""
    job = _take_up(pk)
    if job is None:
        return
    # What it says on the way, and why it could not be done, is read in the kitchen.
    with translation.override(language_of(job.kitchen)):
        _do(job)


def _do(job: Job) -> None:
    work = Work(job=job, stopping=job.asked_to_stop)
    try:
        result = kind_of(job.kind).run(work)
    except TimeoutException:
        minutes = settings.LONGEST_WORK_S // 60
        _end(
            job,
            State.FAILED,
            error=_("It took longer than the %(minutes)s min that it is given.") % {"minutes": minutes},
        )
        raise
    except TierwrightError as error:
        _end(job, State.FAILED, error=str(error))
    except Exception:
        log.exception("%s broke off", job)
        _end(job, State.FAILED, error=_("Something went wrong inside the program; its log says what."))
    else:
        _end(job, State.STOPPED if work.stopping else State.DONE, result=result)


def pick_up_lost(**_signal: object) -> None:
    """Set work going again whose worker on this machine is gone, or whose time is over anyway."""
    for job in Job.objects.filter(state=State.RUNNING):
        if _lost(job):
            _let_go(job)


def pick_up_waiting() -> None:
    """Queue everything that waits once more: another queue may have taken its tasks along when it died."""
    for pk in Job.objects.filter(state=State.WAITING).values_list("pk", flat=True):
        _enqueue(pk)


def thin_out(now: datetime) -> int:
    """Forget work that ended long ago, whose answer nobody asks for any more; return how much that was."""
    count, _rows = Job.objects.filter(state__in=ENDED, ended_at__lt=now - KEPT).delete()
    return count


def idly_waiting() -> frozenset[int]:
    """Return what waits while no worker of this machine has anything in hand; empty while one is at work."""
    here = f"{socket.gethostname()}:"
    if Job.objects.filter(state=State.RUNNING, worker__startswith=here).exists():
        return frozenset()
    return frozenset(Job.objects.filter(state=State.WAITING).values_list("pk", flat=True))


def _enqueue(pk: int) -> None:
    async_task("tierwright.web.jobs.running.run", pk)


def _me() -> str:
    return f"{socket.gethostname()}:{os.getpid()}"


def _mine(job: Job) -> Any:
    return Job.objects.filter(pk=job.pk, state=State.RUNNING, worker=job.worker, tries=job.tries)


def _take_up(pk: int) -> Job | None:
    me = _me()
    with transaction.atomic():
        job = Job.objects.select_for_update().filter(pk=pk).first()
        if job is None or job.ended or (job.state == State.RUNNING and not _lost(job)):
            return None
        if job.tries >= MOST_TRIES:
            error = _("It broke off %(count)s times, so it is not tried again.") % {"count": job.tries}
            Job.objects.filter(pk=pk).update(state=State.FAILED, error=error, ended_at=timezone.now())
            return None
        Job.objects.filter(pk=pk).update(
            state=State.RUNNING, worker=me, tries=F("tries") + 1, started_at=timezone.now(), progress={}
        )
        job.refresh_from_db()
    return job


def _end(job: Job, state: State, *, result: dict[str, Any] | None = None, error: str = "") -> None:
    _mine(job).update(state=state, result=result, error=error, ended_at=timezone.now())


def _lost(job: Job) -> bool:
    """Say whether whoever took work up cannot be at it any more."""
    if job.started_at is None:
        return True
    # The queue ends every worker that takes longer than the timeout, on whatever machine.
    if timezone.now() - job.started_at > timedelta(seconds=settings.LONGEST_WORK_S + 10):
        return True
    host, _colon, number = job.worker.rpartition(":")
    return host == socket.gethostname() and not _alive(int(number))


def _alive(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _let_go(job: Job) -> bool:
    """Give lost work back to the queue; whether it was still this one's to give."""
    with transaction.atomic():
        given = _mine(job).update(state=State.WAITING, worker="")
        if given:
            _enqueue(job.pk)
    return bool(given)
