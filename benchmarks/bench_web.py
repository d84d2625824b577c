"""How fast the pages are: one list in this process, and forty people at once against a served database.

Run by hand from the root of the checkout: ``python -m benchmarks``, or ``python -m benchmarks.bench_web`` for this
alone. Everything happens in a folder of its own, which is removed again.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import threading
import time
from datetime import timedelta
from html.parser import HTMLParser
from http.client import HTTPConnection
from pathlib import Path
from statistics import median
from time import perf_counter, process_time
from urllib.parse import urlencode

EXAMPLE = Path(__file__).resolve().parents[1] / "examples" / "centenary"
COMMISSIONS = 10_000
PEOPLE = 40
PAUSE_S = 3.0
FOR_S = 45.0
PORT = 8677
SERVE = (
    "import sys; from pathlib import Path; from tierwright.web.serve import serve; "
    "serve(host='127.0.0.1', port=int(sys.argv[1]), example=None, say=print)"
)
SHEETS = ("tiers", "coats", "formulas", "bakes", "supports", "keeping", "labels", "buying", "price", "road", "table")
BRIEFS = 10
"""Different cakes that the people work on: as many as are worked through before the clock runs."""


def lowest(number: int) -> int:
    """Return how few come to the supper that a person works on."""
    return 60 + 6 * (number % BRIEFS)


def fill(commissions: int, people: int = 0) -> tuple[int, int, list[int]]:
    """
    Load the example and many commissions beside it.

    Returns
    -------
    kitchen, example, own
        Keys of the kitchen, of the example, and of one commission for each person, of different sizes.
    """
    from django.utils import timezone

    from tierwright.web.access import Door
    from tierwright.web.frame.change import begin, work_through
    from tierwright.web.models import Commission, Membership
    from tierwright.web.people.local import ensure_maker
    from tierwright.web.serve import lay_down, read_example

    read = read_example(EXAMPLE)
    maker = ensure_maker()
    kitchen = lay_down(read, maker)
    example = Commission.objects.get(kitchen=kitchen)
    now = timezone.now()
    drawn = random.Random(4)
    moments = [now + timedelta(hours=drawn.randrange(-9000, 9000)) for _ in range(commissions)]
    Commission.objects.bulk_create(
        (
            Commission(
                kitchen=kitchen,
                title=f"Supper number {n}",
                enquired_at=at - timedelta(days=90),
                handover_at=at - timedelta(hours=3),
                cutting_at=at,
                last_slice_at=at + timedelta(hours=2),
                timezone="America/Denver",
                head=1,
                portions=drawn.randrange(30, 200),
                questions=drawn.randrange(0, 9),
                gravest=drawn.randrange(0, 5),
            )
            for n, at in enumerate(moments)
        ),
        batch_size=500,
    )
    door = Door(membership=Membership.objects.get(kitchen=kitchen, user=maker), user=maker)
    tried = []
    for number in range(min(people, BRIEFS)):
        low = lowest(number)
        brief = read.tried.brief | {"title": f"Supper for {low}"}
        brief["guests"] = brief["guests"] | {"invited": low + 10, "attending": f"{low} to {low + 8}"}
        tried.append(work_through(brief, read.kitchen, set()))
    own = [begin(door, tried[number % BRIEFS], read.kitchen, "to begin with").pk for number in range(people)]
    return kitchen.pk, example.pk, own


def cpu_ms(url: str, batches: int = 12, each: int = 10) -> float:
    """Processor time of one page through the whole program, in this process: the best batch. [ms]"""
    from django.test import Client

    browser = Client()
    for _ in range(5):
        assert browser.get(url).status_code == 200
    taken: list[float] = []
    for _ in range(batches):
        start = process_time()
        for _ in range(each):
            browser.get(url)
        taken.append((process_time() - start) * 1000.0 / each)
    return min(taken)


def previews_cpu_ms(url: str, name: str, texts: list[str]) -> list[float]:
    """Processor time of what would move for each text typed into a field, in this process, in order. [ms]"""
    from django.test import Client

    browser = Client()
    fields = Fields(browser.get(url).content.decode()).found
    taken: list[float] = []
    for text in texts:
        sent = fields | {name: text, "settles": "draft"}
        start = process_time()
        answer = browser.post(url, sent, headers={"HX-Request": "true"})
        taken.append((process_time() - start) * 1000.0)
        assert answer.status_code == 200, answer.status_code
    browser.post(url, {"do": "drop"})
    return taken


class Fields(HTMLParser):
    """The fields of the form with the id ``form``, as a browser would send them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self.inside, self.area, self.choice = False, "", ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = dict(attrs)
        name = known.get("name") or ""
        if tag == "form":
            self.inside = known.get("id") == "form"
        if not self.inside:
            return
        if tag == "input" and name and (known.get("type") != "checkbox" or "checked" in known):
            self.found[name] = known.get("value") or ""
        elif tag == "textarea":
            self.area = name
            self.found[name] = ""
        elif tag == "select":
            self.choice = name
            self.found[name] = ""
        elif tag == "option" and "selected" in known:
            self.found[self.choice] = known.get("value") or ""

    def handle_data(self, data: str) -> None:
        if self.area:
            self.found[self.area] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.area = ""
        elif tag == "form":
            self.inside = False


