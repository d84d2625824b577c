"""``tierwright compare``: what moves between two briefs or two dossiers."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app

if TYPE_CHECKING:
    from tierwright.dossier import Dossier


@app.command(
    "compare",
    epilog="Example, once the commission has been edited: `tierwright compare out/dossier.json "
    "examples/centenary/commission.toml`",
)
def compare(
    before: Annotated[Path, typer.Argument(help="A commission, or a dossier.json.")],
    after: Annotated[Path, typer.Argument(help="A commission, or a dossier.json.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen for commissions; kitchen.toml beside each if left out.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the consequences as JSON.")] = False,
) -> None:
    """List every figure that moved between two commissions, before and after, and the questions that turned."""
    from tierwright.cli.report import print_json, print_lines, print_table
    from tierwright.compare import consequences

    first, second = _load(before, kitchen), _load(after, kitchen)
    found = consequences(first.notes, second.notes)
    if as_json:
        print_json(asdict(found))
        return
    display = second.kitchen.units.display()

    def show(value: float | str | None, unit: str) -> str:
        if value is None:
            return "-"
        return value if isinstance(value, str) else display.show(value, unit)

    if not found.moves and not found.opened and not found.closed:
        print_lines(["Nothing moved."])
        return
    print_table(
        f"{len(found.moves)} figures moved",
        ("sheet", "figure", "before", "after", "by"),
        (
            (
                move.sheet,
                move.label,
                show(move.before, move.unit),
                show(move.after, move.unit),
                f"{move.share:+.1%}" if move.share is not None else "",
            )
            for move in found.moves
        ),
        right=(2, 3, 4),
    )
    for title, questions in (("Questions that opened", found.opened), ("Questions that closed", found.closed)):
        if questions:
            print_table(title, ("sheet", "question"), ((q.sheet, q.text) for q in questions))


def _load(path: Path, kitchen: Path | None) -> Dossier:
    from tierwright.brief import read_brief, read_text
    from tierwright.cli.dossier import KITCHEN_NAME
    from tierwright.dossier import from_json, is_dossier, prepare
    from tierwright.errors import BadInput

    if path.suffix == ".json":
        text = read_text(path, "a commission or a dossier")
        if is_dossier(text):
            try:
                return from_json(text, path.name)
            except BadInput:
                return _worked_again(text, path)
    brief = read_brief(path, kitchen or path.with_name(KITCHEN_NAME))
    return prepare(brief.commission, brief.kitchen)


def _worked_again(text: str, path: Path) -> Dossier:
    """Work the brief inside a dossier of another version through again, and say so: its figures are then today's."""
    import json
    import sys

    from tierwright.brief import parse_commission, parse_kitchen
    from tierwright.dossier import prepare
    from tierwright.errors import BadInput, Problem

    try:
        held = json.loads(text)
        commission = parse_commission(held["commission"], f"{path.name}: commission")
        dossier = prepare(commission, parse_kitchen(held["kitchen"], f"{path.name}: kitchen"))
    except (BadInput, ValueError, LookupError, TypeError):
        raise BadInput(
            [
                Problem(
                    place=path.name,
                    found="a dossier that this version cannot read, nor the brief in it",
                    expected="a dossier of this version, or a commission",
                    nearest="work its commission through again: tierwright dossier COMMISSION, then compare",
                )
            ]
        ) from None
    sys.stderr.write(
        f"{path.name} was written by another version of the program: the brief in it was worked through again, so "
        "all of its figures are today's.\n"
    )
    return dossier
