"""Every example in a command's help is run as it stands; every broken brief goes through the command as a file."""

from __future__ import annotations

import copy
import json
import re
import shlex
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.brief.test_broken_files import COMMISSIONS, EXAMPLE, TEXTS, commission_data
from typer.main import get_command

from tierwright.cli import app, load_commands, main

ENDLESS = {"serve", "work"}
"""Commands that run until they are stopped."""

OF_RECORDS = {"archive read", "archive write", "backup", "move", "password", "restore"}
"""Commands on what the pages remember: tests/keepsafe/test_commands.py runs them on a database of its own."""

SMALLER = {"picture": ["--width", "18", "--samples", "1"]}
"""Added to an example that would take minutes: the same work with less of it."""

FIRST = ("dossier", "oven learn", "oven show", "oven forget", "ledger add", "ledger correct")
"""What the other examples find in the folder; the rest follow in any order."""


def walk(group: Any, name: str = "") -> Iterator[tuple[str, str]]:
    for key, command in group.commands.items():
        full = f"{name} {key}".strip()
        if hasattr(command, "commands"):
            yield from walk(command, full)
        else:
            yield full, command.epilog or ""


def examples() -> list[tuple[str, str]]:
    load_commands()
    found = [one for one in walk(get_command(app)) if one[0] not in ENDLESS | OF_RECORDS]
    return sorted(found, key=lambda one: (FIRST.index(one[0]) if one[0] in FIRST else len(FIRST), one[0]))


def call(words: list[str], monkeypatch: pytest.MonkeyPatch) -> int:
    monkeypatch.setattr(sys, "argv", ["tierwright", *words])
    with pytest.raises(SystemExit) as left:
        main()
    return int(left.value.code or 0)


def test_every_example_in_the_help_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(EXAMPLE, tmp_path / "examples" / "centenary")
    monkeypatch.chdir(tmp_path)
    for name, epilog in examples():
        shown = re.search(r"`tierwright ([^`]+)`", epilog)
        assert shown is not None, f"{name} shows no example"
        words = shlex.split(shown.group(1).split(" > ")[0]) + SMALLER.get(name, [])
        # An entry is corrected by its number: three entries, so that a small number is there.
        for _ in range(3 if name == "ledger add" else 1):
            code = call(words, monkeypatch)
            told = capsys.readouterr()
            assert code == 0, f"tierwright {' '.join(words)}: {told.err}"
            assert told.out.strip(), name


def broken(break_it: Callable[[dict[str, Any]], None], good: dict[str, Any]) -> bytes:
    data = copy.deepcopy(good)
    break_it(data)
    return json.dumps(data).encode()


def test_every_broken_file_gives_one_report_and_code_2_and_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    good = commission_data()
    files = [(name, content) for name, content, _ in TEXTS]
    files += [(f"{number}.json", broken(change, good)) for number, (change, _, _) in enumerate(COMMISSIONS)]
    dry = ["300 g plain flour", "300 g caster sugar"]
    files.append(("dry.json", broken(lambda data: data["formulas"][0].update(lines=dry), good)))
    assert len(files) >= 60
    for name, content in files:
        folder = tmp_path / f"of-{name}"
        folder.mkdir()
        (folder / name).write_bytes(content)
        words = [
            "dossier",
            str(folder / name),
            "--kitchen",
            str(EXAMPLE / "kitchen.toml"),
            "--out",
            str(folder / "out"),
        ]
        code = call(words, monkeypatch)
        told = capsys.readouterr()
        assert code == 2, f"{name}: {code}, {told.out[:200]}"
        assert told.out == ""
        assert told.err.strip(), name
        assert "Traceback" not in told.err
        assert [path.name for path in folder.iterdir()] == [name]
