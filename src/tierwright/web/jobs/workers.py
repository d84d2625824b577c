"""The processes that do long work: beside the pages on one machine, or by themselves for a team."""

from __future__ import annotations

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


def work() -> None:
    """Do long work until told to end (SIGTERM or Ctrl+C). Settings are read and the database is up to date."""
    from django.db import connections
    from django_q.cluster import Cluster

    from tierwright.web.jobs.running import pick_up_lost, pick_up_waiting

    pick_up_lost()
    pick_up_waiting()
    # A database connection does not live on in the processes that are split off from here.
    connections.close_all()
    cluster = Cluster()
    cluster.start()
    if cluster.sentinel is not None:
        cluster.sentinel.join()


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
    sleep(GRACE_S)
    _end_group(os.getpid())


def _beside_the_pages() -> None:
    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tierwright.web.settings")
    django.setup()
    threading.Thread(target=_end_with_input, daemon=True).start()
    work()


if __name__ == "__main__":
    _beside_the_pages()
