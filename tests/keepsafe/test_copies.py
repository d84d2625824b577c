"""Copies: sound while others write, refused when damaged, put back whole."""

import json
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import sleep

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import BadInput
from tierwright.web.keepsafe import copies
from tierwright.web.keepsafe.copies import (
    Copyist,
    check_at_start,
    copies_in,
    copy_if_changed,
    faults_in_copy,
    put_back,
    take_copy,
    thin_out,
)

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "tierwright.sqlite3"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("CREATE TABLE book (id INTEGER PRIMARY KEY, page TEXT)")
        connection.execute("CREATE TABLE line (id INTEGER PRIMARY KEY, book INTEGER REFERENCES book (id))")
        connection.executemany("INSERT INTO book (page) VALUES (?)", [("x" * 3000,)] * 200)
        connection.execute("INSERT INTO line (book) VALUES (7)")
        connection.commit()
    return path


def _pages(path: Path) -> int:
    with closing(sqlite3.connect(path)) as connection:
        return int(connection.execute("SELECT COUNT(*) FROM book").fetchone()[0])


def test_a_copy_taken_between_two_writers_commits_is_whole(database: Path, tmp_path: Path) -> None:
    done = threading.Event()

    def write() -> None:
        # Two rows a commit: a copy that holds an odd number has cut a transaction in two.
        with closing(sqlite3.connect(database, timeout=30)) as connection:
            while not done.is_set():
                connection.executemany("INSERT INTO book (page) VALUES (?)", [("y" * 500,)] * 2)
                connection.commit()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        taken = [take_copy(database, tmp_path / "copies", at=NOON + timedelta(seconds=n)) for n in range(5)]
    finally:
        done.set()
        writer.join()
    assert [faults_in_copy(copy) for copy in taken] == [()] * 5
    assert all(copy.rows["book"] % 2 == 0 and copy.rows["book"] >= 200 for copy in taken)
    assert [copy.path for copy in copies_in(tmp_path / "copies")] == [copy.path for copy in reversed(taken)]


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (lambda path: path.write_bytes(path.read_bytes()[:-4096]), "bytes long"),
        (lambda path: path.write_bytes(path.read_bytes()[:-1] + b"!"), "not what was written"),
        (lambda path: path.unlink(), "No such file"),
    ],
)
def test_a_damaged_copy_is_named_and_never_put_back(
    database: Path, tmp_path: Path, damage: Callable[[Path], object], words: str
) -> None:
    copy = take_copy(database, tmp_path / "copies")
    damage(copy.path)
    assert words in faults_in_copy(copy)[0]
    before = database.read_bytes()
    with pytest.raises(BadInput, match=words):
        put_back(copy, database, tmp_path / "copies")
    assert database.read_bytes() == before


