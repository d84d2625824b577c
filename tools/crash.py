"""Kill the program at random moments, and look at what is left.

    .venv/bin/python tools/crash.py --trials 300 --seed 1

Each trial splits off a process that works on a database of its own and says on a pipe what has been acknowledged; after
a random while it is killed (SIGKILL), or its files are copied as they lie at that moment (what a power cut would leave
of what has reached the disk). Then: the database is sound, everything acknowledged is there, and nothing is there by
halves.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from tierwright.web.jobs.running import Work

ROOT: Final = Path(__file__).resolve().parents[1]
BEGUN: Final = "begun"
KIND: Final = "trial"

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A kind of work that is cut short: what the process does, what must hold afterwards, and how long it may take."""

    name: str
    work: Callable[[Path, Say], None]
    check: Callable[[Path, list[str]], list[str]]
    longest_s: float
    power_cut: bool = False


# Written work: pages of two books in one transaction, acknowledged after it.


def keep_versions(home: Path, say: Say) -> None:
    """Keep one version after another the way the pages do, and two rows that belong together."""
    from django.contrib.auth.models import User
    from django.db import transaction

    from tierwright.web.models import Audit, Client, Commission, Kitchen, Version

    kitchen, commission, user = Kitchen.objects.get(), Commission.objects.get(), User.objects.get()
    latest = Version.objects.get(commission=commission, number=commission.head)
    say(BEGUN)
    for number in range(commission.head + 1, 10_000):
        with transaction.atomic():
            Version(
                commission=commission, number=number, brief=latest.brief, kitchen=latest.kitchen,
                dossier=os.urandom(random.randrange(100, 60_000)), words=str(number), made_by=user,
            ).save()  # fmt: skip
            commission.head = number
            commission.save(update_fields=["head"])
            Client.objects.create(kitchen=kitchen, name=f"client {number}")
            Audit.objects.create(kitchen=kitchen, user=user, deed="kept", words=f"client {number}")
        say(str(number))


def check_versions(home: Path, said: list[str]) -> list[str]:
    """Every acknowledged version is there with everything that belongs to it, and none by halves."""
    faults = faults_in(home)
    with closing(sqlite3.connect(home / "tierwright.sqlite3")) as connection:
        numbers = {row[0] for row in connection.execute("SELECT number FROM web_version")}
        head = connection.execute("SELECT head FROM web_commission").fetchone()[0]
        clients = connection.execute("SELECT COUNT(*) FROM web_client").fetchone()[0]
        audits = connection.execute("SELECT COUNT(*) FROM web_audit WHERE deed = 'kept'").fetchone()[0]
    acknowledged = max([int(word) for word in said if word.isdigit()], default=1)
    if acknowledged > head:
        faults.append(f"version {acknowledged} was acknowledged, and the last one is {head}")
    if numbers != set(range(1, head + 1)) or not clients == audits == head - 1:
        faults.append(f"head {head}, versions to {max(numbers)}, {clients} clients, {audits} lines of the audit")
    return faults


def enter_ledger(home: Path, say: Say) -> None:
    """Enter one payment after another, each with its running number."""
    from decimal import Decimal

    from tierwright.price import EntryKind
    from tierwright.web.access import Door
    from tierwright.web.models import Commission, Membership
    from tierwright.web.money.ledger import enter

    membership, commission = Membership.objects.get(), Commission.objects.get()
    door = Door(membership=membership, user=membership.user)
    enter(door, commission, EntryKind.INVOICE, Decimal(100_000), "all of it")
    say(BEGUN)
    for number in range(2, 10_000):
        enter(door, commission, EntryKind.PAYMENT, Decimal("1.25"), f"part {number}")
        say(str(number))


