"""``tierwright dossier``: the main job, a commission in and a dossier out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app

if TYPE_CHECKING:
    from tierwright.dossier import Dossier

KITCHEN_NAME = "kitchen.toml"


@app.command("dossier", epilog="Example: `tierwright dossier examples/centenary/commission.toml --out out`")
def dossier(
    commission: Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen, TOML or JSON; kitchen.toml beside the commission if left out.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write the sheets, drawings and dossier.json into.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the whole dossier as JSON.")] = False,
) -> None:
    """Turn a commission into everything needed to make it: weights, sheets, drawings, open questions."""
    from tierwright.brief import read_brief
    from tierwright.cli.writing import write_dossier
    from tierwright.dossier import prepare, to_json

    brief = read_brief(commission, kitchen or commission.with_name(KITCHEN_NAME))
    prepared = prepare(brief.commission, brief.kitchen)
    written = write_dossier(prepared, out) if out else ()
    if as_json:
        typer.echo(to_json(prepared).decode())
        return
    _print_summary(prepared)
    for path in written:
        typer.echo(f"wrote {path}")


def _print_summary(dossier: Dossier) -> None:
    from tierwright.cli.report import print_lines, print_table

    display = dossier.kitchen.units.display()
    stack = dossier.sizing.stack
    print_lines([dossier.commission.title, ""])
    flavours = dossier.commission.cake.flavours
    rows = [
        (
            tier.name,
            f"{tier.outline.shape.value} {display.show_length(tier.outline.width_mm)}",
            display.show_length(coated.finished_height_mm),
            str(tier.layers),
            "kept" if tier.keepsake else str(tier.cutting.portions) if tier.cutting else "dummy",
            flavours[tier.flavour].name if tier.flavour >= 0 else "",
        )
        for tier, coated in zip(stack.tiers, dossier.coating.tiers, strict=True)
    ]
    rows += [
        (
            f"kitchen cake × {cake.count}",
            f"{cake.outline.shape.value} {display.show_length(cake.outline.width_mm)}",
            display.show_length(coated.finished_height_mm),
            str(cake.layers),
            str(cake.cutting.portions * cake.count),
            flavours[cake.flavour].name,
        )
        for cake, coated in zip(stack.kitchen_cakes, dossier.coating.kitchen_cakes, strict=True)
    ]
    print_table("Tiers", ("tier", "size", "height", "layers", "portions", "flavour"), rows, right=(2, 3, 4))
    print_table(
        "To weigh out",
        ("formula", "makes", "mixes"),
        (
            (work.formula.text.name, display.show_mass(work.batch.make_g), str(len(work.batch.mixes)))
            for work in dossier.formulas.works
            if work.batch is not None
        ),
        right=(1, 2),
    )
    wanted = dossier.sizing.demand
    print_lines(
        [
            f"Portions: {stack.portions} made for {wanted.mean:.0f} expected; "
            f"chance of running short {stack.shortage_risk:.1%}.",
            "",
        ]
    )
    if dossier.notes.questions:
        print_table(
            "Open questions, most serious first",
            ("how serious", "sheet", "question", "what would settle it"),
            ((q.severity.name.lower(), q.sheet, q.text, q.change) for q in dossier.notes.questions),
        )
