"""Long work: asked once, done once, watched and stopped by the kitchen, taken up again when a worker dies."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import timedelta
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from django_q.models import OrmQ
from tests.web.conftest import Cast

from tierwright.errors import Infeasible
from tierwright.web.jobs.kinds import Kind, hang_up
from tierwright.web.jobs.models import Job, State
from tierwright.web.jobs.running import MOST_TRIES, Work, begin, look, run, stop, thin_out


def count_to(work: Work) -> dict[str, Any]:
    """Count, and stop when asked."""
    for n in range(int(work.asked["to"])):
        if work.report(done=n, of=work.asked["to"], words=f"counted to {n}", at_once=True):
            return {"reached": n}
    return {"reached": work.asked["to"]}


def refuse(work: Work) -> dict[str, Any]:
    raise Infeasible("this count", "there is no such number")


def break_off(work: Work) -> dict[str, Any]:
    raise RuntimeError("secret of the kitchen")


@pytest.fixture(autouse=True)
def _kinds() -> None:
    hang_up(Kind(key="count", words="Counting", run=count_to))
    hang_up(Kind(key="refuse", words="Refusing", run=refuse))
    hang_up(Kind(key="break", words="Breaking", run=break_off))
    hang_up(Kind(key="private", words="Counting money", run=count_to, owner_only=True))


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


class TestOnce:
    def test_the_same_question_is_one_piece_of_work(self, cast: Cast) -> None:
        first = begin(cast.kitchen, "count", {"to": 3}, user=cast.ada)
        assert begin(cast.kitchen, "count", {"to": 3}).pk == first.pk
        assert begin(cast.kitchen, "count", {"to": 4}).pk != first.pk
        assert begin(cast.other, "count", {"to": 3}).pk != first.pk
        assert OrmQ.objects.count() == 3

    def test_it_is_done_once_however_often_the_queue_brings_it(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})
        for _ in range(3):
            run(job.pk)
        done = fresh(job)
        assert (done.state, done.result, done.tries) == (State.DONE, {"reached": 3}, 1)
        assert begin(cast.kitchen, "count", {"to": 3}).state == State.DONE
        assert begin(cast.kitchen, "count", {"to": 3}, again=True).state == State.WAITING

    def test_what_another_worker_has_is_left_to_it(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})
        Job.objects.update(state=State.RUNNING, worker=f"elsewhere:{os.getpid()}", started_at=timezone.now(), tries=1)
        run(job.pk)
        assert fresh(job).state == State.RUNNING
        # One that has had it for longer than the queue lets anybody work is gone.
        Job.objects.update(started_at=timezone.now() - timedelta(hours=1))
        assert look(fresh(job)).state == State.WAITING
        run(job.pk)
        assert (fresh(job).state, fresh(job).tries) == (State.DONE, 2)

    def test_who_was_given_up_for_lost_no_longer_writes(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})

        def slow(work: Work) -> dict[str, Any]:
            Job.objects.filter(pk=job.pk).update(worker="elsewhere:1", tries=2)
            assert work.report(at_once=True), "there is nothing left to go on for"
            return {"reached": "too late"}

        hang_up(Kind(key="count", words="Counting", run=slow))
        run(job.pk)
        assert (fresh(job).state, fresh(job).result) == (State.RUNNING, None)

    def test_work_that_takes_its_workers_down_is_given_up(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})
        Job.objects.update(tries=MOST_TRIES)
        run(job.pk)
        assert fresh(job).state == State.FAILED
        assert "not tried again" in fresh(job).error


class TestEnds:
    def test_a_refusal_is_said_in_its_own_words(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "refuse", {})
        run(job.pk)
        assert fresh(job).state == State.FAILED
        assert "there is no such number" in fresh(job).error
        assert begin(cast.kitchen, "refuse", {}).state == State.WAITING, "what failed is begun again"

    def test_a_fault_of_the_program_tells_no_secrets(self, cast: Cast, caplog: pytest.LogCaptureFixture) -> None:
        job = begin(cast.kitchen, "break", {})
        run(job.pk)
        assert fresh(job).state == State.FAILED
        assert "secret" not in fresh(job).error
        assert "secret of the kitchen" in caplog.text

    def test_a_stop_ends_it_with_what_it_has(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})
        stop(job)
        run(job.pk)
        assert (fresh(job).state, fresh(job).result) == (State.STOPPED, None)
        job = begin(cast.kitchen, "count", {"to": 3})
        assert not job.asked_to_stop

        def interrupted(work: Work) -> dict[str, Any]:
            stop(fresh(job))
            return count_to(work)

        hang_up(Kind(key="count", words="Counting", run=interrupted))
        run(job.pk)
        assert (fresh(job).state, fresh(job).result) == (State.STOPPED, {"reached": 0})


class TestPages:
    def test_who_sees_and_who_stops(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})
        theirs = begin(cast.other, "count", {"to": 3})
        hidden = begin(cast.kitchen, "private", {"to": 3})
        url = f"/k/{cast.kitchen.pk}/jobs/{job.pk}/"
        for way in ("", "stop/"):
            send: Callable[[Client, str], int] = (
                (lambda c, u: c.post(u).status_code) if way else (lambda c, u: c.get(u).status_code)
            )
            assert send(cast.client(None), url + way) == 302
            assert send(cast.client(cast.cleo), url + way) == 404
            assert send(cast.client(cast.ada), f"/k/{cast.kitchen.pk}/jobs/{theirs.pk}/{way}") == 404
            assert send(cast.client(cast.ben), f"/k/{cast.kitchen.pk}/jobs/{hidden.pk}/{way}") == 403
            assert send(cast.client(cast.ada), f"/k/{cast.kitchen.pk}/jobs/{hidden.pk}/{way}") in (200, 302)
            assert send(cast.client(cast.ben), url + way) in (200, 302)
        assert fresh(theirs).state == State.WAITING
        assert cast.client(cast.ada).get(url + "stop/").status_code == 405

    def test_a_page_asks_until_it_has_ended(self, cast: Cast) -> None:
        job = begin(cast.kitchen, "count", {"to": 3})
        url = f"/k/{cast.kitchen.pk}/jobs/{job.pk}/"
        live = {"HX-Request": "true"}
        waiting = cast.client(cast.ada).get(url, headers=live)
        assert 'hx-trigger="every 1s"' in waiting.content.decode()
        assert "waiting its turn" in waiting.content.decode()
        run(job.pk)
        ended = cast.client(cast.ada).get(url, headers=live)
        assert ended["HX-Refresh"] == "true"
        assert "hx-trigger" not in ended.content.decode()


SLOW = """
import os, sys, time
from pathlib import Path
import django
django.setup()
from tierwright.web.jobs.kinds import Kind, hang_up
def slow(work):
    with open(os.environ["NOTES"], "a") as notes:
        notes.write(f"began {os.getpid()}\\n")
    if work.job.tries == 1:
        work.report(done=1, of=2, words="half way", at_once=True)
        time.sleep(60)
    with open(os.environ["NOTES"], "a") as notes:
        notes.write("finished\\n")
    return {"finished": True}
