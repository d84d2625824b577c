"""``tierwright label``: what must be said of one formula on paper, without a commission."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Infeasible, Problem

if TYPE_CHECKING:
    from tierwright.label import Labels
    from tierwright.units import English


@app.command(
    "label",
    epilog="Example: `tierwright label examples/centenary/formulas/vanilla.toml --law UK --portions 12 --out labels`",
)
def label(
    file: Annotated[Path, typer.Argument(help="TOML, plain lines under a title, a saved recipe page or recipe JSON.")],
    law: Annotated[str, typer.Option(help="Whose law: US, EU, UK, CA or AU-NZ.")] = "US",
    kind: Annotated[
        str | None, typer.Option(help="What it makes, such as 'creamed', if the file does not say.")
    ] = None,
    name: Annotated[str | None, typer.Option(help="Name of the food on the label; else the formula's.")] = None,
    loss: Annotated[str | None, typer.Option(help="Share of the batter lost as steam, such as '9.5 %'.")] = None,
    mass: Annotated[str | None, typer.Option(help="Net quantity of one package; else the whole bake.")] = None,
    portions: Annotated[int, typer.Option(help="Portions in a package; 0 where they are not counted.", min=0)] = 0,
    packets: Annotated[
        Path | None,
        typer.Option(help="TOML of what the kitchen has recorded: [[packets]], [[cross-contact]] and [maker]."),
    ] = None,
    form: Annotated[
        list[str] | None,
        typer.Option(help="A lawful form, such as 'allergens=in-list', 'panel=tabular' or 'languages=en+fr'."),
    ] = None,
    surface: Annotated[float, typer.Option(help="Surface of the package that can bear labels, in cm2.")] = 500.0,
    stickers: Annotated[
        str | None, typer.Option(help="Sheet of stickers for --out, by its key; else the smallest that fits.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for the panel and the stickers as SVG.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Declare one formula: ingredients, allergens, nutrition, and what is still to be asked."""
    from pydantic import TypeAdapter

    from tierwright.brief import read_formula_sheet, read_label_book
    from tierwright.brief.commission import Jurisdiction
    from tierwright.brief.packets import LabelBook
    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json
    from tierwright.dossier import formula_text
    from tierwright.dossier.label_stage import component_of, noun_for, order_of_one
    from tierwright.formula import prepare_formulas
    from tierwright.label import Labels, PartOf, Unit, label_cake
    from tierwright.units import English, Kind

    if law not in set(Jurisdiction):
        raise BadInput([Problem(place="--law", found=law, expected="one of " + ", ".join(Jurisdiction))])
    place = Jurisdiction(law)
    english = English.US if place in (Jurisdiction.US, Jurisdiction.CANADA) else English.UK
    text = formula_text(read_formula_sheet(file, kind))
    done = prepare_formulas([text], pans={text.key: []}, needs={}, bowls=[], altitude_m=0.0)
    work = done.works[0]
    if work.formula.open_lines:
        raise BadInput(
            Problem(
                place=f"{file}: line {line.number}",
                found=line.text,
                expected=line.reason or "a line that can be weighed",
                nearest="; ".join(line.choices),
            )
            for line in work.formula.open_lines
        )
    share = None if loss is None else quantity("--loss", loss, Kind.SHARE)
    component = component_of(work, noun_for(text.kind), share)
    ready_g = sum(used.grams for used in component.used) * (1 - component.loss_share)
    unit = Unit(
        key="package",
        name="package",
        food_name=name or text.name,
        parts=(
            PartOf(component=component.key, grams=ready_g if mass is None else quantity("--mass", mass, Kind.MASS)),
        ),
        portions=portions,
    )
    book = LabelBook() if packets is None else read_label_book(packets)
    made = label_cake(
        order_of_one(place, english, component, unit, book, forms=_forms(form or []), surface_cm2=surface)
    )
    if as_json:
        plain: Any = TypeAdapter(Labels).dump_python(made, mode="json")
        print_json(plain)
    else:
        _print(made)
    if out is not None:
        _write(made, english, out, stickers)


def _forms(given: list[str]) -> dict[str, str]:
    """Read the forms that were chosen, with every one that is none reported at once."""
    from tierwright.label import FORM_KINDS

    problems: list[Problem] = []
    chosen: dict[str, str] = {}
    for text in given:
        kind, _, choice = text.partition("=")
        kind = kind.strip().replace("-", "_")
        if kind not in FORM_KINDS or not choice.strip():
            expected = "one of " + ", ".join(f"{known.replace('_', '-')}=..." for known in FORM_KINDS)
            problems.append(Problem(place="--form", found=text, expected=expected))
        chosen[kind] = choice.strip()
    if problems:
        raise BadInput(problems)
    return chosen


def _print(made: Labels) -> None:
    from tierwright.cli.report import print_lines, print_table

    package = made.units[0]
    title = f"{package.food_name}, {package.net_quantity}"
    print_lines([title + (": DRAFT, not to be used" if package.is_draft else ""), ""])
    print_lines([package.declaration.text])
    print_lines(words for words in (package.declaration.contains, package.declaration.may_contain) if words)
    if package.french is not None:
        print_lines([package.french.text])
        print_lines(words for words in (package.french.contains, package.french.may_contain) if words)
    print_lines(package.declaration.warnings)
    print_lines([f"left out: {reason}" for reason in package.declaration.left_out])
    panel = package.panel
    print_lines(["", *(line.replace("\t", ": ") for line in panel.serving)])
    rows = [("   " * row.indent + row.label, *row.cells) for row in panel.rows]
    if panel.calories:
        rows.insert(0, ("Calories", panel.calories, ""))
    print_table(
        panel.title,
        ("", *panel.columns),
        rows,
        right=tuple(range(1, len(panel.columns) + 1)),
    )
    for block in package.blocks:
        print_lines([f"ask: {block.text} {block.ask}"])
    for question in made.notes.questions:
        if question.key != "label.packets":
            print_lines([f"{question.severity.name.lower()}: {question.text} [{question.reason}]"])


def _write(made: Labels, english: English, folder: Path, wanted: str | None) -> None:
    """Write the panel and one sheet of stickers; nothing at all where the label fits no sticker."""
    from tierwright.cli.writing import write_files
    from tierwright.label import draw_panel, draw_sheets, grid_of, sticker_grid
    from tierwright.units import English as Words

    package, place = made.units[0], made.jurisdiction
    paper = "Letter" if english is Words.US else "A4"
    grid = grid_of(wanted) if wanted is not None else sticker_grid(package, made, paper)
    if grid is None:
        raise Infeasible(
            f"The label of {package.food_name} on a {paper} sheet of stickers",
            "it is longer than the largest sticker of the table at a lawful size",
            "print it from the label sheet of a dossier",
        )
    surface_cm2 = made.form.surface_cm2
    (sheet,) = draw_sheets([(package, grid.count)], place, grid, surface_cm2=surface_cm2)
    panel = draw_panel(package.panel, form=made.form.panel, surface_cm2=surface_cm2)
    files = {"panel.svg": panel.svg, "stickers.svg": sheet.svg}
    write_files({file_name: svg.encode() for file_name, svg in files.items()}, folder)
