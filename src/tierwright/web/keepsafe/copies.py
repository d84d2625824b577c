"""Copies of the database, taken while it is in use, checked, thinned out and put back.

Online backup: https://www.sqlite.org/backup.html. Integrity check: https://www.sqlite.org/pragma.html.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from tierwright import __version__
from tierwright.errors import BadInput, Problem

FOLDER: Final = "copies"
PREFIX: Final = "tierwright-"
STAMP: Final = "%Y%m%dT%H%M%S%fZ"
NEWEST: Final = 12
DAYS: Final = 14
WEEKS: Final = 8
MONTHS: Final = 12
"""How many copies are kept: the newest, then one a day, a week and a month. Chosen by us."""
EVERY: Final = timedelta(hours=1)
LOCK: Final = "taking.lock"
"""Held while a copy is taken: what another process has half written is none that was cut short."""
WAIT_S: Final = 120.0
ONE_LOCK: Final = "copyist.lock"
"""Held by the one process that takes copies by itself."""
PAGES: Final = 512
"""Database pages copied in one step: writers wait for no longer than a step takes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """
    A copy of the database, as the file beside it describes it.

    Attributes
    ----------
    path
        The copy.
    taken_at
        When it was taken, in UTC.
    sha256
        Digest of the whole file.
    size_bytes
        Its size.
    rows
        Rows of each table.
    program
        The version of the program that took it.
    words
        Why it was taken.
    """

    path: Path
    taken_at: datetime
    sha256: str
    size_bytes: int
    rows: dict[str, int]
    program: str
    words: str


def take_copy(database: Path, folder: Path, *, words: str = "by hand", at: datetime | None = None) -> Copy:
    """
    Copy the database while others read and write it, and check the copy.

    The copy appears under its name only when it is whole, sound and on the disk; a run that is cut short leaves nothing
    that could be taken for a copy.

    Parameters
    ----------
    database
        The SQLite file.
    folder
        Where copies are kept; made if it is not there.
    words
        Why it is taken.
    at
        The moment that names it; now unless given.

    Raises
    ------
    BadInput
        There is no database, it is damaged, or the folder cannot be written.
    """
    if not database.is_file():
        raise BadInput([Problem(place=str(database), found="no database", expected="a database that has been used")])
    moment = (at or datetime.now(UTC)).astimezone(UTC)
    target = folder / f"{PREFIX}{moment.strftime(STAMP)}.sqlite3"
    part = target.with_suffix(".part")
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with _locked(folder / LOCK, WAIT_S):
            _sweep(folder)
            rows = _copy_pages(database, part)
            part.chmod(0o600)
            described = Copy(
                path=target,
                taken_at=moment,
                sha256=_digest(part),
                size_bytes=part.stat().st_size,
                rows=rows,
                program=__version__,
                words=words,
            )
            # The description first: a copy without one is never listed, one without its file neither.
            _write_whole(_beside(target), _as_json(described))
            _flush(part)
            part.replace(target)
            _flush(folder)
    except sqlite3.DatabaseError as error:
        part.unlink(missing_ok=True)
        raise BadInput([Problem(place=str(database), found=str(error), expected="a sound database")]) from error
    except OSError as error:
        part.unlink(missing_ok=True)
        raise BadInput([_disk_problem(folder, error)]) from error
    return described


@contextmanager
def _locked(lock: Path, wait_s: float) -> Iterator[None]:
    """
    Hold a lock of a file for as long as the block lasts; it goes with the process that holds it.

    Raises
    ------
    sqlite3.OperationalError
        Another process has held it for longer than was waited.
    """
    lock.touch(mode=0o600)
    with closing(sqlite3.connect(lock, timeout=wait_s, isolation_level=None, check_same_thread=False)) as held:
        held.execute("BEGIN EXCLUSIVE")
        yield


def _copy_pages(database: Path, part: Path) -> dict[str, int]:
    part.unlink(missing_ok=True)
    with _reading(database) as source, closing(sqlite3.connect(part)) as copy:
        source.backup(copy, pages=PAGES, sleep=0.01)
        # One file, which needs nothing beside it to be read.
        copy.execute("PRAGMA journal_mode=DELETE")
        faults = faults_of(copy)
        if faults:
            raise sqlite3.DatabaseError(faults[0])
        return _count_rows(copy)


def _reading(path: Path) -> closing[sqlite3.Connection]:
    return closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True))


