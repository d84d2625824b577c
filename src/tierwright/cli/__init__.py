"""The command line: one word a job, the same stages as everywhere else behind it.

Exit codes: 0 done; 1 it cannot be made as asked; 2 something in the input is wrong. Heavy rooms are imported inside the
commands, so that ``tierwright --help`` answers at once.
"""

from __future__ import annotations

import sys
from importlib import import_module

import typer

from tierwright import __version__
from tierwright.errors import Infeasible, TierwrightError

app = typer.Typer(
    name="tierwright",
    help="Tiered celebration cakes on commission, from the client's brief to the last slice.",
    epilog="Exit codes: 0 done; 1 it cannot be made as asked; 2 something in the input is wrong. "
    "Every command takes --json.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    # Plain help answers in half the time; tables and reports are set by Rich where they are printed.
    rich_markup_mode=None,
    context_settings={"max_content_width": 110},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"tierwright {__version__}")
        raise typer.Exit


@app.callback()
def _start(
    version: bool = typer.Option(False, "--version", callback=_version, is_eager=True, help="Print the version."),
) -> None:
    """Tiered celebration cakes on commission, from the client's brief to the last slice."""


COMMANDS = (
    "archive",
    "backup",
    "bake",
    "buying",
    "compare",
    "cream",
    "dossier",
    "finish",
    "formula",
    "handover",
    "keeping",
    "label",
    "meringue",
    "move",
    "oven",
    "password",
    "picture",
    "price",
    "schema",
    "serve",
    "supports",
    "syrup",
    "tiers",
    "week",
    "work",
)
"""Modules of this package that hang a command on the app as they are imported."""


def load_commands() -> None:
    """Import every command."""
    for name in COMMANDS:
        import_module(f"tierwright.cli.{name}")


def main() -> None:
    """Run the command line; whatever the house refuses becomes a report and an exit code."""
    load_commands()
    try:
        app()
    except TierwrightError as error:
        from tierwright.cli.report import print_refusal

        print_refusal(error, as_json="--json" in sys.argv)
        sys.exit(1 if isinstance(error, Infeasible) else 2)
