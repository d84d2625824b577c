"""``tierwright price`` and ``tierwright ledger``: what it costs, what is asked, the offer, and the money that moved."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal
from zoneinfo import ZoneInfo

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem

if TYPE_CHECKING:
    from tierwright.price import Ledger, Priced, YearTotal


@app.command("price", epilog="Example: `tierwright price examples/centenary/commission.toml --quoted 2027-03-01`")
def price(
    commission: Annotated[Path, typer.Argument(help="The commission, TOML or JSON.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen; kitchen.toml beside the commission if left out.")
    ] = None,
    discount: Annotated[str | None, typer.Option(help="What a discount would do, such as '10 %'.")] = None,
    quoted: Annotated[str | None, typer.Option(help="Day of the quotation; today if left out.")] = None,
    number: Annotated[str, typer.Option(help="Running number of the quotation.")] = "Q-1",
    out: Annotated[Path | None, typer.Option(help="Folder to write price.pdf and quotation.pdf into.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Work out cost, floor and asked price, what each line of the brief adds, and the quotation."""
    from pydantic import TypeAdapter

    from tierwright.brief import read_brief
    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json, print_lines
    from tierwright.dossier import prepare
    from tierwright.dossier.money_stage import quotation_stage
    from tierwright.price import Priced, as_decimal
    from tierwright.price import discount as discounted
    from tierwright.units import Kind

    brief = read_brief(commission, kitchen or commission.with_name("kitchen.toml"))
    done = prepare(brief.commission, brief.kitchen)
    stages = (done.commission, done.kitchen, done.sizing, done.formulas)
    priced = done.price
    if as_json:
        print_json(TypeAdapter(Priced).dump_python(priced, mode="json"))
        return
    _print_price(priced)
    if discount is not None:
        share = as_decimal(quantity("--discount", discount, Kind.SHARE))
        less = discounted(priced, share=share)
        word = "still" if less.above_floor else "no longer"
        print_lines(
            [
                f"With {less.off} {priced.cost.currency} off: {less.price}, an hour brings {less.wage_after} and not "
                f"{less.wage_before}; the wage wanted is {word} earned."
            ]
        )
    if out is not None:
        from tierwright.cli.writing import write_files
        from tierwright.drawings import section
        from tierwright.sheets import words_of
        from tierwright.sheets.binding import book_of
        from tierwright.sheets.page import render_pdf
        from tierwright.sheets.papers import price_page, quotation_page

        offer = quotation_stage(*stages, priced, number=number, quoted=_day("--quoted", quoted))
        words = words_of(done)
        drawing = section(done.sizing.stack, done.coating, base=words.base, names=words.drawn, display=words.display)
        book = book_of(done)
        files = {
            "price.pdf": render_pdf([price_page(priced)], book),
            "quotation.pdf": render_pdf([quotation_page(offer, drawing)], book),
        }
        for path in write_files(files, out):
            typer.echo(f"wrote {path}")


def _print_price(priced: Priced) -> None:
    from tierwright.cli.report import print_lines, print_table

    cost = priced.cost
    print_table(
        f"Cost, {cost.currency}",
        ("group", "amount"),
        ((group.value, str(amount)) for group, amount in cost.groups),
        right=(1,),
    )
    print_table(
        "What each line of the brief adds",
        ("line", "hours", "cost", "price"),
        ((one.label, f"{one.hours:.1f}", str(one.cost), str(one.price)) for one in priced.marginals),
        right=(1, 2, 3),
    )
    print_lines(
        [
            f"Floor {priced.floor}, likely {cost.total.low} to {cost.total.high}; {cost.hours.value:.1f} hours.",
            f"Asked {priced.asked} before tax, {priced.asked / priced.portions:.2f} a portion; "
            f"an hour brings {priced.wage}.",
            *(f"{question.severity.name.lower()}: {question.text}" for question in priced.notes.questions),
        ]
    )


ledger_app = typer.Typer(
    name="ledger",
    help="The ledger: payments and invoices, corrected only by further entries.",
    no_args_is_help=True,
)
app.add_typer(ledger_app)

File = Annotated[Path, typer.Argument(help="The ledger's file, one entry a line.")]
Currency = Annotated[str, typer.Option(help="Currency of the ledger, ISO 4217.")]
Zone = Annotated[str, typer.Option(help="The kitchen's time zone.")]