def test_a_row_that_points_at_nothing_is_a_fault(database: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("INSERT INTO line (book) VALUES (9999)")
        connection.commit()
    with pytest.raises(BadInput, match="points at a row of book"):
        take_copy(database, tmp_path / "copies")
    assert [path.name for path in (tmp_path / "copies").iterdir()] == [copies.LOCK]


def test_putting_back_gives_the_rows_of_then_and_keeps_those_of_now(database: Path, tmp_path: Path) -> None:
    then = take_copy(database, tmp_path / "copies", at=NOON)
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("DELETE FROM book WHERE id > 50")
        connection.commit()
    before = put_back(then, database, tmp_path / "copies")
    assert _pages(database) == 200
    assert before is not None
    assert before.rows["book"] == 50
    assert put_back(before, database, tmp_path / "copies") is not None
    assert _pages(database) == 50


def test_a_database_in_use_is_left_alone(database: Path, tmp_path: Path) -> None:
    copy = take_copy(database, tmp_path / "copies")
    with closing(sqlite3.connect(database)) as reader:
        assert reader.execute("SELECT 1 FROM book").fetchone()
        with pytest.raises(BadInput, match="holds open"):
            put_back(copy, database, tmp_path / "copies")
        reader.execute("INSERT INTO book (page) VALUES ('still mine')")
        reader.commit()
    assert _pages(database) == 201


@pytest.mark.parametrize("rubbish", [b"", b"not a database at all" * 900, None])
def test_a_copy_takes_the_place_of_what_cannot_be_read(database: Path, tmp_path: Path, rubbish: bytes | None) -> None:
    copy = take_copy(database, tmp_path / "copies")
    if rubbish is None:
        database.unlink()
    else:
        database.write_bytes(rubbish)
    put_back(copy, database, tmp_path / "copies")
    assert _pages(database) == 200
    if rubbish:
        assert rubbish in [path.read_bytes() for path in tmp_path.glob("*.damaged-*")]


def test_a_start_refuses_a_damaged_database_and_names_the_copy(database: Path, tmp_path: Path) -> None:
    check_at_start(database, tmp_path / "copies")
    check_at_start(tmp_path / "none.sqlite3", tmp_path / "copies")
    copy = take_copy(database, tmp_path / "copies")
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    content = bytearray(database.read_bytes())
    content[8192:40960] = b"\xff" * (40960 - 8192)
    database.write_bytes(bytes(content))
    with pytest.raises(BadInput, match=f"restore {copy.path.name}"):
        check_at_start(database, tmp_path / "copies")


def test_nothing_new_needs_no_new_copy(database: Path, tmp_path: Path) -> None:
    assert copy_if_changed(database, tmp_path / "copies") is not None
    assert copy_if_changed(database, tmp_path / "copies") is None
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("INSERT INTO book (page) VALUES ('new')")
        connection.commit()
    again = copy_if_changed(database, tmp_path / "copies")
    assert again is not None
    assert again.rows["book"] == 201


def test_the_copyist_takes_the_first_copy_at_once_and_says_what_fails(database: Path, tmp_path: Path) -> None:
    said: list[str] = []
    copyist = Copyist(database, tmp_path / "copies", said.append, every=timedelta(hours=1))
    copyist.start()
    copyist.stop()
    assert len(copies_in(tmp_path / "copies")) == 1
    broken = Copyist(tmp_path / "none", tmp_path / "copies", said.append)
    broken.start()
    broken.stop()
    assert "no database" in said[0]


def test_of_two_copyists_one_takes_copies_and_the_other_when_that_is_gone(database: Path, tmp_path: Path) -> None:
    folder, often = tmp_path / "copies", timedelta(seconds=0.05)
    first = Copyist(database, folder, print, every=timedelta(hours=1))
    first.start()
    while len(copies_in(folder)) < 1:
        sleep(0.01)
    second = Copyist(database, folder, print, every=often)
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("INSERT INTO line (book) VALUES (9)")
        connection.commit()
    second.start()
    sleep(0.4)
    assert len(copies_in(folder)) == 1, "the first has an hour to wait, and the second leaves it to the first"
    first.stop()
    for _ in range(500):
        if len(copies_in(folder)) == 2:
            break
        sleep(0.01)
    second.stop()
    assert len(copies_in(folder)) == 2


def test_a_copy_waits_for_one_that_another_is_taking(database: Path, tmp_path: Path) -> None:
    folder = tmp_path / "copies"
    folder.mkdir()
    half = folder / f"{copies.PREFIX}20260301T120000000000Z.part"
    taking = threading.Thread(target=lambda: take_copy(database, folder))
    with copies._locked(folder / copies.LOCK, 1.0):
        half.write_bytes(b"half of it")
        taking.start()
        taking.join(0.3)
        assert half.exists(), "what another has half written is left alone"
        assert not copies_in(folder)
    taking.join(30)
    assert len(copies_in(folder)) == 1


@settings(max_examples=30, deadline=None)
@given(hours=st.lists(st.integers(0, 24 * 400), min_size=1, max_size=120, unique=True))
def test_thinning_keeps_the_newest_and_the_last_of_each_day_week_and_month(
    tmp_path_factory: pytest.TempPathFactory, hours: list[int]
) -> None:
    folder = tmp_path_factory.mktemp("copies")
    for hour in hours:
        at = NOON + timedelta(hours=hour)
        path = folder / f"{copies.PREFIX}{at.strftime(copies.STAMP)}.sqlite3"
        path.write_bytes(b"")
        described = {"taken_at": at.isoformat(), "sha256": "", "size_bytes": 0, "rows": {}, "program": "", "words": ""}
        path.with_suffix(".json").write_text(json.dumps(described))
    all_ = copies_in(folder)
    gone = set(thin_out(folder))
    left = copies_in(folder)
    assert {copy.path for copy in left} | gone == {copy.path for copy in all_}
    assert [copy.path for copy in left[: copies.NEWEST]] == [copy.path for copy in all_[: copies.NEWEST]]
    assert len(left) <= copies.NEWEST + copies.DAYS + copies.WEEKS + copies.MONTHS
    newest_day = sorted({copy.taken_at.date() for copy in all_}, reverse=True)[: copies.DAYS]
    for day in newest_day:
        of_day = [copy.path for copy in all_ if copy.taken_at.date() == day]
        assert of_day[0] not in gone


def test_a_full_disk_is_said_and_leaves_no_half_copy(database: Path, tmp_path: Path) -> None:
    # The limit of a file's size stands for the disk's: the write fails in the same call.
    code = (
        "import resource, signal, sys; from pathlib import Path\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))\n"
        "from tierwright.errors import BadInput\n"
        "from tierwright.web.keepsafe.copies import take_copy\n"
        "try: take_copy(Path(sys.argv[1]), Path(sys.argv[2]))\n"
        "except BadInput as error: print(error); sys.exit(7)\n"
    )
    folder = tmp_path / "copies"
    run = subprocess.run(
        [sys.executable, "-c", code, str(database), str(folder)], capture_output=True, text=True, check=False
    )
    assert run.returncode == 7, run.stderr
    assert "disk" in run.stdout or "large" in run.stdout
    assert copies_in(folder) == ()
    assert _pages(database) == 200