def check_ledger(home: Path, said: list[str]) -> list[str]:
    """The numbers have no gap, every seal holds, and each entry has its line in the audit."""
    from tierwright.errors import BadInput
    from tierwright.price import check_seals

    faults = faults_in(home)
    with database_at(home):
        from tierwright.web.models import Audit, Kitchen
        from tierwright.web.money.ledger import entries_of

        entries = list(entries_of(Kitchen.objects.get()))
        try:
            check_seals(entries, entries[0].currency)
        except BadInput as bad:
            faults += [str(problem) for problem in bad.problems]
        lines = Audit.objects.filter(deed__endswith="entered").count()
    acknowledged = max([int(word) for word in said if word.isdigit()], default=1)
    if [entry.number for entry in entries] != list(range(1, len(entries) + 1)) or lines != len(entries):
        faults.append(f"{len(entries)} entries, {lines} lines of the audit")
    if acknowledged > len(entries):
        faults.append(f"entry {acknowledged} was acknowledged, and there are {len(entries)}")
    return faults


# Copies: taken over and over while somebody writes.


def copy_again(home: Path, say: Say) -> None:
    """Take copies while a thread writes."""
    import threading

    from tierwright.web.keepsafe.copies import copies_in, take_copy, thin_out

    database, folder = home / "tierwright.sqlite3", home / "copies"

    def write() -> None:
        with closing(sqlite3.connect(database, timeout=30)) as connection:
            while True:
                # Two rows a transaction: an odd number shows a copy that was cut in two.
                connection.execute("INSERT INTO web_audit (at, deed, words) VALUES ('2026-01-01', 'a', '')")
                connection.execute("INSERT INTO web_audit (at, deed, words) VALUES ('2026-01-01', 'b', '')")
                connection.commit()

    threading.Thread(target=write, daemon=True).start()
    say(BEGUN)
    while True:
        take_copy(database, folder)
        thin_out(folder)
        say(copies_in(folder)[0].path.name)


def check_copies(home: Path, said: list[str]) -> list[str]:
    """Every copy that is listed is sound, and the newest that was acknowledged is among them."""
    from tierwright.web.keepsafe.copies import copies_in, faults_in_copy

    faults = faults_in(home)
    copies = copies_in(home / "copies")
    for copy in copies:
        faults += [f"{copy.path.name}: {fault}" for fault in faults_in_copy(copy)]
        with closing(sqlite3.connect(copy.path)) as connection:
            counts = dict(connection.execute("SELECT deed, COUNT(*) FROM web_audit WHERE deed < 'c' GROUP BY deed"))
        if counts.get("a", 0) != counts.get("b", 0):
            faults.append(f"{copy.path.name} holds half a transaction")
    names = [word for word in said if word != BEGUN]
    if names and names[-1] not in {copy.path.name for copy in copies}:
        faults.append(f"{names[-1]} was acknowledged and is not there")
    return faults


def put_back_again(home: Path, say: Say) -> None:
    """Put two unlike copies back in turn."""
    from django.db import connections

    from tierwright.web.keepsafe.copies import copies_in, put_back, take_copy

    connections.close_all()
    database, folder = home / "tierwright.sqlite3", home / "copies"
    few = take_copy(database, folder)
    with closing(sqlite3.connect(database)) as connection:
        for number in range(3000):
            connection.execute(
                "INSERT INTO web_audit (at, deed, words) VALUES ('2026-01-01', 'more', ?)", (f"{number:0300}",)
            )
        connection.commit()
    many = take_copy(database, folder)
    say(BEGUN)
    while True:
        for copy in (few, many):
            put_back(copy, database, folder)
            for extra in copies_in(folder)[:-2]:
                extra.path.unlink()
            say(copy.path.name)


def check_put_back(home: Path, said: list[str]) -> list[str]:
    """What stands there is the one or the other, whole."""
    faults = faults_in(home)
    with closing(sqlite3.connect(home / "tierwright.sqlite3")) as connection:
        count = connection.execute("SELECT COUNT(*) FROM web_audit WHERE deed = 'more'").fetchone()[0]
    return faults if count in (0, 3000) else [*faults, f"{count} of 3000 rows: neither the one copy nor the other"]


# The tables brought up to date.


