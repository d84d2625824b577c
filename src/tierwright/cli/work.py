"""``tierwright work``: long work behind the pages, where it is not done beside them."""

from __future__ import annotations

import typer

from tierwright.cli import app


@app.command("work", epilog="Example: `TIERWRIGHT_WORKERS=2 tierwright work`")
def work() -> None:
    """Do long work such as planning for pages that run elsewhere, over the same database, until stopped."""
    from tierwright.errors import BadInput, Problem

    try:
        from tierwright.web.serve import set_up

        set_up()
        from tierwright.web.jobs.workers import work as run
    except ImportError as error:
        raise BadInput(
            [Problem(place="work", found=f"no {error.name}", expected="the web parts: pip install 'tierwright[web]'")]
        ) from None
    typer.echo("Waiting for work (stop with Ctrl+C)")
    run()
