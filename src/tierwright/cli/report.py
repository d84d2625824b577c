"""How the command line says things: tables for people, JSON for programs, one report for everything wrong."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from tierwright.errors import BadInput, TierwrightError

if TYPE_CHECKING:
    from tierwright.working import Caution


def print_json(value: Any) -> None:
    """Print plain data as JSON on standard output."""
    json.dump(value, sys.stdout, indent=2, ensure_ascii=False, default=str)
    sys.stdout.write("\n")


def print_table(title: str, head: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int] = ()) -> None:
    """Print a ruled table; columns whose numbers stand in ``right`` are aligned to the right."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(title=title, title_justify="left", box=SIMPLE_HEAD, pad_edge=False, title_style="bold")
    for number, name in enumerate(head):
        table.add_column(name, justify="right" if number in right else "left", overflow="fold")
    for row in rows:
        # Text objects, so that brackets in a maker's own words are never taken for markup.
        table.add_row(*(Text(cell) for cell in row))
    Console(highlight=False).print(table)


def print_facts(title: str, rows: Iterable[tuple[str, str]]) -> None:
    """Print names and values in two columns under a title."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(title=title, title_justify="left", title_style="bold", box=None, show_header=False, pad_edge=False)
    for name, value in rows:
        table.add_row(Text(name, style="dim"), Text(value))
    Console(highlight=False).print(table)


def print_cautions(cautions: Iterable[Caution]) -> None:
    """Print each hazard once."""
    seen = dict.fromkeys((caution.text, caution.reason) for caution in cautions)
    print_lines(f"\nMind: {text} {reason}" for text, reason in seen)


def print_lines(lines: Iterable[str]) -> None:
    """Print plain lines."""
    for line in lines:
        sys.stdout.write(f"{line}\n")


def print_refusal(error: TierwrightError, *, as_json: bool) -> None:
    """Print everything that is wrong, once, on standard error (as JSON on standard output if asked)."""
    problems = error.problems if isinstance(error, BadInput) else ()
    if as_json:
        entries: list[dict[str, str]] = [
            {"place": p.place, "found": p.found, "expected": p.expected, "nearest": p.nearest} for p in problems
        ]
        print_json({"error": type(error).__name__, "message": "" if problems else str(error), "problems": entries})
        return
    if not problems:
        sys.stderr.write(f"{error}\n")
        return
    count = "1 thing is" if len(problems) == 1 else f"{len(problems)} things are"
    sys.stderr.write(f"{count} wrong; nothing was written.\n")
    for problem in problems:
        sys.stderr.write(f"\n  {problem.place}\n    found     {problem.found}\n    expected  {problem.expected}\n")
        if problem.nearest:
            sys.stderr.write(f"    nearest   {problem.nearest}\n")
