"""
Changes tried out in processes of their own, so that nobody's page waits for somebody else's sums.

One interpreter does one thing at a time: a page that takes 10 ms would wait for a change that takes half a second.
"""

from __future__ import annotations

import gc
import io
import os
import re
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from itertools import count
from multiprocessing import get_context, parent_process
from typing import Any, Final

from tierwright.web.whole import whole

APART: Final = re.compile(r"/k/[0-9]{1,18}/c/([0-9]{1,18})/(?:sheet/.+|kitchen)/")
"""What is answered apart when it is posted: the forms of a commission's sheets, each of which works the cake through.

Each of them names the version that it was made from, so one that is answered twice is kept once.
"""
KEPT: Final = b"do=keep"
"""In a body that keeps what was tried out just before."""
DROPPED: Final = b"do=drop"
"""In a body that works nothing through: a change that is dropped."""
LONGEST_BODY: Final = 1_000_000
"""Longer bodies, such as files brought in, are not handed over. [bytes]"""
NICE: Final = 5
"""How far a process that tries changes out stands back behind the pages."""

SWEPT_EVERY: Final = 1000
"""Answers after which a process looks through all that it holds for what only holds itself. [-]"""

Environ = dict[str, Any]
Head = tuple[str, list[tuple[str, str]]]
StartResponse = Callable[..., Any]
Application = Callable[[Environ, StartResponse], Iterable[bytes]]


class Apart:
    """
    A WSGI application that has changes to commissions tried out in other processes, and answers all else itself.

    A commission goes to the same process as before, which remembers what it measured of that cake, unless that one is
    busy and another has nothing to do. A process that is lost is replaced, and what it was asked is answered here.

    Parameters
    ----------
    application
        The application, as this process has it.
    processes
        How many processes try changes out; at least one. [-]
    at_once
        How many answers this process itself works at: more would only wait for one another. [-]
    """

    def __init__(self, application: Application, processes: int, at_once: int) -> None:
        self._application = _Swept(application)
        # Threads of their own, and not the server's, so that no more than these hold a connection to the database.
        self._here = ThreadPoolExecutor(at_once, "answering")
        self._lock = threading.Lock()
        self._lanes = [_lane() for _ in range(processes)]
        self._under_way = [0] * processes
        self._last: dict[int, int] = {}

    def __call__(self, environ: Environ, start_response: StartResponse) -> Iterable[bytes]:
        """Answer a request."""
        found = APART.fullmatch(environ.get("PATH_INFO", "")) if environ.get("REQUEST_METHOD") == "POST" else None
        length = whole(environ.get("CONTENT_LENGTH") or "0")
        if found is None or length is None or length > LONGEST_BODY:
            return self._answered_here(environ, start_response)
        body = environ["wsgi.input"].read(length)
        if DROPPED in body:
            return self._answered_here(environ | {"wsgi.input": io.BytesIO(body)}, start_response)
        plain = {key: value for key, value in environ.items() if isinstance(value, str)}
        number, lane = self._taken(int(found[1]), keeps=KEPT in body)
        try:
            asked: Future[tuple[Head, bytes]] = lane.submit(_answer, plain, body)
            (status, headers), answered = asked.result()
        except BrokenExecutor:
            self._replace(number, lane)
            return self._answered_here(environ | {"wsgi.input": io.BytesIO(body)}, start_response)
        finally:
            with self._lock:
                self._under_way[number] -= 1
        start_response(status, headers)
        return [answered]

    def _answered_here(self, environ: Environ, start_response: StartResponse) -> Iterable[bytes]:
        # The server takes pieces of the answer one by one; nearly all of the work is done before the first of them.
        return self._here.submit(self._application, environ, start_response).result()

    def _taken(self, commission: int, *, keeps: bool) -> tuple[int, ProcessPoolExecutor]:
        """Take a process for a commission; what is kept has just been tried out, and is known where that was."""
        with self._lock:
            number = self._last.get(commission, commission % len(self._lanes))
            if not keeps and self._under_way[number] and 0 in self._under_way:
                number = self._under_way.index(0)
            self._last[commission] = number
            self._under_way[number] += 1
            return number, self._lanes[number]

    def _replace(self, number: int, lost: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._lanes[number] is lost:
                self._lanes[number] = _lane()
        lost.shutdown(wait=False)

    def close(self) -> None:
        """End the processes; what they are at is finished first."""
        for lane in self._lanes:
            lane.shutdown(cancel_futures=True)
        self._here.shutdown()


@contextmanager
def trying_apart(application: Application, processes: int, at_once: int) -> Iterator[Application]:
    """Have an application's changes tried out in so many processes for as long as the block lasts; with 0, here."""
    if not processes:
        yield application
        return
    apart = Apart(application, processes, at_once)
    try:
        yield apart
    finally:
        apart.close()


def _lane() -> ProcessPoolExecutor:
    # A process that is split off would take along the threads' locks as they happen to stand.
    lane = ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn"), initializer=_begin)
    # Started now and not when somebody waits for it.
    lane.submit(os.getpid)
    return lane


class _Swept:
    """
    An application in whose answers the interpreter does not look through all that it holds.

    What a process remembers between answers is most of its memory, and looking through it takes a third of a second:
    that is set aside, and looked through only now and then, after an answer.
    """

    def __init__(self, application: Application) -> None:
        self._application = application
        self._answers = count(1)
        self._through()

    def __call__(self, environ: Environ, start_response: StartResponse) -> Iterable[bytes]:
        """Answer, then set aside what is held."""
        answer = self._application(environ, start_response)
        if next(self._answers) % SWEPT_EVERY == 0:
            self._through()
        else:
            gc.freeze()
        return answer

    @staticmethod
    def _through() -> None:
        gc.unfreeze()
        gc.collect()
        gc.freeze()


_APPLICATION: list[Application] = []


def _begin() -> None:
    """Make this process ready to answer, and have it end with the one that asks."""
    threading.Thread(target=_end_with_parent, daemon=True).start()
    # Ctrl+C at the terminal reaches every process there; this one ends after the one that asks.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(AttributeError, OSError):
        os.nice(NICE)
    from tierwright.keeping import warm_up
    from tierwright.web.wsgi import application

    warm_up()
    _APPLICATION.append(_Swept(application))


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(0)


def _answer(plain: dict[str, str], body: bytes) -> tuple[Head, bytes]:
    """Answer one request in this process."""
    environ: Environ = plain | {
        "wsgi.input": io.BytesIO(body),
        "wsgi.errors": sys.stderr,
        "wsgi.version": (1, 0),
        "wsgi.multithread": False,
        "wsgi.multiprocess": True,
        "wsgi.run_once": False,
    }
    heads: list[Head] = []

    def start(status: str, headers: list[tuple[str, str]], _error: Any = None) -> Callable[[bytes], None]:
        heads.append((status, headers))
        return lambda _piece: None

    answer = _APPLICATION[0](environ, start)
    try:
        whole = b"".join(answer)
    finally:
        close = getattr(answer, "close", None)
        if close is not None:
            close()
    return heads[-1], whole