hang_up(Kind(key="slow", words="Slow work", run=slow))
"""


BEGUN = """
import django
django.setup()
from tierwright.web.models import Kitchen
from tierwright.web.jobs import kinds, running
from tierwright.web.jobs.models import Job
kinds.hang_up(kinds.Kind(key="slow", words="Slow work", run=lambda work: dict()))
kitchen = Kitchen.objects.create(name="Test", data=dict())
print(running.begin(kitchen, "slow", dict()).pk)
"""


def test_work_that_ended_long_ago_is_forgotten_and_no_other(cast: Cast) -> None:
    now = timezone.now()
    ages = {"old": 31, "young": 29, "waiting": None}
    for key, days in ages.items():
        ended = None if days is None else now - timedelta(days=days)
        state = State.WAITING if days is None else State.FAILED
        Job.objects.create(kitchen=cast.kitchen, kind="plan", key=key, state=state, ended_at=ended)
    assert thin_out(now) == 1
    assert set(Job.objects.values_list("key", flat=True)) == {"young", "waiting"}
    assert thin_out(now) == 0


class TestRealWorker:
    """Processes of their own, over a database of their own."""

    @staticmethod
    def surroundings(home: Path) -> dict[str, str]:
        env = {k: v for k, v in os.environ.items() if not k.startswith(("DJANGO_", "DATABASE_", "TIERWRIGHT_"))}
        return env | {
            "TIERWRIGHT_HOME": str(home), "DJANGO_SETTINGS_MODULE": "tierwright.web.settings",
            "NOTES": str(home / "notes"),
        }  # fmt: skip

    @pytest.fixture(scope="class")
    @classmethod
    def empty(cls, tmp_path_factory: pytest.TempPathFactory) -> Path:
        """A data folder with its tables and nothing in them, made once."""
        home = tmp_path_factory.mktemp("home")
        cls.say(cls.surroundings(home), "from tierwright.web.serve import set_up\nset_up()")
        return home

    @pytest.fixture(scope="class")
    @classmethod
    def asked(cls, empty: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
        """A data folder in which the slow work waits, made once."""
        home = tmp_path_factory.mktemp("asked")
        copytree(empty, home, dirs_exist_ok=True)
        assert cls.say(cls.surroundings(home), BEGUN) == "1"
        return home

    @pytest.fixture
    def place(self, empty: Path, tmp_path: Path) -> dict[str, str]:
        copytree(empty, tmp_path, dirs_exist_ok=True)
        return self.surroundings(tmp_path)

    @pytest.fixture
    def waiting(self, asked: Path, tmp_path: Path) -> dict[str, str]:
        copytree(asked, tmp_path, dirs_exist_ok=True)
        return self.surroundings(tmp_path)

    @staticmethod
    def say(place: dict[str, str], code: str) -> str:
        done = subprocess.run(
            [sys.executable, "-c", code], env=place, capture_output=True, text=True, check=False, timeout=180
        )
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def test_a_killed_worker_s_task_is_run_again_and_finishes_once(
        self, waiting: dict[str, str], tmp_path: Path
    ) -> None:
        notes = tmp_path / "notes"
        workers = subprocess.Popen(
            [sys.executable, "-c", SLOW + "from tierwright.web.jobs.workers import work\nwork()"],
            env=waiting, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            first = self.wait_for(lambda: self.lines(notes)[:1])
            os.kill(int(first[0].split()[1]), signal.SIGKILL)
            lines = self.wait_for(lambda: self.lines(notes) if "finished" in self.lines(notes) else [])
            # Noted by the work itself a moment before its end is, which the workers have to live to see.
            self.wait_for(lambda: [] if self.job(tmp_path)[0] == "running" else ["ended"])
        finally:
            os.killpg(workers.pid, signal.SIGKILL)
            workers.wait()
        assert [line.split()[0] for line in lines] == ["began", "began", "finished"]
        assert lines[0] != lines[1], "another process took it up"
        assert self.job(tmp_path) == ("done", 2, '{"finished": true}')

    def test_workers_end_soon_in_the_middle_of_work(self, waiting: dict[str, str], tmp_path: Path) -> None:
        notes = tmp_path / "notes"
        workers = subprocess.Popen(
            [sys.executable, "-c", SLOW + "from tierwright.web.jobs.workers import work\nwork()"],
            env=waiting, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            self.wait_for(lambda: self.lines(notes)[:1])
            workers.terminate()
            assert workers.wait(50) == 0, "the work itself sleeps for a minute"
            self.wait_for(lambda: [] if running(workers.pid) else ["gone"])
        finally:
            with suppress(ProcessLookupError):
                os.killpg(workers.pid, signal.SIGKILL)

    def test_a_worker_killed_while_idle_blocks_nothing(self, place: dict[str, str], tmp_path: Path) -> None:
        notes, idle = tmp_path / "notes", tmp_path / "idle"
        watching = f"""