@ledger_app.command("add", epilog="Example: `tierwright ledger add book.jsonl payment 'Centenary' 329.16 'retainer'`")
def add(
    file: File,
    kind: Annotated[Literal["invoice", "payment", "refund"], typer.Argument(help="What it is.")],
    commission: Annotated[str, typer.Argument(help="Whose.")],
    amount: Annotated[str, typer.Argument(help="How much.")],
    text: Annotated[str, typer.Argument(help="What for.")],
    tax: Annotated[str, typer.Option(help="Tax in the amount of an invoice.")] = "0",
    currency: Currency = "USD",
    zone: Zone = "UTC",
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Add an invoice, a payment or a refund."""
    from tierwright.cli.ledger_file import append, read_ledger
    from tierwright.price import EntryKind

    before = read_ledger(file, currency)
    after = before.add(
        EntryKind(kind),
        at=_now(zone),
        commission=commission,
        amount=_amount("amount", amount),
        tax=_amount("--tax", tax),
        text=text,
    )
    append(file, before, after)
    _print_last(after, as_json)


@ledger_app.command("correct", epilog="Example: `tierwright ledger correct book.jsonl 3 'it was 168.00'`")
def correct(
    file: File,
    number: Annotated[int, typer.Argument(help="Number of the entry to take back.")],
    text: Annotated[str, typer.Argument(help="Why.")],
    currency: Currency = "USD",
    zone: Zone = "UTC",
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Take an entry back by a further entry; nothing is ever changed or struck out."""
    from tierwright.cli.ledger_file import append, read_ledger

    before = read_ledger(file, currency)
    after = before.correct(number, at=_now(zone), text=text)
    append(file, before, after)
    _print_last(after, as_json)


@ledger_app.command("year", epilog="Example: `tierwright ledger year book.jsonl 2027 --cap 25000`")
def year(
    file: File,
    number: Annotated[int, typer.Argument(help="The year.")],
    cap: Annotated[str | None, typer.Option(help="Legal cap on the year's sales, as you have looked it up.")] = None,
    csv: Annotated[bool, typer.Option("--csv", help="Print every entry as CSV instead.")] = False,
    currency: Currency = "USD",
    zone: Zone = "UTC",
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Add up a year, and hold it against a cap."""
    from pydantic import TypeAdapter

    from tierwright.cli.ledger_file import read_ledger
    from tierwright.cli.report import print_json, print_lines
    from tierwright.price import Cap, YearTotal, against_cap, ledger_csv, year_total

    ledger = read_ledger(file, currency)
    if csv:
        typer.echo(ledger_csv(ledger.entries), nl=False)
        return
    total = year_total(ledger, number, _zone(zone))
    if as_json:
        print_json(TypeAdapter(YearTotal).dump_python(total, mode="json"))
        return
    _print_year(total)
    if cap is not None:
        reading = against_cap(total, Cap(amount=_amount("--cap", cap)))
        print_lines([f"{reading.counted} counts towards the cap; {reading.room} {currency} left."])
        if reading.question is not None:
            print_lines([f"{reading.question.severity.name.lower()}: {reading.question.text}"])


def _print_year(total: YearTotal) -> None:
    from tierwright.cli.report import print_lines, print_table

    print_table(
        f"{total.year}, {total.currency}",
        ("month", "invoiced", "tax in it", "received"),
        ((str(one.month), str(one.invoiced), str(one.tax), str(one.received)) for one in total.months),
        right=(1, 2, 3),
    )
    print_lines(
        [
            f"{total.commissions} commissions, {total.invoiced} invoiced with {total.tax} of tax; "
            f"{total.received} received, {total.refunded} paid back, {total.outstanding} still open."
        ]
    )


def _print_last(ledger: Ledger, as_json: bool) -> None:
    from tierwright.cli.report import print_json, print_lines

    entry = ledger.entries[-1]
    balance = ledger.balance(entry.commission)
    if as_json:
        print_json({"number": entry.number, "document": entry.document, "open": str(balance.open)})
        return
    print_lines([f"{entry.document}: {entry.amount} {entry.currency}; still to pay {balance.open}."])


def _amount(place: str, text: str) -> Decimal:
    try:
        amount = Decimal(text.strip())
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite():
        raise BadInput([Problem(place=place, found=repr(text), expected="an amount such as 12.50")])
    return amount


def _day(place: str, text: str | None) -> date:
    try:
        return date.today() if text is None else date.fromisoformat(text)
    except ValueError:
        raise BadInput([Problem(place=place, found=repr(text), expected="a day such as 2027-03-01")]) from None


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise BadInput([Problem(place="--zone", found=repr(name), expected="a zone such as America/Denver")]) from None


def _now(zone: str) -> datetime:
    return datetime.now(_zone(zone))
