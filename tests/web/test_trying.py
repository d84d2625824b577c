"""Changes are tried out in processes of their own, and are answered whatever becomes of those."""

from __future__ import annotations

import io
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from tierwright.web import trying

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "centenary"
PORT = 8691


class Lane:
    """Stands for a process: answers with what was asked of it, or is lost."""

    def __init__(self) -> None:
        self.asked: list[tuple[dict[str, str], bytes]] = []
        self.lost = False
        self.meanwhile: Callable[[], object] | None = None

    def submit(self, work: Callable[..., Any], *given: Any) -> Future[Any]:
        done: Future[Any] = Future()
        if work is trying._answer:
            if self.lost:
                raise BrokenProcessPool
            meanwhile, self.meanwhile = self.meanwhile, None
            if meanwhile is not None:
                meanwhile()
            self.asked.append(given)
            done.set_result((("200 OK", [("X-From", "apart")]), b"tried"))
        return done

    def shutdown(self, **_how: bool) -> None:
        self.lost = True


@pytest.fixture
def lanes(monkeypatch: pytest.MonkeyPatch) -> list[Lane]:
    made: list[Lane] = []

    def lane() -> Lane:
        made.append(Lane())
        return made[-1]

    monkeypatch.setattr(trying, "_lane", lane)
    return made


def asked(path: str, method: str = "POST", body: bytes = b"guests.invited=120") -> dict[str, Any]:
    return {
        "REQUEST_METHOD": method, "PATH_INFO": path, "CONTENT_LENGTH": str(len(body)), "wsgi.input": io.BytesIO(body),
        "wsgi.errors": sys.stderr, "REMOTE_ADDR": "192.0.2.7",
    }  # fmt: skip


