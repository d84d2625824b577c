"""``tierwright handover``: the papers that go along with a cake, and a calendar of its dates."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal
from zoneinfo import ZoneInfo

import typer

from tierwright.cli import app

if TYPE_CHECKING:
    from tierwright.dossier import Dossier
    from tierwright.handover import Dated

handover = typer.Typer(
    no_args_is_help=True,
    help="What goes along with the cake: two pages for the venue, loading list, repair kit, paper to sign, calendar.",
    rich_markup_mode=None,
)
app.add_typer(handover, name="handover")

CommissionArgument = Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")]
KitchenOption = Annotated[
    Path | None, typer.Option(help="The kitchen, TOML or JSON; kitchen.toml beside the commission if left out.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print as JSON.")]


def _prepared(commission: Path, kitchen: Path | None) -> Dossier:
    from tierwright.brief import read_brief
    from tierwright.cli.dossier import KITCHEN_NAME
    from tierwright.dossier import prepare

    brief = read_brief(commission, kitchen or commission.with_name(KITCHEN_NAME))
    return prepare(brief.commission, brief.kitchen)


@handover.command("papers", epilog="Example: `tierwright handover papers examples/centenary/commission.toml --out out`")
def papers(
    commission: CommissionArgument,
    kitchen: KitchenOption = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write venue.pdf and going-along.pdf into; only shown if left out.")
    ] = None,
    paper: Annotated[
        Literal["a4", "us-letter"] | None, typer.Option(help="Paper; that of the place if left out.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Say what has to come out of the cake, what is loaded in which order, and what the repair kit holds."""
    from pydantic import TypeAdapter

    from tierwright.cli.report import print_json
    from tierwright.handover import Handover

    done = _prepared(commission, kitchen)
    written = () if out is None else _write(done, out, paper)
    if as_json:
        print_json(TypeAdapter(Handover).dump_python(done.handover, mode="json"))
        return
    _print(done)
    for path in written:
        typer.echo(f"wrote {path}")


def _write(done: Dossier, folder: Path, paper: str | None) -> tuple[Path, ...]:
    from tierwright.cli.writing import write_files
    from tierwright.sheets import Paper, book_of, words_of
    from tierwright.sheets.handover import loading_page, signing_page, venue_pages
    from tierwright.sheets.page import render_pdf

    chosen = None if paper is None else Paper(paper)
    words, book = words_of(done, chosen), book_of(done, chosen)
    return write_files(
        {
            "venue.pdf": render_pdf(venue_pages(done, words), book),
            "going-along.pdf": render_pdf((loading_page(done, words), signing_page(done, words)), book),
        },
        folder,
    )


def _print(done: Dossier) -> None:
    from tierwright.cli.report import print_cautions, print_lines, print_table
    from tierwright.sheets.handover import heavy

    found, display = done.handover, done.kitchen.units.display()
    print_table(
        "To count out before anybody eats",
        ("from", "what", "which, and where it is", "how many"),
        [
            *(
                (line.tier_name, line.kind.value, f"{line.what}, {line.where}", str(line.count))
                for line in found.counted
            ),
            ("all", "", "", str(found.pieces_out)),
        ],
        right=(3,),
    )
    print_lines([*(f"{number}. {step}" for number, step in enumerate(found.dismantling, start=1)), ""])
    print_table(
        "Into the vehicle, in this order",
        ("", "box", "inside at least", "weighs up to", "lifted by"),
        (
            (
                str(box.order),
                box.piece.holds,
                f"{display.show_length(box.inside_mm)} each way, {display.show_length(box.inside_height_mm)} high",
                heavy(1000.0 * box.piece.mass_kg, display),
                str(box.piece.people) if box.piece.people < 3 else "trolley",
            )
            for box in found.boxes
        ),
        right=(0, 3, 4),
    )
    print_table(
        "Repair kit",
        ("how much", "what", "because"),
        [
            *(
                (display.show_mass(spare.grams) if spare.grams else f"{spare.pieces}", spare.what, spare.why)
                for spare in found.kit.spares
            ),
            *(("", tool.what, tool.why) for tool in found.kit.tools),
        ],
        right=(0,),
    )
    print_cautions(found.notes.cautions)


@handover.command(
    "calendar", epilog="Example: `tierwright handover calendar examples/centenary/commission.toml --out dates.ics`"
)
def calendar(
    commission: CommissionArgument,
    kitchen: KitchenOption = None,
    out: Annotated[Path | None, typer.Option(help="Calendar file to write (RFC 5545); only shown if left out.")] = None,
    as_json: JsonOption = False,
) -> None:
    """List every date of a commission, each by the clock of its own place, and write them as a calendar file."""
    from pydantic import TypeAdapter

    from tierwright.cli.report import print_json, print_table
    from tierwright.cli.writing import write_files
    from tierwright.handover import Dated, write_calendar

    done = _prepared(commission, kitchen)
    dates = done.handover.dates
    if out is not None:
        content = write_calendar(
            dates,
            owner=f"{done.kitchen.name}|{done.commission.title}",
            name=done.commission.title,
            stamp=datetime.now(UTC).replace(microsecond=0),
        )
        write_files({out.name: content}, out.parent)
    if as_json:
        print_json(TypeAdapter(tuple[Dated, ...]).dump_python(dates, mode="json"))
        return
    print_table("Dates", ("when", "until", "what", "where"), (_row(one, done.commission.title) for one in dates))
    if out is not None:
        typer.echo(f"wrote {out}")


def _row(one: Dated, title: str) -> tuple[str, str, str, str]:
    what = one.title.removesuffix(f": {title}")
    if one.begins is None:
        assert one.first_day is not None
        last = "" if one.last_day in (None, one.first_day) else f"{one.last_day:%a %d %b %Y}"
        return f"{one.first_day:%a %d %b %Y}", last, what, one.where
    begins = one.begins.astimezone(ZoneInfo(one.begin_zone))
    until = ""
    if one.ends is not None:
        ends = one.ends.astimezone(ZoneInfo(one.end_zone or one.begin_zone))
        until = f"{ends:%H:%M}" if ends.date() == begins.date() else f"{ends:%a %d %b, %H:%M}"
        until += f" {ends.tzname()}" if ends.tzname() != begins.tzname() else ""
    return f"{begins:%a %d %b %Y, %H:%M} {begins.tzname()}", until, what, one.where
