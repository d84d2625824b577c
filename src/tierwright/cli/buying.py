"""``tierwright buying``: one shopping list for any set of commissions."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem

if TYPE_CHECKING:
    from tierwright.purchase import PurchasePlan, Shop


@app.command("buying", epilog="Example: `tierwright buying examples/centenary/commission.toml --out out`")
def buying(
    commissions: Annotated[list[Path], typer.Argument(help="The commissions, TOML or JSON; one list for all.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen; kitchen.toml beside the first commission if left out.")
    ] = None,
    today: Annotated[str | None, typer.Option(help="First day to shop on, such as 2027-06-20.")] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write buying.pdf, buying.csv and buying.xlsx into.")
    ] = None,
    prices: Annotated[bool, typer.Option(help="Show prices; without them a helper may take the list along.")] = True,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Choose whole packs for one or several commissions: stock first, then the cheapest baskets, by day and shop."""
    from pydantic import TypeAdapter

    from tierwright.brief import read_brief
    from tierwright.cli.report import print_json
    from tierwright.dossier import prepare
    from tierwright.dossier.finish_stage import wares_needed
    from tierwright.dossier.purchase_stage import book_of, shopping_list, uses_of
    from tierwright.dossier.support_stage import supports_needed
    from tierwright.purchase import PurchasePlan
    from tierwright.sheets import words_of

    first = kitchen or commissions[0].with_name("kitchen.toml")
    briefs = [read_brief(path, first) for path in commissions]
    dossiers = [prepare(brief.commission, brief.kitchen) for brief in briefs]
    titles = [one.commission.title for one in dossiers]
    if len(set(titles)) < len(titles):
        raise BadInput([Problem(place="commissions", found=titles[0], expected="each commission once, by its title")])
    plan = shopping_list(
        [
            uses_of(
                d.commission,
                d.kitchen,
                d.formulas,
                d.coating,
                d.sizing,
                supports_needed(d.support),
                wares_needed(d.finish),
            )
            for d in dossiers
        ],
        dossiers[0].kitchen,
        today=_day(today),
    )
    if as_json:
        print_json(TypeAdapter(PurchasePlan).dump_python(plan, mode="json"))
        return
    shops = {shop.key: shop for shop in book_of(dossiers[0].kitchen).shops}
    currency = dossiers[0].kitchen.currency if prices else ""
    _print(plan, shops, currency)
    if out is not None:
        from tierwright.cli.writing import write_files
        from tierwright.purchase import list_csv, list_xlsx
        from tierwright.sheets import buying as sheet
        from tierwright.sheets.binding import book_of as book_for
        from tierwright.sheets.page import render_pdf

        words = words_of(dossiers[0])
        page = sheet.page(plan, shops, display=words.display, cautions=plan.notes.cautions, currency=currency)
        # The file carries the first day of shopping, so that the same list gives the same bytes.
        day = min((line.buy_on for line in plan.lines), default=dossiers[0].commission.day.day)
        made = datetime.combine(day, time.min)
        files = {
            "buying.pdf": render_pdf([page], book_for(dossiers[0])),
            "buying.csv": list_csv(plan, shops).encode(),
            "buying.xlsx": list_xlsx(plan, shops, made=made),
        }
        for path in write_files(files, out):
            typer.echo(f"wrote {path}")


def _print(plan: PurchasePlan, shops: Mapping[str, Shop], currency: str) -> None:
    from tierwright.cli.report import print_lines, print_table

    trips = sorted({(line.buy_on, line.shop) for line in plan.lines})
    for day, key in trips:
        lines = [line for line in plan.lines if (line.buy_on, line.shop) == (day, key)]
        print_table(
            f"{day:%A} {day.day} {day:%B}, {shops[key].name}",
            ("shelves", "what", "packs", "each", "price", "over", "read the label for"),
            (
                (
                    line.aisle,
                    line.name,
                    str(line.packs),
                    f"{line.content:g} {line.unit.value}",
                    f"{line.price}" if currency else "",
                    f"{line.left:.0f}",
                    ", ".join(line.label_unread),
                )
                for line in lines
            ),
            right=(2, 3, 4, 5),
        )
    if plan.unmet:
        print_table(
            "To buy, without a price in the book",
            ("what", "at least", "by", "why"),
            ((u.name, f"{u.amount:.0f} {u.unit.value}", u.buy_by.isoformat(), u.reason) for u in plan.unmet),
            right=(1,),
        )
    if currency:
        closed = plan.proven and plan.total <= plan.bound
        bound = "nothing cheaper exists" if closed else f"nothing below {plan.bound:.2f} exists"
        print_lines([f"Altogether {plan.total} {currency} ({bound})."])
    for question in plan.notes.questions:
        print_lines([f"{question.severity.name.lower()}: {question.text}"])


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        problem = Problem(place="--today", found=repr(text), expected="a day such as 2027-06-20")
        raise BadInput([problem]) from None