class Person(threading.Thread):
    """One person at work on a commission of their own: mostly reading, trying changes, now and then keeping one."""

    def __init__(self, number: int, kitchen: int, commission: int, until: float, pause_s: float, port: int) -> None:
        super().__init__(daemon=True)
        self.port = port
        self.low = lowest(number)
        self.drawn = random.Random(number)
        self.board, self.base = f"/k/{kitchen}/", f"/k/{kitchen}/c/{commission}/"
        self.until, self.pause_s = until, pause_s
        self.taken: dict[str, list[float]] = {"page": [], "preview": [], "write": []}
        self.failed: list[str] = []
        self.cookie = ""

    def run(self) -> None:
        time.sleep(self.drawn.uniform(0, self.pause_s))
        while perf_counter() < self.until:
            self._one()

    def _one(self) -> None:
        kind = self.drawn.choices(("page", "preview", "write"), (80, 15, 5))[0]
        if kind == "page":
            pages = (self.board, self.base, self.base + "questions/", *(f"{self.base}sheet/{s}/" for s in SHEETS))
            self._timed("page", "GET", self.drawn.choice(pages))
            return
        url, name, text = self._change()
        fields = Fields(self._timed("page", "GET", url)).found
        if name not in fields:
            self.failed.append(f"{url} has no {name}")
            return
        fields[name] = text
        self._timed("preview", "POST", url, fields, live=True)
        if kind == "write":
            # What was typed last is what is kept, as when one and the same tab goes on.
            self._timed("write", "POST", url, fields | {"settles": "draft", "do": "keep"})
        else:
            self._timed("page", "POST", url, fields | {"do": "drop"})

    def _change(self) -> tuple[str, str, str]:
        # Never more than are invited to this person's supper: that would be asked about, and rightly not kept.
        minute = 5 * self.drawn.randrange(0, 24)
        low, share = self.drawn.randrange(self.low - 12, self.low + 2), self.drawn.randrange(40, 92)
        return self.drawn.choice(
            (
                (f"{self.base}sheet/tiers/change/guests/", "guests.attending", f"{low} to {low + 8}"),
                (f"{self.base}sheet/tiers/change/guests/", "guests.eating_cake", f"{share} to {share + 8} %"),
                (f"{self.base}sheet/tiers/change/day/", "day.handover", f"{17 + minute // 60}:{minute % 60:02d}"),
                (f"{self.base}sheet/tiers/change/cake/", "cake.filling_depth", f"{self.drawn.randrange(5, 12)} mm"),
            )
        )

    def _timed(
        self, kind: str, method: str, url: str, form: dict[str, str] | None = None, *, live: bool = False
    ) -> str:
        """Ask for one page, note how long it took, and look at it for a while."""
        headers = {"Cookie": self.cookie} if self.cookie else {}
        body = None
        if form is not None:
            body = urlencode(form)
            headers |= {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://127.0.0.1:{self.port}"}
        if live:
            headers["HX-Request"] = "true"
        start = perf_counter()
        try:
            connection = HTTPConnection("127.0.0.1", self.port, timeout=30)
            connection.request(method, url, body=body, headers=headers)
            answer = connection.getresponse()
            text = answer.read().decode("utf-8", "replace")
            connection.close()
        except OSError as error:
            self.failed.append(f"{method} {url}: {error}")
            return ""
        self.taken[kind].append((perf_counter() - start) * 1000.0)
        if answer.status not in (200, 302):
            self.failed.append(f"{method} {url}: {answer.status}")
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            if cookie.startswith("tierwright_csrf="):
                self.cookie = cookie.partition(";")[0]
        if self.pause_s:
            time.sleep(self.drawn.expovariate(1 / self.pause_s))
        return text


def crowd(
    kitchen: int, own: list[int], people: int, pause_s: float, for_s: float
) -> tuple[dict[str, list[float]], int, float]:
    """Let people work for a while; return times by kind, failures, and answers a second."""
    begun = perf_counter()
    until = begun + for_s
    crew = [Person(n, kitchen, own[n], until, pause_s, PORT) for n in range(people)]
    for person in crew:
        person.start()
    for person in crew:
        person.join(for_s + 60)
    spent = perf_counter() - begun
    taken: dict[str, list[float]] = {"page": [], "preview": [], "write": []}
    for person in crew:
        for kind, times in person.taken.items():
            taken[kind] += times
    failed = [text for person in crew for text in person.failed]
    for text in failed[:5]:
        sys.stderr.write(f"failed: {text}\n")
    return taken, len(failed), sum(len(times) for times in taken.values()) / spent


def part(times: list[float], share: float) -> float:
    """Time within which a share of answers came. [ms]"""
    return sorted(times)[min(len(times) - 1, int(share * len(times)))] if times else float("nan")


def previews(base: str) -> list[tuple[str, float, str]]:
    """Measure what would move by itself: where the cake stays as it is, where its hour moves, and where it grows."""
    guests, day = f"{base}sheet/tiers/change/guests/", f"{base}sheet/tiers/change/day/"
    previews_cpu_ms(guests, "guests.attending", ["102 to 119"])
    same = previews_cpu_ms(guests, "guests.invited", [str(number) for number in range(125, 131)])
    hour = previews_cpu_ms(day, "day.handover", ["18:10", "17:50", "17:20", "16:45"])
    other = previews_cpu_ms(guests, "guests.attending", [f"{low} to {low + 8}" for low in range(64, 118, 6)])
    return [
        ("what would move, same tiers, CPU in process: median", median(same), "ms"),
        ("what would move, another hour, CPU in process: median", median(hour), "ms"),
        ("what would move, other tiers never seen, CPU in process: median", median(other), "ms"),
        ("what would move, other tiers never seen, CPU in process: slowest", max(other), "ms"),
    ]


def served(port: int, **more: str) -> subprocess.Popen[str]:
    """Serve the pages in a process of their own, and wait until they open."""
    server = subprocess.Popen(
        [sys.executable, "-c", SERVE, str(port)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=os.environ | more,
        text=True,
    )
    assert server.stdout is not None
    while "open at" not in (line := server.stdout.readline()):
        if not line:
            raise RuntimeError("the server did not start")
    return server


def working(kitchen: int, own: list[int], trying: int) -> list[tuple[str, float, str]]:
    """Let everybody work at their own pace against so many processes that try out, and say how long they waited."""
    server = served(PORT, TIERWRIGHT_TRYING=str(trying))
    try:
        # As in the middle of a day: everybody has tried something by then.
        crowd(kitchen, own, PEOPLE, PAUSE_S, FOR_S)
        taken, failed, rate = crowd(kitchen, own, PEOPLE, PAUSE_S, FOR_S)
        full, lost, most = crowd(kitchen, own, 8, 0.0, 10.0) if trying > 1 else ({}, 0, 0.0)
    finally:
        server.terminate()
        server.wait(10)
    who = f"{PEOPLE} people, a request each {PAUSE_S:g} s, {trying} trying out"
    return [
        (f"{who}: pages, half within", part(taken["page"], 0.5), "ms"),
        (f"{who}: pages, 95 % within", part(taken["page"], 0.95), "ms"),
        (f"{who}: what would move, half within", part(taken["preview"], 0.5), "ms"),
        (f"{who}: what would move, 95 % within", part(taken["preview"], 0.95), "ms"),
        (f"{who}: writes, 95 % within", part(taken["write"], 0.95), "ms"),
        (f"{who}: answers", rate, "1/s"),
        (f"{who}: failed", float(failed), "requests"),
    ] + [
        ("saturated by 8 people without pause: answers", most, "1/s"),
        ("saturated: pages, 95 % within", part(full.get("page", []), 0.95), "ms"),
        ("saturated: failed", float(lost), "requests"),
    ] * (trying > 1)


def rows() -> list[tuple[str, float, str]]:
    with tempfile.TemporaryDirectory(prefix="tierwright-bench-") as folder:
        os.environ["TIERWRIGHT_HOME"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "tierwright.web.settings"
        from tierwright.web.serve import set_up

        set_up()
        from django.conf import settings
        from django.db import connection

        # The client inside this process calls the machine testserver.
        settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "testserver"]
        kitchen, example, own = fill(COMMISSIONS, PEOPLE)
        base = f"/k/{kitchen}/c/{example}/"
        found = [
            (f"list of 20 rows out of {COMMISSIONS}, CPU in process", cpu_ms(f"/k/{kitchen}/"), "ms"),
            ("sheet of tiers, CPU in process", cpu_ms(f"{base}sheet/tiers/"), "ms"),
            ("sheet of formulas, CPU in process", cpu_ms(f"{base}sheet/formulas/", 4), "ms"),
        ]
        found += previews(base)
        connection.close()
        # As a maker has it, and as docs/deploy.md has it for a team.
        for trying in (1, 2):
            found += working(kitchen, own, trying)
        return found


if __name__ == "__main__":
    for name, value, unit in rows():
        sys.stdout.write(f"{name:70} {value:10.2f} {unit}\n")
