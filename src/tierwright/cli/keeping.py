"""``tierwright keeping``: how warm a cake gets, what that allows, and whether it may be set up as asked."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem

keeping = typer.Typer(
    no_args_is_help=True,
    help="From the oven to the last slice: the temperature line, clocks, dew point, food-safety tables.",
    rich_markup_mode="markdown",
)
app.add_typer(keeping, name="keeping")

JsonOption = Annotated[bool, typer.Option("--json", help="Print as JSON.")]


@keeping.command("line", epilog="Example: `tierwright keeping line examples/centenary/commission.toml --set-up 19:45`")
def line(
    commission: Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen; kitchen.toml beside the commission if left out.")
    ] = None,
    set_up: Annotated[str | None, typer.Option(help="Try another set-up time, such as 19:45.")] = None,
    light: Annotated[
        Literal["none", "shade", "full"] | None, typer.Option(help="Try another light at the venue.")
    ] = None,
    air: Annotated[str | None, typer.Option(help="Try another air temperature at the venue, such as '24 C'.")] = None,
    box: Annotated[
        Literal["none", "dome", "card_box", "lined_box", "foam_box"] | None, typer.Option(help="What it stands under.")
    ] = None,
    weather: Annotated[Path | None, typer.Option(help="Hourly weather: CSV with time, air_c, humidity.")] = None,
    svg: Annotated[Path | None, typer.Option(help="Write the temperature line as a drawing.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Follow a commission from the fridge to the last slice, as planned or with another set-up, light, air or box."""
    from tierwright.brief import read_brief, read_text
    from tierwright.cli.dossier import KITCHEN_NAME
    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json
    from tierwright.dossier import prepare
    from tierwright.dossier.keeping_trial import plan_of, set_up_span, tried
    from tierwright.keeping import Hour, keep, plot_line, read_weather
    from tierwright.units import Kind

    brief = read_brief(commission, kitchen or commission.with_name(KITCHEN_NAME))
    plan = plan_of(prepare(brief.commission, brief.kitchen))
    hours: tuple[Hour, ...] = ()
    if weather is not None:
        text = read_text(weather, "hourly weather")
        hours = read_weather(text, zone=brief.commission.day.timezone, place=weather.name)
    at = None if set_up is None else _clock(set_up, plan.venue.begins)
    first, last = set_up_span(plan)
    if set_up is not None and at is not None and not first <= at <= last:
        expected = f"a time from {first:%a %H:%M} to {last:%a %H:%M}"
        raise BadInput([Problem(place="--set-up", found=set_up, expected=expected)])
    air_c = None if air is None else quantity("--air", air, Kind.TEMPERATURE)
    plan = tried(plan, set_up_at=at, light=light, air_c=air_c, cover=box, weather=hours)
    found = keep(plan)
    if svg is not None:
        svg.write_text(plot_line(found, cutting=plan.cutting_at, display=plan.display).svg, encoding="utf-8")
    if as_json:
        print_json(asdict(found))
        return
    _print_line(found, brief.kitchen.units.display())
    if svg is not None:
        typer.echo(f"wrote {svg}")


def _clock(text: str, near: datetime) -> datetime:
    try:
        hours, minutes = (int(part) for part in text.split(":"))
        return near.replace(hour=hours, minute=minutes, second=0, microsecond=0)
    except ValueError:
        raise BadInput([Problem(place="--set-up", found=text, expected="a time such as 19:45")]) from None


