"""Start the pages: bring the database up to date, load the example once, listen."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from tierwright.errors import BadInput, Problem
from tierwright.web import env

if TYPE_CHECKING:
    from django.contrib.auth.models import User

    from tierwright.web.frame.change import Tried
    from tierwright.web.models import Kitchen

THREADS: Final = 4
"""More threads only wait for one another: reading SQLite hands the interpreter over at every row."""
WAITING: Final = 16
"""Further threads for each process that tries changes out: they do nothing but wait for it."""


def set_up() -> None:
    """
    Make the data folder, read the settings, and bring the database up to date.

    A database that is to be changed is copied first, and a damaged one is refused.
    """
    import django
    from django.core.management import call_command

    from tierwright.web.keepsafe.copies import check_at_start, take_copy

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tierwright.web.settings")
    env.keep_secret(env.home())
    django.setup()
    database = own_database()
    if database is not None:
        check_at_start(*database)
        if database[0].is_file() and _tables_are_old():
            take_copy(*database, words="before the tables were changed")
    call_command("migrate", verbosity=0, interactive=False)
    call_command("clearsessions")


def own_database() -> tuple[Path, Path] | None:
    """Return the SQLite file and the folder of its copies, or None where a database server holds the records."""
    from django.conf import settings

    from tierwright.web.keepsafe.copies import FOLDER

    found = settings.DATABASES["default"]
    if found["ENGINE"] != "django.db.backends.sqlite3":
        return None
    return Path(str(found["NAME"])), env.home() / FOLDER


def _tables_are_old() -> bool:
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return bool(executor.loader.applied_migrations and executor.migration_plan(executor.loader.graph.leaf_nodes()))


def load_example(folder: Path) -> bool:
    """
    Load the example kitchen, its formula book and its commission where there is no kitchen yet.

    Returns
    -------
    loaded
        Whether anything was loaded.
    """
    from tierwright.web.models import Kitchen
    from tierwright.web.people.local import ensure_maker

    maker = ensure_maker()
    if Kitchen.objects.exists():
        return False
    if not (folder / "commission.toml").is_file():
        raise BadInput([Problem(place=str(folder), found="no commission.toml", expected="the folder of an example")])
    lay_down(read_example(folder), maker)
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """An example read from its files: the kitchen as written, and its commission worked through."""

    kitchen: dict[str, Any]
    tried: Tried


def read_example(folder: Path) -> Example:
    """Read a kitchen and a commission from their files and work the commission through."""
    from tierwright.brief import parse_kitchen, read_formula_sheet, read_table
    from tierwright.web.frame.change import work_through
    from tierwright.web.frame.filling import plain

    kitchen = plain(read_table(folder / "kitchen.toml"))
    parse_kitchen(kitchen, "kitchen.toml")
    brief = plain(read_table(folder / "commission.toml"))
    brief["formulas"] = [
        read_formula_sheet(folder / entry["file"], entry.get("kind")).model_dump(
            mode="json", by_alias=True, exclude_defaults=True
        )
        | {"key": entry["key"]}
        if "file" in entry
        else entry
        for entry in brief.get("formulas", [])
    ]
    tried = work_through(brief, kitchen, set())
    if tried.dossier is None:
        raise BadInput([Problem(place=str(folder), found=text, expected="a sound example") for text in tried.beyond])
    return Example(kitchen=kitchen, tried=tried)


def lay_down(example: Example, maker: User) -> Kitchen:
    """Write an example into the database, for a person who then owns it."""
    from tierwright.web.access import Door
    from tierwright.web.frame.change import begin
    from tierwright.web.models import BookFormula, Kitchen, Membership, Role

    kitchen = Kitchen.objects.create(name=example.kitchen["name"], data=example.kitchen)
    membership = Membership.objects.create(kitchen=kitchen, user=maker, role=Role.OWNER)
    BookFormula.objects.bulk_create(
        BookFormula(kitchen=kitchen, key=sheet["key"], name=sheet["name"], kind=sheet["kind"], sheet=sheet)
        for sheet in example.tried.brief["formulas"]
    )
    begin(Door(membership=membership, user=maker), example.tried, example.kitchen, "as the example has it")
    return kitchen


def serve(*, host: str, port: int, example: Path | None, say: Callable[[str], None]) -> None:
    """
    Serve the pages until stopped.

    Parameters
    ----------
    host, port
        Where to listen. Beyond this machine only once sign-in has been turned on.
    example
        Folder of the example to load where there is no kitchen yet; None loads nothing.
    say
        Takes the lines that the person at the terminal should see.

    Raises
    ------
    BadInput
        The address is not this machine's and sign-in is off, or it cannot be listened on.
    """
    set_up()
    from tierwright.web.people.local import ensure_maker, sign_in_is_on

    ensure_maker()
    if not env.is_loopback(host) and not sign_in_is_on():
        raise BadInput(
            [
                Problem(
                    place="--host",
                    found=host,
                    expected="an address of this machine while nobody has to sign in",
                    nearest="127.0.0.1; open the pages there, turn sign-in on, then listen further",
                )
            ]
        )
    if example is not None and load_example(example):
        say("The example commission has been loaded.")
    import waitress
    from django.conf import settings

    from tierwright.web.jobs.workers import beside
    from tierwright.web.keepsafe.copies import Copyist
    from tierwright.web.trying import trying_apart
    from tierwright.web.wsgi import application

    threads = THREADS + WAITING * settings.TRYING
    with trying_apart(application, settings.TRYING, THREADS) as answering:
        try:
            server = waitress.create_server(answering, host=host, port=port, threads=threads, ident=None)
        except OSError as error:
            found = f"{host}, port {port}: {error.strerror or error}"
            raise BadInput(
                [Problem(place="--port", found=found, expected="an address and port that are free")]
            ) from None
        shown = f"[{host}]" if ":" in host else host
        say(f"Tierwright is open at http://{shown}:{port}/ (stop with Ctrl+C)")
        database = own_database()
        copyist = None if database is None else Copyist(*database, say)
        try:
            if copyist is not None:
                copyist.start()
            with beside():
                server.run()
        finally:
            server.close()
            if copyist is not None:
                copyist.stop()