from django_q.signals import post_spawn
def spawned(**_signal):
    with open({str(idle)!r}, "a") as out:
        out.write(f"{{os.getpid()}}\\n")
post_spawn.connect(spawned)
from tierwright.web.jobs import workers
workers.STALLED_S = 3.0
workers.work()
"""
        workers = subprocess.Popen(
            [sys.executable, "-c", SLOW + watching],
            env=place | {"TIERWRIGHT_WORKERS": "1"}, start_new_session=True, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            (first,) = self.wait_for(lambda: self.lines(idle)[:1])
            time.sleep(1.0)  # it is at the queue by now, and holds its lock
            os.kill(int(first), signal.SIGKILL)
            self.wait_for(lambda: self.lines(idle)[1:2])
            begun = self.say(place, BEGUN + "\nJob.objects.update(tries=1)")
            self.wait_for(lambda: [line for line in self.lines(notes) if line == "finished"])
        finally:
            os.killpg(workers.pid, signal.SIGKILL)
            workers.wait()
        assert len(self.lines(idle)) >= 3, "all began afresh"
        assert begun

    @staticmethod
    def job(home: Path) -> tuple[Any, ...]:
        """Return state, tries and result of the only work there is, read beside the program: that is soon done."""
        with closing(sqlite3.connect(home / "tierwright.sqlite3", timeout=20)) as read:
            (found,) = read.execute("SELECT state, tries, result FROM jobs_job").fetchall()
        return tuple(found)

    @staticmethod
    def lines(path: Path) -> list[str]:
        return path.read_text().splitlines() if path.exists() else []

    @staticmethod
    def wait_for(look_at: Callable[[], list[str]]) -> list[str]:
        for _ in range(1800):
            found = look_at()
            if found:
                return found
            time.sleep(0.1)
        raise AssertionError("nothing came within three minutes")

    def test_workers_beside_the_pages_work_and_end_with_them(self, place: dict[str, str], tmp_path: Path) -> None:
        self.say(
            place,
            """
