"""What the pages tell to type can be typed: commands parse with the program's own parser, quick ones and code run."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.docs.pages import ROOT, TEXTS, commands, fenced, name
from typer.main import get_command
from typer.testing import CliRunner

from tierwright.cli import app, load_commands

QUICK = {"bake", "cream", "formula", "label", "ledger", "meringue", "oven", "syrup", "tiers"}
"""Run here; the others are run on the example by the tests of the commands, or would touch the reader's records."""


@pytest.fixture(scope="module")
def program() -> Any:
    load_commands()
    return get_command(app)


def is_quick(words: list[str]) -> bool:
    return words[0] in QUICK or words[:2] in (["keeping", "dew"], ["keeping", "table"], ["keeping", "flower"])


@pytest.mark.parametrize("path", [path for path in TEXTS if commands(path)], ids=name)
def test_every_command_has_its_words_and_options(
    path: Path, program: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    for words in commands(path):
        for file in (Path(word) for word in words if re.fullmatch(r"[\w/-]+\.(zip|toml|jsonl?|txt)", word)):
            # The reader has it by then; whether what comes with the program is there is seen by the parser.
            if not str(file).startswith("examples/"):
                file.parent.mkdir(exist_ok=True)
                file.touch()
        command, rest = program, list(words)
        while hasattr(command, "commands"):
            assert rest, words
            assert rest[0] in command.commands, f"no command {rest[0]!r} in {words}"
            command, rest = command.commands[rest[0]], rest[1:]
        # Whatever is misspelt, missing or of the wrong kind is refused here, before anything runs.
        command.make_context(words[0], rest)


@pytest.mark.parametrize("path", TEXTS, ids=name)
def test_commands_that_are_named_exist(path: Path, program: Any) -> None:
    for words in re.findall(r"`tierwright ([^`]+)`", path.read_text(encoding="utf-8")):
        for first in words.split()[0].split("|"):
            assert first in program.commands or first.startswith("-"), f"{name(path)}: tierwright {words}"


def test_every_command_is_told_of(program: Any) -> None:
    pages = [path for path in TEXTS if path.name != "README.md"]
    told = {words[0] for path in pages for words in commands(path)}
    told |= {word for path in pages for word in re.findall(r"`tierwright (\w+)", path.read_text(encoding="utf-8"))}
    assert set(program.commands) <= told


@pytest.mark.parametrize("path", [path for path in TEXTS if any(map(is_quick, commands(path)))], ids=name)
def test_quick_commands_run(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    load_commands()
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    for words in filter(is_quick, commands(path)):
        done = CliRunner().invoke(app, words)
        assert done.exit_code == 0, f"{words}: {done.output}"


# The README's example works a whole commission through and is run by its own test.
@pytest.mark.parametrize("path", [p for p in TEXTS if p.name != "README.md" and fenced(p, "python")], ids=name)
def test_code_runs(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    for block in fenced(path, "python"):
        exec(compile(block, name(path), "exec"), {})


@pytest.mark.parametrize("path", [path for path in TEXTS if fenced(path, "toml")], ids=name)
def test_files_that_are_shown_can_be_read(path: Path) -> None:
    for block in fenced(path, "toml"):
        assert tomllib.loads(block)


@pytest.mark.parametrize("path", [path for path in TEXTS if fenced(path, "sh")], ids=name)
def test_targets_of_make_exist(path: Path) -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    for target in re.findall(r"^make (\w+)", "\n".join(fenced(path, "sh")), flags=re.MULTILINE):
        assert re.search(rf"^{target}:", makefile, flags=re.MULTILINE), f"make {target}"


def test_the_ingredient_that_is_shown_can_be_built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tools import build_ingredients as builder

    page = (ROOT / "docs" / "contributing" / "ingredient.md").read_text(encoding="utf-8")
    shown = [line[8:] for line in page.splitlines() if re.match(r" {8}(\[|\w+ = )", line)]
    groups = (builder.HERE / "ingredient_groups.toml").read_text(encoding="utf-8")
    (tmp_path / "ingredient_groups.toml").write_text(groups, encoding="utf-8")
    (tmp_path / "ingredients.toml").write_text("\n".join(shown), encoding="utf-8")
    kept = tomllib.loads((builder.HERE / "ingredients.toml").read_text(encoding="utf-8"))
    monkeypatch.setattr(builder, "HERE", tmp_path)
    (key,) = builder.picks()
    assert key not in kept
    assert builder.row(key)["water_g"]
    assert builder.measures(key)