def migrate_up(home: Path, say: Say) -> None:
    """Take the tables back to their first shape, then forward again, over and over."""
    from django.core.management import call_command

    say(BEGUN)
    while True:
        call_command("migrate", "web", "0001", verbosity=0, interactive=False)
        say("back")
        call_command("migrate", verbosity=0, interactive=False)
        say("up")


def check_migrated(home: Path, said: list[str]) -> list[str]:
    """The next start brings the tables up to date, and everything is there."""
    from django.core.management import call_command
    from django.db import connections

    faults = faults_in(home)
    with database_at(home):
        call_command("migrate", verbosity=0, interactive=False)
        from tierwright.web.models import BookFormula, ClientQuestion, Commission, Version

        if not (Version.objects.count() == Commission.objects.count() == 1 and BookFormula.objects.count() > 3):
            faults.append("rows are missing after the tables were brought up to date")
        ClientQuestion.objects.count()
        connections.close_all()
    return faults + faults_in(home)


# Long work, with its place kept in the database.


def work_along(home: Path, say: Say) -> None:
    """Begin pieces of long work and do them, one after another."""
    from tierwright.web.jobs.running import begin, run
    from tierwright.web.models import Kitchen

    kitchen = Kitchen.objects.get()
    say(BEGUN)
    for number in range(10_000):
        job = begin(kitchen, KIND, {"number": number})
        say(f"asked{number}")
        run(job.pk)
        say(f"done{number}")


def count_up(work: Work) -> dict[str, int]:
    """Stand for a search: a while of work with its progress noted, and a result."""
    for step in range(4):
        work.report(done=step, of=4, at_once=True)
        time.sleep(0.01)
    return {"answer": 2 * int(work.asked["number"])}


def check_work(home: Path, said: list[str]) -> list[str]:
    """What was under way is taken up again and ends; what was acknowledged as done is done; asking twice is once."""
    faults = faults_in(home)
    with database_at(home):
        from tierwright.web.jobs.models import Job, State
        from tierwright.web.jobs.running import begin, pick_up_lost, run
        from tierwright.web.models import Kitchen

        asked = [int(word.removeprefix("asked")) for word in said if word.startswith("asked")]
        done = {int(word.removeprefix("done")) for word in said if word.startswith("done")}
        ended = {job.asked["number"] for job in Job.objects.filter(state=State.DONE)}
        if done - ended:
            faults.append(f"{sorted(done - ended)} were acknowledged as done, and are not")
        pick_up_lost()
        for number in asked:
            run(begin(Kitchen.objects.get(), KIND, {"number": number}).pk)
        for job in Job.objects.all():
            if job.state == State.DONE and job.result != {"answer": 2 * job.asked["number"]}:
                faults.append(f"{job} has the result {job.result}")
        left = [job.asked["number"] for job in Job.objects.exclude(state=State.DONE) if job.asked["number"] in asked]
        if left or Job.objects.filter(asked__number__in=asked).count() != len(asked):
            faults.append(f"{left} were asked for and are not done, or there twice")
    return faults


def faults_in(home: Path) -> list[str]:
    """Return what SQLite finds wrong with the database."""
    from tierwright.web.keepsafe.copies import faults_of

    with closing(sqlite3.connect(home / "tierwright.sqlite3")) as connection:
        return list(faults_of(connection))


CASES: Final = (
    Case(name="versions", work=keep_versions, check=check_versions, longest_s=0.6),
    Case(name="versions, power cut", work=keep_versions, check=check_versions, longest_s=0.6, power_cut=True),
    Case(name="ledger", work=enter_ledger, check=check_ledger, longest_s=0.6),
    Case(name="ledger, power cut", work=enter_ledger, check=check_ledger, longest_s=0.6, power_cut=True),
    Case(name="long work", work=work_along, check=check_work, longest_s=0.6),
    Case(name="copies", work=copy_again, check=check_copies, longest_s=0.5),
    Case(name="putting back", work=put_back_again, check=check_put_back, longest_s=0.5),
    Case(name="tables", work=migrate_up, check=check_migrated, longest_s=1.5),
)


