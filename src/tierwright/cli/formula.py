"""``tierwright formula``: one formula by itself, read, weighed and checked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem

if TYPE_CHECKING:
    from tierwright.formula import Formulas, FormulaWork, PanJob
    from tierwright.units import Display


@app.command(
    "formula",
    epilog="Example: `tierwright formula examples/centenary/formulas/vanilla.toml --pan round_8x2_in:3 "
    "--altitude '1420 m'`",
)
def formula(
    file: Annotated[Path, typer.Argument(help="TOML, plain lines under a title, a saved recipe page or recipe JSON.")],
    kind: Annotated[
        str | None, typer.Option(help="What it makes, such as 'creamed', if the file does not say.")
    ] = None,
    pan: Annotated[
        list[str] | None, typer.Option(help="A pan to fill, by its key, and how many: round_8x2_in:3. Repeatable.")
    ] = None,
    height: Annotated[str, typer.Option(help="Height wanted of each layer once it is levelled.")] = "28 mm",
    bowl: Annotated[str | None, typer.Option(help="Volume of the mixer bowl, such as '4.8 l'.")] = None,
    altitude: Annotated[str, typer.Option(help="Of the kitchen, such as '1420 m' or '4660 ft'.")] = "0 m",
    us: Annotated[bool, typer.Option("--us", help="Print US customary units.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Read a formula into grams; check its balance and leavening; scale it to pans."""
    from pydantic import TypeAdapter

    from tierwright.brief import read_formula_sheet
    from tierwright.cli.report import print_json
    from tierwright.dossier import formula_text
    from tierwright.formula import Bowl, Formulas, prepare_formulas
    from tierwright.units import Kind

    text = formula_text(read_formula_sheet(file, kind))
    jobs = _jobs(pan or [], quantity("--height", height, Kind.LENGTH))
    bowls = [] if bowl is None else [Bowl(name="mixer", litres=quantity("--bowl", bowl, Kind.VOLUME) / 1000)]
    done = prepare_formulas(
        [text],
        pans={text.key: jobs},
        needs={},
        bowls=bowls,
        altitude_m=quantity("--altitude", altitude, Kind.ALTITUDE),
    )
    if as_json:
        plain: Any = TypeAdapter(Formulas).dump_python(done, mode="json")
        print_json(plain)
        return
    _print(done, us=us)


def quantity(option: str, text: str, kind: Any) -> float:
    """Read an option that is a quantity with its unit; ``BadInput`` names the option."""
    from tierwright.units import parse_quantity

    try:
        return parse_quantity(text, kind)
    except ValueError as error:
        raise BadInput([Problem(place=option, found=repr(text), expected=str(error))]) from None


def _jobs(wanted: list[str], levelled_mm: float) -> list[PanJob]:
    from tierwright.formula import PanJob
    from tierwright.larder import pan

    jobs: list[PanJob] = []
    for number, entry in enumerate(wanted, start=1):
        key, _, count = entry.partition(":")
        if count and not (count.isascii() and count.isdigit() and 0 < int(count) < 100):
            problem = Problem(place="--pan", found=entry, expected="a pan's key and how many, such as round_8x2_in:3")
            raise BadInput([problem])
        known = pan(key.replace("-", "_"))
        jobs.append(
            PanJob(
                key=f"pan.{number}",
                pan=known.key,
                outline=known.outline,
                depth_mm=known.depth_mm,
                count=int(count or 1),
                levelled_mm=levelled_mm,
            )
        )
    return jobs


