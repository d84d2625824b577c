"""``tierwright supports``: what to cut, where it stands, and how the cake goes to the venue."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.errors import Infeasible

if TYPE_CHECKING:
    from tierwright.dossier import SupportWork
    from tierwright.units import Display

KITCHEN_NAME = "kitchen.toml"


@app.command("supports", epilog="Example: `tierwright supports examples/centenary/commission.toml`")
def supports(
    commission: Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen, TOML or JSON; kitchen.toml beside the commission if left out.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Say what carries each tier, the lengths to cut, and whether the cake travels stacked."""
    from pydantic import TypeAdapter

    from tierwright.brief import read_brief
    from tierwright.cli.report import print_json
    from tierwright.dossier import SupportWork, prepare

    brief = read_brief(commission, kitchen or commission.with_name(KITCHEN_NAME))
    dossier = prepare(brief.commission, brief.kitchen)
    if dossier.support is None:
        refused = next(question for question in dossier.notes.questions if question.key == "support.refused")
        raise Infeasible("the tiers on what is owned", refused.reason, refused.change)
    if as_json:
        print_json(TypeAdapter(SupportWork).dump_python(dossier.support, mode="json"))
        return
    _print(dossier.support, dossier.kitchen.units.display())


def _print(work: SupportWork, display: Display) -> None:
    from tierwright.cli.report import print_cautions, print_facts, print_lines, print_table
    from tierwright.sheets.supports import check_words, length_words

    found = work.found
    names = {tier.number: tier.name for tier in work.ask.tiers}
    levels = [level for level in found.levels if level.count]
    print_table(
        "Cut list",
        ("in", "support", "how many", "cut to", "equal within", "ring", "carries"),
        (
            (
                names[level.tier],
                level.stock.name,
                str(level.count),
                length_words(level.cut_mm, display),
                f"{level.tolerance_mm:.1f} mm",
                length_words(level.ring_mm, display),
                display.show_mass(level.load_g.value),
            )
            for level in levels
        ),
        right=(2, 3, 4, 5, 6),
    )
    print_lines(f"{names[level.tier]}: {level.why}." for level in found.levels)
    checks = [
        (f"under {names.get(board.tier, 'all')}" if board else f"in {names[level.tier]}", *check_words(check))
        for level, board, checks in (
            *((level, None, level.checks) for level in found.levels),
            *((level, level.board, level.board.checks) for level in found.levels),
        )
        for check in checks
    ]
    checks += [("base board", *check_words(check)) for check in found.base.checks]
    print_table("Checks", ("where", "what could give", "asked", "stood", "used", ""), checks, right=(2, 3, 4))
    carrying = found.carrying
    facts = [("the road", carrying.words)]
    if carrying.change is not None:
        facts.append(("to go stacked", carrying.change.do))
    facts += [("a centre rod", carrying.rod_helps), ("air under the coat", found.air.words)]
    if found.trials is not None:
        facts.append(("chance that something gives", f"{100 * found.trials.any_failure:.1f} %"))
    print_facts("How it travels", facts)
    print_table(
        "What nobody may eat",
        ("tier", "what", "how many", "where"),
        ((names.get(thing.tier, "base"), thing.what, str(thing.count), thing.where) for thing in found.inedibles),
        right=(2,),
    )
    print_cautions(found.notes.cautions)
