"""``tierwright picture``: a realistic picture of the finished cake, for the client."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tierwright.cli import app

KITCHEN_NAME = "kitchen.toml"


@app.command("picture", epilog="Example: `tierwright picture examples/centenary/commission.toml --out picture.png`")
def picture(
    commission: Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen, TOML or JSON; kitchen.toml beside the commission if left out.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="File to write, .png or .jpg; without it only what is to be seen is said.")
    ] = None,
    width: Annotated[int, typer.Option(help="Width in points; the height is 11 for every 9 of it.")] = 900,
    samples: Annotated[int, typer.Option(help="Paths of light for each point: more take longer and are finer.")] = 48,
    seed: Annotated[int, typer.Option(min=1, max=10_000, help="The same seed makes the same picture.")] = 1,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Make a picture of the finished cake from the measures of the section; it takes some minutes."""
    from tierwright.brief import read_brief
    from tierwright.cli.report import print_facts, print_json
    from tierwright.cli.writing import write_files
    from tierwright.dossier import prepare
    from tierwright.drawings.picture import Wanted, picture_of
    from tierwright.drawings.scene import look, look_mark
    from tierwright.errors import BadInput, Problem

    if out is not None and out.suffix.lower() not in (".png", ".jpg", ".jpeg"):
        raise BadInput([Problem(place="--out", found=out.name, expected="a name that ends in .png or .jpg")])
    wanted = Wanted(width_px=width, height_px=round(width * 11 / 9), samples=samples, seed=seed)
    brief = read_brief(commission, kitchen or commission.with_name(KITCHEN_NAME))
    seen = look(prepare(brief.commission, brief.kitchen))
    said = {
        "tiers": len(seen.surfaces),
        "placed": len(seen.placed) + len(seen.letters),
        "height_mm": round(seen.top_mm - seen.floor_mm, 1),
        "mark": look_mark(seen, seed)[:12],
    }
    if out is not None:
        kind = "png" if out.suffix.lower() == ".png" else "jpeg"
        made = picture_of(seen, wanted, kind=kind, report=None if as_json else _tell)
        write_files({out.name: made.content}, out.parent)
        said |= {"file": str(out), "width_px": made.width_px, "height_px": made.height_px, "samples": made.samples}
    if as_json:
        print_json(said)
        return
    facts = [
        ("Tiers", str(said["tiers"])),
        ("Things on them and on the board", str(said["placed"])),
        ("Height with its board", f"{said['height_mm']} mm"),
        ("Mark of this look", str(said["mark"])),
    ]
    print_facts("The picture", facts)
    if out is not None:
        typer.echo(f"wrote {out}")


def _tell(done: int, of: int) -> bool:
    """Say how far it is, beside what is printed; never stops."""
    typer.echo(f"{done} of {of} paths of light", err=True)
    return False
