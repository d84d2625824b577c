"""``tierwright archive``: everything of one kitchen in one file, and a kitchen laid down from such a file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tierwright.cli import app

archive = typer.Typer(help="Everything of one kitchen in one file, and back.", no_args_is_help=True)
app.add_typer(archive, name="archive")

Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of lines.")]


@archive.command("write", epilog="Example: `tierwright archive write kitchen.zip --kitchen 1`")
def write(
    file: Annotated[Path, typer.Argument(help="File to write.")],
    kitchen: Annotated[int, typer.Option(help="Number of the kitchen, as its pages have it in their address.")] = 1,
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    as_json: Json = False,
) -> None:
    """Write everything of one kitchen into one file: JSON and files in a ZIP."""
    from tierwright.cli.report import print_json, print_lines
    from tierwright.errors import BadInput, Problem
    from tierwright.web.serve import set_up

    if file.exists() and not force:
        expected = "a file that is not there yet"
        raise BadInput([Problem(place=str(file), found="a file", expected=expected, nearest="--force")])
    set_up()
    from tierwright.web.keepsafe.archive import write_archive

    rows = write_archive(kitchen, file)
    if as_json:
        print_json({"file": str(file), "rows": rows})
    else:
        print_lines([f"{file}: {sum(rows.values()):,} rows of {sum(1 for count in rows.values() if count)} tables"])


@archive.command("read", epilog="Example: `tierwright archive read kitchen.zip`")
def read(
    file: Annotated[Path, typer.Argument(help="An archive.", exists=True, dir_okay=False)],
    as_json: Json = False,
) -> None:
    """Lay down a kitchen from its archive, beside those there are: everything, or nothing."""
    from tierwright.cli.report import print_json, print_lines
    from tierwright.web.serve import set_up

    set_up()
    from tierwright.web.keepsafe.archive import read_archive

    kitchen = read_archive(file)
    if as_json:
        print_json({"kitchen": kitchen.pk, "name": kitchen.name})
    else:
        print_lines([f"{kitchen.name} is kitchen {kitchen.pk}: everything is as it was written."])