def faults_of(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return what SQLite finds wrong with a database: its pages and indexes, and rows that point at nothing."""
    found = [str(line) for (line,) in connection.execute("PRAGMA integrity_check(20)") if line != "ok"]
    orphans = connection.execute("PRAGMA foreign_key_check").fetchmany(20)
    found += [
        f"row {row} of {table} points at a row of {parent} that is not there" for table, row, parent, _ in orphans
    ]
    return tuple(found)


def _count_rows(connection: sqlite3.Connection) -> dict[str, int]:
    names = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    )
    # Names out of the schema itself, quoted; no value of a person's is put into the text.
    return {
        name: connection.execute('SELECT COUNT(*) FROM "' + name.replace('"', '""') + '"').fetchone()[0]
        for (name,) in names.fetchall()
    }


def copies_in(folder: Path) -> tuple[Copy, ...]:
    """Return the copies of a folder, the newest first; whatever is not whole is left out."""
    found = (_read_description(path) for path in sorted(folder.glob(f"{PREFIX}*.sqlite3"), reverse=True))
    return tuple(copy for copy in found if copy is not None)


def _read_description(path: Path) -> Copy | None:
    try:
        data = json.loads(_beside(path).read_text(encoding="utf-8"))
        return Copy(
            path=path,
            taken_at=datetime.fromisoformat(data["taken_at"]),
            sha256=str(data["sha256"]),
            size_bytes=int(data["size_bytes"]),
            rows={str(name): int(count) for name, count in data["rows"].items()},
            program=str(data["program"]),
            words=str(data["words"]),
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def faults_in_copy(copy: Copy) -> tuple[str, ...]:
    """Check a copy against its description and itself; an empty answer means that it can be put back."""
    try:
        if copy.path.stat().st_size != copy.size_bytes:
            return (f"the file is {copy.path.stat().st_size:,} bytes long, and was {copy.size_bytes:,}",)
        if _digest(copy.path) != copy.sha256:
            return ("the file is not what was written",)
        with _reading(copy.path) as connection:
            faults = faults_of(connection)
            if not faults and _count_rows(connection) != copy.rows:
                faults = ("its tables do not hold as many rows as were copied",)
            return faults
    except (OSError, sqlite3.DatabaseError) as error:
        return (str(error),)


def thin_out(folder: Path) -> tuple[Path, ...]:
    """
    Delete the copies that are no longer wanted, and return them.

    Kept are the newest, and the last of each day, week and month for a while.
    """
    copies = copies_in(folder)
    keep = {copy.path for copy in copies[:NEWEST]}
    for count, period in (
        (DAYS, lambda moment: moment.date()),
        (WEEKS, lambda moment: moment.isocalendar()[:2]),
        (MONTHS, lambda moment: (moment.year, moment.month)),
    ):
        last_of: dict[object, Path] = {}
        for copy in copies:
            last_of.setdefault(period(copy.taken_at), copy.path)
        keep.update(list(last_of.values())[:count])
    gone = tuple(copy.path for copy in copies if copy.path not in keep)
    for path in gone:
        _drop(path)
    return gone


def put_back(copy: Copy, database: Path, folder: Path) -> Copy | None:
    """
    Put a copy in the place of the database, in one transaction; a run that is cut short leaves it as it was.

    Returns
    -------
    before
        A copy of what stood there until now, or None where there was nothing, or nothing that could still be read: such
        a file is set aside beside the database.

    Raises
    ------
    BadInput
        The copy is damaged, or the database is in use.
    """
    faults = faults_in_copy(copy)
    if faults:
        expected = "a copy that is whole and sound"
        raise BadInput([Problem(place=copy.path.name, found=fault, expected=expected) for fault in faults])
    before = None
    if database.exists():
        try:
            with _alone(database):
                pass
            before = take_copy(database, folder, words="before a copy was put back")
        except (BadInput, sqlite3.DatabaseError) as error:
            if isinstance(error, sqlite3.OperationalError):
                raise BadInput([_in_use(database)]) from error
            _set_aside(database)
    try:
        database.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with (
            _alone(database) as target,
            _reading(copy.path) as source,
        ):
            source.backup(target)
            faults = faults_of(target)
            if faults:
                raise sqlite3.DatabaseError(faults[0])
    except sqlite3.OperationalError as error:
        raise BadInput([_in_use(database)]) from error
    except OSError as error:
        raise BadInput([_disk_problem(database.parent, error)]) from error
    return before


@contextmanager
def _alone(database: Path) -> Iterator[sqlite3.Connection]:
    """Open a database that nobody else has open: a reader in WAL mode holds a lock for as long as it is connected."""
    with closing(sqlite3.connect(database, timeout=0, isolation_level=None)) as connection:
        connection.execute("PRAGMA locking_mode=EXCLUSIVE")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute("COMMIT")
        yield connection


def _set_aside(database: Path) -> None:
    stamp = datetime.now(UTC).strftime(STAMP)
    for suffix in ("", "-wal", "-shm"):
        path = database.with_name(database.name + suffix)
        if path.exists():
            path.replace(path.with_name(f"{database.name}.damaged-{stamp}{suffix}"))


def check_at_start(database: Path, folder: Path) -> None:
    """
    Refuse to go on with a damaged database, and say which copy could be put back.

    Raises
    ------
    BadInput
        What is wrong, and the newest copy.
    """
    if not database.is_file() or database.stat().st_size == 0:
        return
    try:
        with _reading(database) as connection:
            faults = [str(line) for (line,) in connection.execute("PRAGMA quick_check(5)") if line != "ok"]
    except sqlite3.DatabaseError as error:
        faults = [str(error)]
    if faults:
        newest = next(iter(copies_in(folder)), None)
        hint = "" if newest is None else f"tierwright restore {newest.path.name}"
        raise BadInput(
            [Problem(place=str(database), found=fault, expected="a sound database", nearest=hint) for fault in faults]
        )


class Copyist:
    """Takes a copy now and then while the program runs, where something has changed since the last one."""

    def __init__(self, database: Path, folder: Path, say: Callable[[str], None], every: timedelta = EVERY) -> None:
        self._database = database
        self._folder = folder
        self._say = say
        self._every = every
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="copyist", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End, after the copy that is being taken."""
        self._stop.set()
        self._thread.join(timeout=60)

    def _run(self) -> None:
        while True:
            try:
                self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                with suppress(sqlite3.OperationalError), _locked(self._folder / ONE_LOCK, 0.0):
                    # As long as this process lasts it alone takes copies; another takes over when it is gone.
                    while True:
                        self._copy()
                        if self._stop.wait(self._every.total_seconds()):
                            return
            except OSError as error:
                self._say(f"No copy could be taken: {error}")
            if self._stop.wait(self._every.total_seconds()):
                return

    def _copy(self) -> None:
        try:
            copy_if_changed(self._database, self._folder)
        except BadInput as error:
            self._say(f"No copy could be taken: {error}")


def copy_if_changed(database: Path, folder: Path) -> Copy | None:
    """Take a copy, keep it where it differs from the newest one, and thin out the rest."""
    newest = next(iter(copies_in(folder)), None)
    copy = take_copy(database, folder, words="by itself")
    if newest is not None and newest.sha256 == copy.sha256:
        # Times of files say nothing here: even reading touches the write-ahead log.
        _drop(copy.path)
        return None
    thin_out(folder)
    return copy


def _drop(path: Path) -> None:
    path.unlink(missing_ok=True)
    _beside(path).unlink(missing_ok=True)


def _sweep(folder: Path) -> None:
    """Remove what a run that was cut short left behind."""
    for path in folder.glob(f"{PREFIX}*.part*"):
        path.unlink(missing_ok=True)
    for path in folder.glob(f"{PREFIX}*.json"):
        if not path.with_suffix(".sqlite3").exists():
            path.unlink(missing_ok=True)


def _beside(path: Path) -> Path:
    return path.with_suffix(".json")


def _as_json(copy: Copy) -> str:
    data = asdict(copy)
    del data["path"]
    return json.dumps(data, default=lambda moment: moment.isoformat(), indent=1, sort_keys=True)


def _write_whole(path: Path, text: str) -> None:
    part = path.with_suffix(".part-json")
    with part.open("w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    part.replace(path)


def _flush(path: Path) -> None:
    """Wait until a file or folder is on the disk."""
    if os.name == "nt" and path.is_dir():
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _in_use(database: Path) -> Problem:
    return Problem(
        place=str(database),
        found="a database that a running program holds open",
        expected="that nothing else uses it while a copy is put back",
        nearest="stop `tierwright serve` and its workers first",
    )


def _disk_problem(folder: Path, error: OSError) -> Problem:
    try:
        free = f", {shutil.disk_usage(folder if folder.exists() else folder.parent).free / 1e6:,.0f} MB free"
    except OSError:
        free = ""
    return Problem(place=str(folder), found=f"{error.strerror or error}{free}", expected="a folder that can be written")