def _print(done: Formulas, *, us: bool) -> None:
    from tierwright.cli.report import print_lines, print_table
    from tierwright.units import Display, LengthUnit, MassUnit, TemperatureUnit

    display = Display()
    if us:
        display = Display(mass=MassUnit.BOTH, length=LengthUnit.INCH, temperature=TemperatureUnit.F)
    work = done.works[0]
    _print_lines(work, display)
    if work.balance is not None:
        print_table(
            "Balance",
            ("check", "here", "usual", "verdict"),
            (
                (
                    check.label,
                    f"{check.value:.3g} {check.unit}",
                    _span(check.low, check.high),
                    check.verdict.value + (f": {check.effect}" if check.effect else ""),
                )
                for check in work.balance.checks
            ),
            right=(1, 2),
        )
    if work.batch is not None:
        for mix in work.batch.mixes:
            print_table(
                f"Mix {mix.number}: {display.show_mass(mix.mass_g)}",
                ("weigh", "ingredient", ""),
                ((display.show_mass(p.grams), p.label, p.note) for p in mix.parts),
                right=(0,),
            )
        print_table(
            "Into the pans",
            ("pan", "mix", "batter", "depth", "of the pan"),
            (
                (
                    f.pan,
                    str(f.mix),
                    display.show_mass(f.batter_g.value),
                    display.show_length(f.fill_mm),
                    f"{f.fill_share:.0%}",
                )
                for f in work.batch.fills
            ),
            right=(1, 2, 3, 4),
        )
    _print_leavening(work)
    _print_swaps(work)
    for left in done.by_products:
        print_lines([f"left over: {left.count:.0f} × {left.label}, {display.show_mass(left.grams)}"])
    for proposal in work.proposals:
        print_lines([f"proposed, one at a time: {proposal.title} ({proposal.reason})"])
    for question in done.notes.questions:
        print_lines([f"{question.severity.name.lower()}: {question.text}"])


def _print_leavening(work: FormulaWork) -> None:
    from tierwright.cli.report import print_facts

    found = work.leavening
    if found is None or found.co2_g.value <= 0:
        return
    rows = [
        ("carbon dioxide released", f"{found.co2_g.value:.2f} g"),
        ("as baking powder over flour", f"{found.powder_equivalent_percent.value:.1f} %"),
    ]
    rows += [(f"soda taken up by {acid.label}", f"{acid.soda_g.value:.2f} g") for acid in found.acids]
    if found.acids or found.soda_g > 0:
        rows += [
            ("soda that no acid reaches", f"{found.soda_left_g.value:.2f} g"),
            ("acid left, as the soda it would take", f"{found.acid_left_g.value:.2f} g"),
        ]
    print_facts("Leavening", rows)


def _print_swaps(work: FormulaWork) -> None:
    from tierwright.cli.report import print_table

    if not work.substitutions:
        return
    print_table(
        "What could stand in, and what changes",
        ("swap", "weights", "in the whole", "allergens", "mind"),
        (
            (
                swap.title,
                "; ".join(f"{one.label} {one.before_g:.0f} to {one.after_g:.0f} g" for one in swap.changes),
                ", ".join(
                    f"{name} {grams:+.1f} g"
                    for name, grams in (
                        ("water", swap.water_g),
                        ("fat", swap.fat_g),
                        ("sugars", swap.sugars_g),
                        ("protein", swap.protein_g),
                        ("soda taken up", swap.soda_g),
                    )
                    if abs(grams) >= 0.05
                ),
                ", ".join(
                    [f"+ {one}" for one in swap.allergens_added] + [f"− {one}" for one in swap.allergens_removed]
                ),
                swap.effects,
            )
            for swap in work.substitutions
        ),
    )


def _print_lines(work: FormulaWork, display: Display) -> None:
    from tierwright.cli.report import print_table

    shares = {share.name: share.percent.value for share in work.percents}
    print_table(
        work.formula.text.name,
        ("as written", "ingredient", "weight", "likely", "baker's %", "how measured"),
        (
            (
                line.text,
                line.label or line.status.value,
                display.show_mass(line.grams.value) if line.ingredient else "?",
                f"{line.grams.low:.0f} to {line.grams.high:.0f} g" if line.grams.high > line.grams.low else "",
                f"{shares[line.ingredient]:.1f}" if line.ingredient in shares else "",
                line.way or line.reason,
            )
            for line in work.formula.lines
        ),
        right=(2, 3, 4),
    )


def _span(low: float | None, high: float | None) -> str:
    if low is None:
        return f"up to {high:g}" if high is not None else ""
    return f"{low:g} or more" if high is None else f"{low:g} to {high:g}"
