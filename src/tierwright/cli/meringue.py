"""``tierwright meringue``: what a meringue's heat really does to its whites."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from tierwright.cli import app


class Way(StrEnum):
    """How sugar and white come together."""

    ITALIAN = "italian"
    SWISS = "swiss"
    FRENCH = "french"
    SEVEN_MINUTE = "seven-minute"


class Origin(StrEnum):
    """Where the whites come from."""

    FRESH = "fresh"
    PASTEURISED = "pasteurised"
    DRIED = "dried"


@app.command(
    "meringue", epilog="Example: `tierwright meringue italian --whites '240 g' --sugar '420 g' --altitude '1420 m'`"
)
def meringue(
    way: Annotated[Way, typer.Argument(help="How it is made.")],
    whites: Annotated[str, typer.Option(help="Weight of the whites.")] = "200 g",
    sugar: Annotated[str, typer.Option(help="Weight of all the sugar.")] = "350 g",
    origin: Annotated[Origin, typer.Option(help="Where the whites come from.")] = Origin.FRESH,
    warmed_to: Annotated[
        str | None, typer.Option(help="For swiss and seven-minute: what the thermometer in the mix shows.")
    ] = None,
    held: Annotated[str, typer.Option(help="How long it is held there.")] = "0 s",
    syrup_to: Annotated[str, typer.Option(help="For italian: the recipe's syrup temperature by the sea.")] = "242 F",
    altitude: Annotated[str, typer.Option(help="Of the kitchen.")] = "0 m",
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Say how warm the whites really get, whether that can be relied on, and what the foam is like."""
    from pydantic import TypeAdapter

    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_cautions, print_facts, print_json, print_lines
    from tierwright.sugar import MeringueKind, MeringuePlan, Whites, plan_meringue
    from tierwright.units import Display, Kind, TemperatureUnit

    plan = plan_meringue(
        MeringueKind(way.value),
        whites=Whites(origin.value),
        whites_g=quantity("--whites", whites, Kind.MASS),
        sugar_g=quantity("--sugar", sugar, Kind.MASS),
        altitude_m=quantity("--altitude", altitude, Kind.ALTITUDE),
        syrup_sea_level_c=quantity("--syrup-to", syrup_to, Kind.TEMPERATURE),
        warmed_to_c=None if warmed_to is None else quantity("--warmed-to", warmed_to, Kind.TEMPERATURE),
        held_s=quantity("--held", held, Kind.TIME) * 60,
    )
    if as_json:
        print_json(TypeAdapter(MeringuePlan).dump_python(plan, mode="json"))
        return
    display = Display(temperature=TemperatureUnit.BOTH)
    hot, volume = plan.hottest_c, plan.volume_ml
    rows = [
        ("whites reach", f"{display.show_temperature(hot.value)}, likely {hot.low:.0f} to {hot.high:.0f} °C"),
        ("relied on as heat-treated", plan.verdict.value),
        ("volume", f"{volume.low / 1000:.1f} to {volume.high / 1000:.1f} l"),
        ("sugar to white", f"{plan.sugar_to_white:.2f}"),
        ("water activity", f"{plan.water_activity:.3f}, an estimate that settles nothing about keeping"),
    ]
    if plan.syrup is not None:
        reading = display.show_temperature(plan.syrup.target.true_c.value)
        rows.insert(0, ("stop the syrup here at", f"{reading}, {plan.syrup.target.label}"))
    print_facts(f"{way.value.capitalize()} meringue", rows)
    print_lines(["", plan.verdict_text])
    print_cautions(plan.notes.cautions)
