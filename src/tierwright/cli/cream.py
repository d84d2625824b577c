"""``tierwright cream``: three questions at the bowl."""

from __future__ import annotations

from typing import Annotated

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem


@app.command(
    "cream",
    epilog="Example: `tierwright cream 'swiss meringue buttercream' --look soupy --bowl '27 C' --beaten '8 min'`",
)
def cream(
    kind: Annotated[str, typer.Argument(help="What it is, such as 'swiss meringue buttercream' or 'ganache'.")],
    look: Annotated[str, typer.Option(help="How it looks: soupy, curdled, stiff, split or smooth.")] = "smooth",
    bowl: Annotated[str, typer.Option(help="What a thermometer in it shows.")] = "22 C",
    beaten: Annotated[str, typer.Option(help="Beating since the last butter or cream went in.")] = "0 min",
    weight: Annotated[str | None, typer.Option(help="How much there is.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Say what to do with a cream that is soupy, curdled, stiff or split, and by how much."""
    from pydantic import TypeAdapter

    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_cautions, print_facts, print_json
    from tierwright.sugar import CreamKind, Look, Rescue, plan_cream, rescue
    from tierwright.units import Display, Kind, TemperatureUnit

    for place, found, choices in (("kind", kind, list(CreamKind)), ("--look", look, list(Look))):
        if found not in choices:
            raise BadInput([Problem(place=place, found=found, expected="one of " + ", ".join(choices))])
    mass = None if weight is None else quantity("--weight", weight, Kind.MASS)
    what = CreamKind(kind)
    done = rescue(
        what,
        Look(look),
        quantity("--bowl", bowl, Kind.TEMPERATURE),
        quantity("--beaten", beaten, Kind.TIME),
        scale_to_g=mass,
    )
    if as_json:
        print_json(TypeAdapter(Rescue).dump_python(done, mode="json"))
        return
    display = Display(temperature=TemperatureUnit.BOTH)
    plan = plan_cream(what, scale_to_g=mass)
    rows = [("do", done.action.value), ("", done.words)]
    if done.target_c is not None:
        rows.append(("aim at", display.show_temperature(done.target_c)))
    rows.append(("worked at", f"{plan.worked_c.low:.0f} to {plan.worked_c.high:.0f} °C"))
    if plan.window is not None and plan.window.works_to_c is not None:
        rows.append(("spreads up to", display.show_temperature(plan.window.works_to_c.value)))
    print_facts(plan.label, rows)
    print_cautions(plan.notes.cautions)
