"""``tierwright backup`` and ``tierwright restore``: copies of everything the pages remember, and the way back."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tierwright.cli import app

if TYPE_CHECKING:
    from tierwright.web.keepsafe.copies import Copy

Json = Annotated[bool, typer.Option("--json", help="Print JSON instead of a table.")]


def _places() -> tuple[Path, Path]:
    """Return the database and the folder of its copies; refuse a database server, which has tools of its own."""
    from tierwright.errors import BadInput, Problem
    from tierwright.web import env
    from tierwright.web.keepsafe.copies import FOLDER

    if env.text("DATABASE_URL", ""):
        raise BadInput(
            [
                Problem(
                    place="DATABASE_URL",
                    found="a database server",
                    expected="SQLite in the data folder",
                    nearest="pg_dump and pg_restore of the server; or `tierwright archive` for one kitchen",
                )
            ]
        )
    return env.home() / env.DATABASE, env.home() / FOLDER


def _told(copy: Copy) -> dict[str, Any]:
    return {
        "name": copy.path.name,
        "taken_at": copy.taken_at.isoformat(),
        "size_bytes": copy.size_bytes,
        "rows": sum(copy.rows.values()),
        "program": copy.program,
        "words": copy.words,
        "sha256": copy.sha256,
    }


def _print(rows: list[dict[str, Any]], as_json: bool, title: str) -> None:
    from tierwright.cli.report import print_json, print_table

    if as_json:
        print_json(rows)
        return
    print_table(
        title,
        ("Copy", "Taken (UTC)", "MB", "Rows", "Why", "State"),
        (
            (
                row["name"].removeprefix("tierwright-").removesuffix(".sqlite3"),
                row["taken_at"][:16].replace("T", " "),
                f"{row['size_bytes'] / 1e6:,.1f}",
                f"{row['rows']:,}",
                row["words"],
                row.get("state", ""),
            )
            for row in rows
        ),
        right=(2, 3),
    )


@app.command("backup", epilog="Example: `tierwright backup`, then `tierwright backup --verify`")
def backup(
    listed: Annotated[bool, typer.Option("--list", help="Only list the copies there are.")] = False,
    verify: Annotated[bool, typer.Option("--verify", help="Check every copy there is; take none.")] = False,
    to: Annotated[Path | None, typer.Option(help="Folder for the copy instead of the data folder's own.")] = None,
    as_json: Json = False,
) -> None:
    """Copy the database while it is in use, check the copy, and thin out old ones."""
    from tierwright.errors import BadInput, Problem
    from tierwright.web.keepsafe.copies import copies_in, faults_in_copy, take_copy, thin_out

    database, folder = _places()
    folder = to or folder
    if listed:
        _print([_told(copy) for copy in copies_in(folder)], as_json, f"Copies in {folder}")
        return
    if verify:
        found = [(copy, faults_in_copy(copy)) for copy in copies_in(folder)]
        rows = [_told(copy) | {"state": "; ".join(faults) or "sound"} for copy, faults in found]
        _print(rows, as_json, f"Copies in {folder}")
        bad = [
            Problem(place=copy.path.name, found=fault, expected="a sound copy")
            for copy, all_ in found
            for fault in all_
        ]
        if bad:
            raise BadInput(bad)
        return
    copy = take_copy(database, folder)
    if to is None:
        thin_out(folder)
    _print([_told(copy) | {"state": "sound"}], as_json, f"Copied to {folder}")


@app.command("restore", epilog="Example: `tierwright restore latest`")
def restore(
    name: Annotated[str, typer.Argument(help="Name of a copy as `backup --list` shows it, its path, or `latest`.")],
    as_json: Json = False,
) -> None:
    """Put a copy back in the place of the database; what stood there is copied first."""
    from tierwright.errors import BadInput, Problem
    from tierwright.web.keepsafe.copies import copies_in, put_back

    database, folder = _places()
    path = Path(name)
    copies = copies_in(path.parent if path.parent != Path() else folder)
    names = {path.name, f"tierwright-{path.name}.sqlite3"}
    chosen = next((copy for copy in copies if name == "latest" or copy.path.name in names), None)
    if chosen is None:
        nearest = copies[0].path.name if copies else ""
        raise BadInput([Problem(place="restore", found=name, expected="the name of a copy", nearest=nearest)])
    before = put_back(chosen, database, folder)
    from tierwright.web.serve import set_up

    # An older copy is brought up to today's tables at once, so that a fault shows now and not at the next start.
    set_up()
    rows = [_told(chosen) | {"state": "put back"}]
    if before is not None:
        rows.append(_told(before) | {"state": "kept"})
    _print(rows, as_json, "Put back")