@contextmanager
def database_at(home: Path) -> Iterator[None]:
    """Point the settings, read once, at another database."""
    from django.db import connections

    connections.close_all()
    was = connections.databases["default"]["NAME"]
    connections.databases["default"]["NAME"] = home / "tierwright.sqlite3"
    connections["default"].settings_dict["NAME"] = home / "tierwright.sqlite3"
    try:
        yield
    finally:
        connections.close_all()
        connections.databases["default"]["NAME"] = was
        connections["default"].settings_dict["NAME"] = was


def trial(case: Case, ready: Path, folder: Path, chance: random.Random) -> tuple[list[str], int]:
    """Run one trial on a copy of a database that is ready; return what is wrong afterwards, and how much was said."""
    home = folder / "home"
    shutil.copytree(ready, home)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _be_the_child(case, home, writing)
    os.close(writing)
    said = _listen(child, reading, chance.uniform(0.0, case.longest_s))
    checked = home
    if case.power_cut:
        os.kill(child, signal.SIGSTOP)
        # The database and the log of what has not reached it yet; shared memory is lost with the power.
        checked = folder / "after"
        checked.mkdir()
        for name in ("tierwright.sqlite3", "tierwright.sqlite3-wal"):
            with suppress(FileNotFoundError):
                shutil.copy(home / name, checked / name)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    said += _rest_of(reading) if not case.power_cut else []
    try:
        return case.check(checked, said), len(said) - 1
    except Exception:
        return [traceback.format_exc()], len(said) - 1


def _be_the_child(case: Case, home: Path, writing: int) -> None:
    try:
        os.environ["TIERWRIGHT_HOME"] = str(home)
        with database_at(home):
            case.work(home, lambda word: _say(writing, word))
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(3)


def _say(writing: int, word: str) -> None:
    os.write(writing, f"{word}\n".encode())


def _listen(child: int, reading: int, wait_s: float) -> list[str]:
    """Return what the process said until a while after it began; it goes on meanwhile."""
    os.set_blocking(reading, True)
    heard = b""
    while BEGUN.encode() not in heard:
        more = os.read(reading, 1)
        if not more:
            raise RuntimeError(f"the process {child} ended before it began")
        heard += more
    time.sleep(wait_s)
    os.set_blocking(reading, False)
    return (heard.decode() + _drain(reading)).split()


def _rest_of(reading: int) -> list[str]:
    os.set_blocking(reading, False)
    try:
        return _drain(reading).split()
    finally:
        os.close(reading)


def _drain(reading: int) -> str:
    parts = b""
    with suppress(BlockingIOError):
        while more := os.read(reading, 65536):
            parts += more
    return parts.decode()


def make_ready(home: Path) -> None:
    """Make the database that each trial begins from: the example, loaded as the first start does it."""
    os.environ["TIERWRIGHT_HOME"] = str(home)
    os.environ.pop("DATABASE_URL", None)
    from tierwright.web.serve import load_example, set_up

    set_up()
    load_example(ROOT / "examples" / "centenary")
    from django.db import connections

    from tierwright.web.jobs.kinds import Kind, hang_up

    hang_up(Kind(key=KIND, words=KIND, run=count_up))
    connections.close_all()


def main() -> int:
    """Run the trials; 1 where any of them left something wrong."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    chance = random.Random(asked.seed)
    done: Counter[str] = Counter()
    acknowledged = 0
    wrong = 0
    with tempfile.TemporaryDirectory() as folder:
        ready = Path(folder) / "ready"
        make_ready(ready)
        for number in range(asked.trials):
            case = CASES[number % len(CASES)]
            with tempfile.TemporaryDirectory(dir=folder) as own:
                faults, heard = trial(case, ready, Path(own), chance)
            done[case.name] += 1
            acknowledged += heard
            for fault in faults:
                wrong += 1
                print(f"trial {number}, {case.name}: {fault}", file=sys.stderr)
    print(", ".join(f"{name}: {count}" for name, count in done.items()))
    print(f"trials: {asked.trials}; acknowledged before the end: {acknowledged}; faults: {wrong}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