def _print_line(found: Any, display: Any) -> None:
    from tierwright.cli.report import print_lines, print_table
    from tierwright.units import show_minutes

    window = found.window
    longest = "longer than computed" if window.longest_h is None else show_minutes(60 * max(window.longest_h, 0.0))
    print_lines(
        [
            "The plan holds." if window.plan_passes else f"The plan does not hold: {window.because}.",
            f"Longest display from the cold: {longest}{f' ({window.governs} tier)' if window.governs else ''}.",
            "",
        ]
    )
    print_table(
        "First and last safe moments",
        ("step", "first", "last", "because"),
        (
            (m.step, f"{m.first:%a %H:%M}" if m.first else "", f"{m.last:%a %H:%M}" if m.last else "", m.why)
            for m in found.moments
        ),
        right=(1, 2),
    )
    print_table(
        "Tiers",
        ("tier", "coat at the end", "centre at the end", "first gives way", "sweats"),
        (
            (
                one.name,
                display.show_temperature(one.coat_facing.celsius[-1]),
                display.show_temperature(one.centre.celsius[-1]),
                "" if soft.first_h is None else f"{found.at(soft.first_h):%a %H:%M}",
                "no" if wet.begins_h is None else "briefly" if wet.is_brief else "yes",
            )
            for one, soft, wet in zip(found.lines, found.softness, found.sweat, strict=True)
        ),
        right=(1, 2),
    )
    if found.changes:
        print_table(
            "What would change it, the cheapest first",
            ("change", "", "what came out"),
            ((c.title, "passes" if c.passes else "fails", c.detail) for c in found.changes),
        )
    if found.notes.questions:
        print_table(
            "Open questions",
            ("how serious", "question", "what would settle it"),
            ((q.severity.name.lower(), q.text, q.change) for q in found.notes.questions),
        )


@keeping.command("table", epilog="Example: `tierwright keeping table --aw 0.91 --ph 4.5`")
def table(
    aw: Annotated[float | None, typer.Option(min=0, max=1, help="Measured water activity.")] = None,
    ph: Annotated[float | None, typer.Option(min=0, max=14, help="Measured pH.")] = None,
    packed: Annotated[bool, typer.Option("--packed", help="Heated and then packed (table A).")] = False,
    as_json: JsonOption = False,
) -> None:
    """Look measured values up in the interaction tables of the FDA Food Code; what is left out counts at its worst."""
    from tierwright.cli.report import print_json, print_lines
    from tierwright.keeping import Category, Table, category_from

    which = Table.PACKED if packed else Table.OPEN
    answer = category_from(which, aw, ph)
    words = {
        Category.NON_TCS: "needs no time or temperature control, by these values",
        Category.ASSESS: "product assessment required: treat it as needing time and temperature control",
    }[answer]
    if as_json:
        print_json({"table": which.value, "water_activity": aw, "ph": ph, "category": answer.value, "words": words})
        return
    print_lines([f"Table {which.value}: {words}.", "Source: FDA Food Code 2022, 1-201.10(B). Local law goes first."])


@keeping.command("dew", epilog="Example: `tierwright keeping dew '30 C' '60 %' --coat '4 C'`")
def dew(
    air: Annotated[str, typer.Argument(help="Air temperature.")],
    humidity: Annotated[str, typer.Argument(help="Relative humidity, such as '60 %'.")],
    coat: Annotated[str, typer.Option(help="Temperature of the coat.")] = "4 C",
    as_json: JsonOption = False,
) -> None:
    """Say the dew point of a place, and whether a cold coat sweats in it."""
    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json, print_lines
    from tierwright.keeping import moist_air
    from tierwright.units import Display, Kind

    state = moist_air(quantity("air", air, Kind.TEMPERATURE), quantity("humidity", humidity, Kind.SHARE))
    coat_c = quantity("--coat", coat, Kind.TEMPERATURE)
    sweats = coat_c < state.dew_point_c
    if as_json:
        print_json({**asdict(state), "coat_c": coat_c, "sweats": sweats})
        return
    show = Display().show_temperature
    verdict = "sweats: leave it boxed until it is warmer than that" if sweats else "stays dry"
    print_lines([f"Dew point {show(state.dew_point_c)}. A coat of {show(coat_c)} {verdict}."])


@keeping.command("flower", epilog="Example: `tierwright keeping flower 'lily of the valley' viola`")
def flower(
    names: Annotated[list[str], typer.Argument(help="Common or botanical names.")], as_json: JsonOption = False
) -> None:
    """Say of each flower whether it is food, may only lie on a cake, or may not come near it."""
    from tierwright.cli.report import print_json, print_table
    from tierwright.keeping import flower_advice

    found = [flower_advice(name) for name in names]
    if as_json:
        print_json([asdict(one) for one in found])
        return
    print_table(
        "Flowers",
        ("asked", "botanical", "eaten", "on the cake", "rule"),
        (
            (
                one.asked,
                one.botanical,
                "if grown for food" if one.may_be_eaten else "no",
                "yes" if one.may_be_eaten else "behind a barrier" if one.may_be_near else "no",
                one.rule,
            )
            for one in found
        ),
    )
