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

    if path.suffix == ".json":
        text = read_text(path, "a commission or a dossier")
        if is_dossier(text):
            return from_json(text, path.name)
    brief = read_brief(path, kitchen or path.with_name(KITCHEN_NAME))
    return prepare(brief.commission, brief.kitchen)
