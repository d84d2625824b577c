"""The move to a database server, against a real one where ``TIERWRIGHT_TEST_SERVER`` names it (CI starts one)."""

from __future__ import annotations

import os
import secrets
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

SERVER = os.environ.get("TIERWRIGHT_TEST_SERVER", "")
EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "centenary"

LOAD = f"""
from pathlib import Path
from tierwright.web.serve import load_example, set_up
set_up()
load_example(Path({str(EXAMPLE)!r}))
from django.contrib.auth.models import User
from tierwright.web.models import BenchEntry, Client, Commission, Kitchen, OvenEvidence
kitchen, commission = Kitchen.objects.get(), Commission.objects.get()
Client.objects.create(kitchen=kitchen, name="Nadia", health="hazelnuts \\u00fc \\U0001f382", note="a" * 3000)
OvenEvidence.objects.create(kitchen=kitchen, oven="Oven", mode="fan", key="k", evidence={{"b": [1.5, 1e-7, None]}})
BenchEntry.objects.create(commission=commission, version=1, sheet="bakes", step="1", what="tick", device="d",
    order=2**40, done_at="2026-03-01T02:30:00.123456Z", user=User.objects.get())
"""
AGAIN = """
from tierwright.web.serve import set_up
set_up()
from django.contrib.auth.models import User
from tierwright.web.models import Client, Kitchen
# A number that was already given out would be refused by the table.
print(Client.objects.create(kitchen=Kitchen.objects.get(), name="the next one").pk)
User.objects.create_user("somebody")
"""
needs_server = pytest.mark.skipif(not SERVER, reason="TIERWRIGHT_TEST_SERVER names no PostgreSQL")


def _run(code: str, home: Path, **settings: str) -> subprocess.CompletedProcess[str]:
    return _call([sys.executable, "-c", code], home, **settings)


def _tierwright(*words: str, home: Path, **settings: str) -> subprocess.CompletedProcess[str]:
    code = "import sys; sys.argv[0] = 'tierwright'; from tierwright.cli import main; main()"
    return _call([sys.executable, "-c", code, *words], home, **settings)


def _call(words: list[str], home: Path, **settings: str) -> subprocess.CompletedProcess[str]:
    env = {name: value for name, value in os.environ.items() if name not in {"DATABASE_URL", "DJANGO_SETTINGS_MODULE"}}
    return subprocess.run(
        words, env=env | {"TIERWRIGHT_HOME": str(home)} | settings, capture_output=True, text=True, check=False
    )


@pytest.fixture
def address() -> Iterator[str]:
    import psycopg

    name = f"move_{secrets.token_hex(6)}"
    with psycopg.connect(f"{SERVER}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"'.encode())
        yield f"{SERVER}/{name}"
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


@needs_server
def test_every_row_is_the_same_there_and_the_next_one_gets_the_next_number(tmp_path: Path, address: str) -> None:
    loaded = _run(LOAD, tmp_path / "here")
    assert loaded.returncode == 0, loaded.stderr
    moved = _tierwright("move", address, "--json", home=tmp_path / "here")
    assert moved.returncode == 0, moved.stderr
    assert '"web.benchentry": 1' in moved.stdout
    for name, settings in (("one.zip", {}), ("two.zip", {"DATABASE_URL": address})):
        written = _tierwright("archive", "write", str(tmp_path / name), home=tmp_path / "here", **settings)
        assert written.returncode == 0, written.stderr
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()
    again = _run(AGAIN, tmp_path / "here", DATABASE_URL=address)
    assert again.returncode == 0, again.stderr
    assert again.stdout.strip() == "2"
    refused = _tierwright("move", address, home=tmp_path / "here")
    assert refused.returncode == 2
    assert "in which nobody has begun yet" in refused.stderr + refused.stdout


@needs_server
def test_a_row_the_server_does_not_take_leaves_it_empty(tmp_path: Path, address: str) -> None:
    import psycopg

    # SQLite keeps a zero character in a text; PostgreSQL does not.
    spoilt = LOAD + "Client.objects.create(kitchen=kitchen, name='a' + chr(0))\n"
    assert _run(spoilt, tmp_path / "here").returncode == 0
    moved = _tierwright("move", address, home=tmp_path / "here")
    assert moved.returncode == 2
    assert "a server that takes every row" in moved.stderr + moved.stdout
    with psycopg.connect(address) as connection:
        assert connection.execute("SELECT COUNT(*) FROM web_kitchen").fetchone() == (0,)


def test_a_server_that_is_not_there_is_said(tmp_path: Path) -> None:
    moved = _tierwright("move", "postgresql://nobody@127.0.0.1:9/none", home=tmp_path)
    assert moved.returncode == 2
    assert "a server that takes every row" in moved.stderr + moved.stdout
    assert _tierwright("move", "mysql://x/y", home=tmp_path).returncode == 2
