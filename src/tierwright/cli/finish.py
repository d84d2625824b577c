"""``tierwright finish``: what the finished cake wears, and its templates at full size."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.errors import Infeasible

if TYPE_CHECKING:
    from tierwright.dossier import Dossier, FinishWork

KITCHEN_NAME = "kitchen.toml"


class PaperChoice(StrEnum):
    """Paper of the templates."""

    A4 = "a4"
    LETTER = "letter"


@app.command("finish", epilog="Example: `tierwright finish examples/centenary/commission.toml --templates out`")
def finish(
    commission: Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen, TOML or JSON; kitchen.toml beside the commission if left out.")
    ] = None,
    templates: Annotated[
        Path | None, typer.Option(help="Folder for bands and words at full size: one PDF, and one SVG a sheet.")
    ] = None,
    paper: Annotated[
        PaperChoice | None, typer.Option(help="Paper of the templates; that of the place if left out.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Say what the finished cake wears: pieces and repeats that close, what they weigh, and how long they take."""
    from pydantic import TypeAdapter

    from tierwright.brief import read_brief
    from tierwright.cli.report import print_json
    from tierwright.dossier import FinishWork, prepare

    brief = read_brief(commission, kitchen or commission.with_name(KITCHEN_NAME))
    dossier = prepare(brief.commission, brief.kitchen)
    if dossier.finish is None:
        refused = next(question for question in dossier.notes.questions if question.key == "finish.refused")
        raise Infeasible("the finish as asked", refused.reason, refused.change)
    written = _write(dossier, dossier.finish, templates, paper) if templates is not None else ()
    if as_json:
        print_json(TypeAdapter(FinishWork).dump_python(dossier.finish, mode="json"))
        return
    _print(dossier, dossier.finish)
    if templates is not None:
        from tierwright.cli.report import print_lines

        nothing = ["Nothing on this cake is cut or written by a template."]
        print_lines(["", *([str(path) for path in written] or nothing)])


def _write(dossier: Dossier, found: FinishWork, folder: Path, paper: PaperChoice | None) -> tuple[Path, ...]:
    from tierwright.cli.writing import write_files
    from tierwright.sheets import Paper, book_of, render_pdf, words_of
    from tierwright.sheets.finish import sheets_of, templates_page

    chosen = {PaperChoice.A4: Paper.A4, PaperChoice.LETTER: Paper.LETTER, None: words_of(dossier).paper}[paper]
    sheets = sheets_of(found, chosen)
    if not sheets:
        return ()
    pdf = render_pdf((templates_page(sheets),), book_of(dossier, chosen))
    files = {"templates.pdf": pdf} | {f"{sheet.key}.svg": sheet.svg.encode() for sheet in sheets}
    return write_files(files, folder)


def _print(dossier: Dossier, found: FinishWork) -> None:
    from tierwright.cli.report import print_cautions, print_facts, print_lines, print_table
    from tierwright.sheets import words_of
    from tierwright.sheets.finish import PIECE_HEADS, page

    words = words_of(dossier)
    sheet = page(found, formulas=words.formulas, display=words.display, paper=words.paper, templates=False).data
    if dossier.commission.decor.is_plain:
        print_lines(["Nothing is asked for beside the coats. Write it into the commission, under decor."])
        return
    print_table("To have ready", ("what", "how much", "for"), _plain(sheet["ready"]), right=(1,))
    for title, name, heads, right in (
        ("Piped rows", "piping", PIECE_HEADS, (2, 3, 4, 6)),
        ("Bands", "bands", ("band", "from the foot", "high", "once round", "repeats", "takes"), (1, 2, 3, 4, 5)),
        ("Also", "others", ("what", "how", "takes"), (2,)),
    ):
        rows = [
            (str(tier["title"]).removesuffix(" tier"), *row)
            for tier in _dicts(sheet["tiers"])
            for row in _plain(tier[name])
        ]
        if rows:
            print_table(title, ("tier", *heads), rows, right=tuple(n + 1 for n in right))
    for more in _dicts(sheet["more"]):
        title = str(more["title"])
        if more["facts"]:
            print_facts(title, [(row[0], row[1]) for row in _plain(more["facts"])])
        if more["rows"]:
            print_table(title, [str(head) for head in _list(more["heads"])], _plain(more["rows"]))
        print_lines(str(remark) for remark in _list(more["remarks"]))
    print_lines(["", str(sheet["time"])] if sheet["time"] else [])
    print_cautions(caution for caution in dossier.notes.cautions if caution.key.startswith("finish."))


def _list(value: object) -> list[object]:
    return value if isinstance(value, list) else []


def _dicts(value: object) -> list[dict[str, object]]:
    return [one for one in _list(value) if isinstance(one, dict)]


def _plain(rows: object) -> list[tuple[str, ...]]:
    """Return rows of a sheet as words: a value with its range is printed as the value."""
    return [tuple(str(cell[0]) if isinstance(cell, list) else str(cell) for cell in _list(row)) for row in _list(rows)]
