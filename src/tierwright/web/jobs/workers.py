"""The processes that do long work: beside the pages on one machine, or by themselves for a team."""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from time import sleep
from typing import Final

GRACE_S: Final = 3.0
"""How long a worker may take to end; work that is cut off is taken up again at the next start. [s]"""


STALLED_S = 60.0
"""How long work may wait while none is under way before the workers begin afresh. [s]"""

log = logging.getLogger(__name__)


def work() -> None:
    """
    Do long work until told to end (SIGTERM or Ctrl+C). Settings are read and the database is up to date.

    A worker that is killed while it reads from the queue takes the queue's lock along, and no other worker gets
    anything from it any more. Whenever work waits and none is under way, the workers therefore begin afresh.
    """
    _lead_a_group()
    while _blocked():
        log.warning("The queue of long work was blocked; its workers begin afresh.")


def _blocked() -> bool:
    """Do long work until it ends or is blocked; return whether it was."""
    from django.db import connections
    from django.utils import timezone
    from django_q.cluster import Cluster

    from tierwright.web.jobs.running import idly_waiting, pick_up_lost, pick_up_waiting, thin_out

    pick_up_lost()
    pick_up_waiting()
    thin_out(timezone.now())
    # A database connection does not live on in the processes that are split off from here.
    connections.close_all()
    cluster = Cluster()
    ending = threading.Event()

    def end(_number: int, _frame: object) -> None:
        if ending.is_set():
            return
        ending.set()
        # Work under way is not waited for: what is cut off is taken up again at the next start.
        cut_off = threading.Timer(GRACE_S, _end_split_off)
        cut_off.daemon = True
        cut_off.start()
        cluster.stop()
        cut_off.cancel()

    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, end)
    cluster.start()
    sentinel = cluster.sentinel
    before: frozenset[int] = frozenset()
    while sentinel is not None and sentinel.is_alive():
        sentinel.join(STALLED_S)
        if ending.is_set() or not sentinel.is_alive():
            break
        now = idly_waiting()
        thin_out(timezone.now())
        connections.close_all()
        if before & now and _leads_a_group():
            ending.set()  # the signal to the group reaches this process as well
            _end_split_off()
            sentinel.join()
            return True
        before = now
    return False


def _leads_a_group() -> bool:
    return hasattr(os, "killpg") and os.getpgrp() == os.getpid()


def _lead_a_group() -> None:
    """Have a process group of one's own, so that it can be ended whole; at a terminal the shell has seen to that."""
    if hasattr(os, "setpgid") and not _leads_a_group() and not os.isatty(0):
        os.setpgid(0, 0)


def _end_split_off() -> None:
    """End all processes that were split off from here: none of them minds the signal, and this one passes over it."""
    if _leads_a_group():
        os.killpg(os.getpid(), signal.SIGTERM)


@contextmanager
def beside() -> Iterator[None]:
    """Have a process of workers beside this one for as long as the block lasts, and no longer."""
    from django.conf import settings

    if not settings.WORKERS:
        yield
        return
    # It ends by itself when its input closes, so it does not outlive this process however that ends.
    child = subprocess.Popen(
        [sys.executable, "-m", "tierwright.web.jobs.workers"], stdin=subprocess.PIPE, start_new_session=True
    )
    try:
        yield
    finally:
        assert child.stdin is not None
        child.stdin.close()
        try:
            child.wait(GRACE_S + 2.0)
        except subprocess.TimeoutExpired:
            _end_group(child.pid)
            child.wait()


def _end_group(leader: int) -> None:
    with suppress(ProcessLookupError):
        if hasattr(os, "killpg"):
            os.killpg(leader, signal.SIGKILL)
        else:
            os.kill(leader, signal.SIGTERM)


def _end_with_input() -> None:
    # Not by sys.stdin: its lock would be held while processes are split off, and each of those closes its own copy.
    while os.read(0, 4096):
        pass
    os.kill(os.getpid(), signal.SIGTERM)
    sleep(GRACE_S + 1.0)
    _end_group(os.getpid())


def _beside_the_pages() -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tierwright.web.settings")
    django.setup()
    threading.Thread(target=_end_with_input, daemon=True).start()
    work()


if __name__ == "__main__":
    _beside_the_pages()