import django
django.setup()
from tierwright.web.models import Kitchen
from tierwright.web.jobs import kinds, running
kinds.hang_up(kinds.Kind(key="strange", words="Strange work", run=lambda work: dict()))
print(running.begin(Kitchen.objects.create(name="Test", data=dict()), "strange", dict()).pk)
""",
        )
        code = (
            "import os, sys, time, django\ndjango.setup()\nfrom tierwright.web.jobs import workers\n"
            "import subprocess\nkept = subprocess.Popen\n"
            "def noted(*a, **k):\n    child = kept(*a, **k)\n    print(child.pid, flush=True)\n    return child\n"
            "workers.subprocess.Popen = noted\n"
            "with workers.beside():\n    time.sleep(120)\n"
        )
        pages = subprocess.Popen(
            [sys.executable, "-c", code], env=place, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        assert pages.stdout is not None
        child = int(pages.stdout.readline())
        os.kill(child, 0)

        # A kind that this process does not know is refused; that it was is proof of a worker at work.
        self.wait_for(lambda: [state for state in self.job(tmp_path)[:1] if state == "failed"])
        pages.kill()
        pages.wait()
        pages.stdout.close()
        gone = self.wait_for(lambda: [] if running(child) else ["gone"])
        assert gone == ["gone"]


def running(number: int) -> bool:
    """Whether a process group still has a member."""
    try:
        os.killpg(number, 0)
    except ProcessLookupError:
        return False
    return True
