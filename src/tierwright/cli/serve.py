"""``tierwright serve``: the drawing board in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tierwright.cli import app

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "centenary"


@app.command("serve", epilog="Example: `tierwright serve --port 8600`")
def serve(
    host: Annotated[str, typer.Option(help="Address to listen on; beyond this machine only with sign-in on.")] = (
        "127.0.0.1"
    ),
    port: Annotated[int, typer.Option(help="Port to listen on.", min=1, max=65535)] = 8600,
    example: Annotated[
        Path | None, typer.Option(help="Folder of the example to load where there is no kitchen yet.")
    ] = None,
    empty: Annotated[bool, typer.Option("--empty", help="Load no example.")] = False,
) -> None:
    """Open the drawing board in the browser on this machine; nothing else to install."""
    from tierwright.errors import BadInput, Problem

    try:
        from tierwright.web.serve import serve as run
    except ImportError as error:
        raise BadInput(
            [Problem(place="serve", found=f"no {error.name}", expected="the web parts: pip install 'tierwright[web]'")]
        ) from None
    folder = example or (EXAMPLE if EXAMPLE.is_dir() else None)
    run(host=host, port=port, example=None if empty else folder, say=typer.echo)
