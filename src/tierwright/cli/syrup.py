"""``tierwright syrup``: where to stop one pot, in this kitchen and on this thermometer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem, UnknownName

if TYPE_CHECKING:
    from tierwright.sugar import Line, SyrupPlan


@app.command(
    "syrup",
    epilog="Example: `tierwright syrup italian-meringue --make '600 g' --altitude '1420 m' --boiling-water '95.5 C'`",
)
def syrup(
    use: Annotated[str, typer.Argument(help="What it is for, such as soaking, italian-meringue or caramel.")],
    make: Annotated[str, typer.Option(help="Weight of the start: sugar and water together.")] = "500 g",
    line: Annotated[
        list[str] | None, typer.Option(help="Your own start instead: 'sugar: 400 g', 'water: 130 g'. Repeatable.")
    ] = None,
    stage: Annotated[str | None, typer.Option(help="Stage to cook to, such as soft-ball.")] = None,
    solids: Annotated[str | None, typer.Option(help="Or the solids wanted, such as '87 %'.")] = None,
    sea_level: Annotated[
        str | None, typer.Option(help="Or the recipe's temperature by the sea, such as '242 F'.")
    ] = None,
    altitude: Annotated[str, typer.Option(help="Of the kitchen.")] = "0 m",
    boiling_water: Annotated[
        str | None, typer.Option(help="What your thermometer shows in plain boiling water.")
    ] = None,
    us: Annotated[bool, typer.Option("--us", help="Print Fahrenheit and ounces first.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Say where to stop a pot of sugar: the solids wanted, at this altitude, on this thermometer."""
    from pydantic import TypeAdapter

    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json
    from tierwright.sugar import SyrupPlan, Thermometer, plan_syrup, syrup_use
    from tierwright.units import Kind

    known = syrup_use(use)
    asked = (stage, solids, sea_level)
    if sum(wish is not None for wish in asked) > 1:
        raise BadInput([Problem(place="options", found="two wishes", expected="one of --stage, --solids, --sea-level")])
    wish = {"stage_key": known.stage_key, "solids_share": known.solids_share, "sea_level_c": known.sea_level_c}
    if any(asked):
        wish = {
            "stage_key": stage or "",
            "solids_share": None if solids is None else quantity("--solids", solids, Kind.SHARE),
            "sea_level_c": None if sea_level is None else quantity("--sea-level", sea_level, Kind.TEMPERATURE),
        }
    reading = None if boiling_water is None else quantity("--boiling-water", boiling_water, Kind.TEMPERATURE)
    plan = plan_syrup(
        _lines(line) if line else known.lines_for(quantity("--make", make, Kind.MASS)),
        altitude_m=quantity("--altitude", altitude, Kind.ALTITUDE),
        thermometer=None if reading is None else Thermometer(boiling_reading_c=reading),
        name=use,
        **wish,  # type: ignore[arg-type]
    )
    if as_json:
        print_json(TypeAdapter(SyrupPlan).dump_python(plan, mode="json"))
        return
    _print(plan, known.label, us=us)


def _lines(written: list[str]) -> list[Line]:
    from tierwright.cli.formula import quantity
    from tierwright.sugar import Line, sugar_kinds
    from tierwright.units import Kind

    lines = []
    for entry in written:
        name, colon, amount = entry.partition(":")
        key = name.strip().replace(" ", "-")
        if not colon:
            raise BadInput([Problem(place="--line", found=entry, expected="a name and a weight: 'sugar: 400 g'")])
        if key not in sugar_kinds():
            raise UnknownName("ingredient of a syrup", key, list(sugar_kinds()), "--line")
        lines.append(Line(ingredient=key, grams=quantity("--line", amount.strip(), Kind.MASS)))
    return lines


def _print(plan: SyrupPlan, label: str, *, us: bool) -> None:
    from tierwright.cli.report import print_cautions, print_facts
    from tierwright.units import Display, MassUnit, TemperatureUnit

    display = Display(temperature=TemperatureUnit.BOTH)
    if us:
        display = Display(mass=MassUnit.BOTH, temperature=TemperatureUnit.BOTH)
    target = plan.target
    rows = [
        ("cook to", target.label),
        ("stop at, on your thermometer", _span(target.reading_c.value, target.reading_c.low, target.reading_c.high)),
        ("true temperature here", display.show_temperature(target.true_c.value)),
        (
            "the stage here",
            f"{display.show_temperature(target.stage_low_c)} to {display.show_temperature(target.stage_high_c)}",
        ),
        ("the same syrup by the sea", display.show_temperature(target.sea_level_c)),
        ("plain water boils here at", display.show_temperature(target.water_boils_c)),
    ]
    if target.cold_water_test:
        rows.append(("a drop in cold water", target.cold_water_test))
    if target.solids_share is not None:
        rows.insert(1, ("solids there", f"{target.solids_share:.1%}"))
    if plan.cook is not None:
        rows += [
            ("water to boil off", display.show_mass(plan.cook.water_off_g)),
            ("syrup left", display.show_mass(plan.cook.yield_g)),
            ("time on the heat", f"{plan.cook.total_min.low:.0f} to {plan.cook.total_min.high:.0f} min"),
        ]
    if plan.crystals is not None:
        rows.append(("graininess", plan.crystals.risk.value))
    print_facts(label.capitalize(), rows)
    print_cautions(plan.notes.cautions)


def _span(value: float, low: float, high: float) -> str:
    from tierwright.units import celsius_to_fahrenheit as f

    return f"{value:.1f} °C, likely {low:.1f} to {high:.1f} ({f(value):.0f} °F, {f(low):.0f} to {f(high):.0f})"
