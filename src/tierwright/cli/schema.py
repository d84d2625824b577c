"""``tierwright schema``: the published shape of the input files."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from tierwright.cli import app


class Which(StrEnum):
    """The files that have a published schema."""

    COMMISSION = "commission"
    KITCHEN = "kitchen"


@app.command("schema", epilog="Example: `tierwright schema commission > commission.schema.json`")
def schema(
    which: Annotated[Which, typer.Argument(help="Which file.")],
    as_json: Annotated[bool, typer.Option("--json", help="The schema is JSON in any case.")] = True,  # noqa: ARG001
) -> None:
    """Print the JSON Schema of a commission or a kitchen file."""
    from tierwright.brief import Commission, Kitchen
    from tierwright.cli.report import print_json

    model = Commission if which is Which.COMMISSION else Kitchen
    print_json(model.model_json_schema(by_alias=True))