def here(environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
    start("200 OK", [("X-From", "here")])
    return [b"here: " + environ["wsgi.input"].read()]


def said(application: trying.Application, environ: dict[str, Any]) -> tuple[str, bytes]:
    heads: list[Any] = []
    body = b"".join(application(environ, lambda *head: heads.append(head)))
    return dict(heads[0][1])["X-From"], body


CHANGE = "/k/3/c/8/sheet/tiers/change/guests/"


def test_a_change_is_handed_over_whole_and_nothing_else_is(lanes: list[Lane]) -> None:
    application = trying.Apart(here, 2, 4)
    assert said(application, asked(CHANGE)) == ("apart", b"tried")
    ((environ, body),) = lanes[0].asked
    assert body == b"guests.invited=120"
    assert environ["REMOTE_ADDR"] == "192.0.2.7"
    for other in (
        asked(CHANGE, "GET", b""),
        asked("/k/3/c/8/bench/entries/"),
        asked("/k/3/new/"),
        asked("/sign-in/"),
        asked(CHANGE, body=b"guests.invited=120&do=drop"),
        asked(CHANGE, body=b"a" * (trying.LONGEST_BODY + 1)),
        asked(CHANGE) | {"CONTENT_LENGTH": "many"},
        asked(CHANGE) | {"CONTENT_LENGTH": "9" * 5000},
        asked(f"/k/3/c/{'8' * 5000}/kitchen/"),
    ):
        kept = other["wsgi.input"].getvalue()
        assert said(application, other) == ("here", b"here: " + kept)
    assert [len(lane.asked) for lane in lanes] == [1, 0]


def test_a_commission_goes_to_the_same_process_while_that_is_free(lanes: list[Lane]) -> None:
    application = trying.Apart(here, 2, 4)
    for commission in (4, 7, 4, 9, 4):
        said(application, asked(f"/k/3/c/{commission}/kitchen/"))
    assert [len(lane.asked) for lane in lanes] == [3, 2]


def test_a_commission_goes_to_another_process_while_its_own_is_busy(lanes: list[Lane]) -> None:
    application = trying.Apart(here, 2, 4)
    url = "/k/3/c/4/kitchen/"
    lanes[0].meanwhile = lambda: said(application, asked(url))
    assert said(application, asked(url)) == ("apart", b"tried")
    assert [len(lane.asked) for lane in lanes] == [1, 1]
    said(application, asked(url))
    assert [len(lane.asked) for lane in lanes] == [1, 2], "it stays where it was tried out last"
    lanes[1].meanwhile = lambda: said(application, asked(url, body=b"do=keep"))
    said(application, asked(url))
    assert [len(lane.asked) for lane in lanes] == [1, 4], "and is kept there, even if that takes a while"


def test_what_was_asked_of_a_lost_process_is_answered_here_and_the_next_by_another(lanes: list[Lane]) -> None:
    application = trying.Apart(here, 1, 4)
    lanes[0].lost = True
    assert said(application, asked(CHANGE)) == ("here", b"here: guests.invited=120")
    assert said(application, asked(CHANGE)) == ("apart", b"tried")
    assert len(lanes) == 2


def test_with_no_process_the_application_stays_as_it_is() -> None:
    with trying.trying_apart(here, 0, 4) as application:
        assert application is here


class Served:
    """Pages served by a process of their own, with one in which changes are tried out."""

    def __init__(self, home: Path) -> None:
        code = (
            "from pathlib import Path; from tierwright.web.serve import serve; "
            f"serve(host='127.0.0.1', port={PORT}, example=Path({str(EXAMPLE)!r}), "
            "say=lambda text: print(text, flush=True))"
        )
        env = {k: v for k, v in os.environ.items() if not k.startswith(("DJANGO_", "DATABASE_", "TIERWRIGHT_"))}
        env |= {"TIERWRIGHT_HOME": str(home), "TIERWRIGHT_TRYING": "1", "TIERWRIGHT_WORKERS": "0"}
        self.process = subprocess.Popen([sys.executable, "-c", code], env=env, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if "open at" in line:
                return
        raise AssertionError("it did not start")

    def apart(self) -> int:
        """Return the process that tries changes out."""
        threads = Path(f"/proc/{self.process.pid}/task")
        for _ in range(300):
            for child in " ".join(below.read_text() for below in threads.glob("*/children")).split():
                if b"spawn_main" in Path(f"/proc/{child}/cmdline").read_bytes():
                    return int(child)
            time.sleep(0.1)
        raise AssertionError("no process beside the pages")

    def preview(self, people: int) -> tuple[int, str]:
        """Ask what would move with another number of people invited."""
        connection = HTTPConnection("127.0.0.1", PORT, timeout=60)
        url = "/k/1/c/1/sheet/tiers/change/guests/"
        connection.request("GET", url)
        answer = connection.getresponse()
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', answer.read().decode())
        assert token
        cookie = str(answer.headers["Set-Cookie"]).partition(";")[0]
        fields = {"guests.invited": str(people), "settles": "draft", "csrfmiddlewaretoken": token[1]}
        head = {
            "Cookie": cookie, "Origin": f"http://127.0.0.1:{PORT}", "HX-Request": "true",
            "Content-Type": "application/x-www-form-urlencoded",
        }  # fmt: skip
        connection.request("POST", url, body=urlencode(fields), headers=head)
        answer = connection.getresponse()
        text = answer.read().decode()
        connection.close()
        return answer.status, text


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    one = Served(tmp_path)
    try:
        yield one
    finally:
        one.process.kill()
        one.process.wait()
        assert one.process.stdout is not None
        one.process.stdout.close()


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="finds processes by /proc")
def test_a_change_is_answered_before_and_after_its_process_is_killed(served: Served) -> None:
    first = served.apart()
    status, text = served.preview(126)
    assert status == 200
    assert "What would move" in text
    os.kill(first, signal.SIGKILL)
    status, text = served.preview(127)
    assert status == 200
    assert "Portions wanted" in text
    second = served.apart()
    assert second != first
    served.process.kill()
    for _ in range(100):
        if not Path(f"/proc/{second}").exists() or b"Z" in Path(f"/proc/{second}/stat").read_bytes().split()[2:3]:
            return
        time.sleep(0.1)
    raise AssertionError("it outlived the one that it works for")
