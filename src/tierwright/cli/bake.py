"""``tierwright bake``: one pan, without a commission."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, MissingData, Problem

if TYPE_CHECKING:
    from tierwright.bake import Bake, BakingPan, Batter

FormulaFile = Annotated[Path, typer.Argument(help="The formula of the batter.")]
KindOption = Annotated[str | None, typer.Option(help="What it makes, where the file is silent.")]
PanOption = Annotated[str, typer.Option(help="The pan, by its key, such as round_9x2_in.")]
BatterOption = Annotated[str, typer.Option(help="Batter in the pan.")]
AtOption = Annotated[str, typer.Option(help="What the dial says.")]
FinishOption = Annotated[str, typer.Option(help="Pan: bright, dull, anodised, dark, steel, tinned, glass or silicone.")]
ConvectionOption = Annotated[bool, typer.Option("--convection", help="A fan moves the air.")]
AltitudeOption = Annotated[str, typer.Option(help="Of the kitchen.")]
StartOption = Annotated[str, typer.Option(help="Temperature of the batter as it goes in.")]


@app.command(
    "bake",
    epilog="Example: `tierwright bake examples/centenary/formulas/vanilla.toml --pan round_9x2_in --batter '610 g'`",
)
def bake(
    formula: FormulaFile,
    pan: PanOption,
    batter: BatterOption,
    at: AtOption = "350 F",
    kind: KindOption = None,
    finish: FinishOption = "dull",
    convection: ConvectionOption = False,
    altitude: AltitudeOption = "0 m",
    start: StartOption = "21 C",
    offset: Annotated[str, typer.Option(help="True oven temperature less the dial, such as '-10 F'.")] = "0 C",
    factor: Annotated[float | None, typer.Option(help="What `tierwright oven learn` found for this oven.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Say when to look first, when a layer is done, how high it stands, and what would bake it better."""
    from pydantic import TypeAdapter

    from tierwright.bake import Bake, OvenMode, OvenSetting
    from tierwright.bake import bake as bake_one
    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json
    from tierwright.units import Kind

    what, filled = case(formula, kind, pan, batter, finish, start)
    answer = bake_one(
        what,
        filled,
        OvenSetting(
            set_point_c=quantity("--at", at, Kind.TEMPERATURE),
            mode=OvenMode.FAN if convection else OvenMode.STATIC,
            altitude_m=quantity("--altitude", altitude, Kind.ALTITUDE),
            offset_c=difference("--offset", offset),
            factor=1.0 if factor is None else factor,
        ),
    )
    if as_json:
        print_json(TypeAdapter(Bake).dump_python(answer, mode="json"))
        return
    _print(answer)


def difference(option: str, text: str) -> float:
    """Read an option that is a difference of temperatures with its unit; ``BadInput`` names the option. [K]"""
    from pydantic import TypeAdapter

    from tierwright.brief.fields import TemperatureOffset

    try:
        return float(TypeAdapter(TemperatureOffset).validate_python(text))
    except ValueError:
        problem = Problem(place=option, found=repr(text), expected="a difference such as '-10 F' or '5 C'")
        raise BadInput([problem]) from None


def case(formula: Path, kind: str | None, pan: str, batter: str, finish: str, start: str) -> tuple[BakingPan, Batter]:
    """Read a pan with its batter from the words of the command line."""
    from tierwright.bake import BakingPan, Batter, finishes
    from tierwright.brief import read_formula_sheet
    from tierwright.cli.formula import quantity
    from tierwright.dossier import formula_text, leavening_of
    from tierwright.formula import composition_of, formula_class, read_formula
    from tierwright.larder import pan as pan_of
    from tierwright.units import Kind

    read = read_formula(formula_text(read_formula_sheet(formula, kind)))
    if read.open_lines:
        problems = [
            Problem(
                place=f"{formula.name}: line {line.number}",
                found=line.text,
                expected="a line that can be read",
                nearest="; ".join(line.choices),
            )
            for line in read.open_lines
        ]
        raise BadInput(problems)
    composition = composition_of(read.parts)
    if composition is None or not read.text.kind.is_batter:
        raise MissingData("a batter", "a bake", formula.name)
    if finish not in finishes():
        raise BadInput([Problem(place="--finish", found=finish, expected="one of " + ", ".join(finishes()))])
    known, row = pan_of(pan.replace("-", "_")), formula_class(read.text.kind)
    return (
        BakingPan(key=known.key, outline=known.outline, height_mm=known.depth_mm, finish=finish),
        Batter(
            batter_g=quantity("--batter", batter, Kind.MASS),
            specific_gravity=read.text.specific_gravity or row.density.value,
            composition=composition,
            rise=row.rise.value,
            start_c=quantity("--start", start, Kind.TEMPERATURE),
            leavening=leavening_of(read),
        ),
    )


def _print(answer: Bake) -> None:
    from tierwright.cli.report import print_cautions, print_facts, print_lines
    from tierwright.units import Display, TemperatureUnit

    display = Display(temperature=TemperatureUnit.BOTH)
    trial = answer.trial
    rows = [("batter stands", display.show_length(trial.depth_mm) + " deep")]
    if answer.done_min is None or answer.first_look_min is None:
        rows.append(("done", "not reached in this oven"))
    else:
        rows += [
            ("look first after", f"{answer.first_look_min:.0f} min"),
            (
                "done after",
                f"{answer.done_min.value:.0f} min, likely {answer.done_min.low:.0f} to {answer.done_min.high:.0f}",
            ),
        ]
    rows += [
        ("middle has to reach", display.show_temperature(trial.target_c)),
        ("edge and middle stand", f"{trial.edge_height_mm:.0f} and {trial.centre_height_mm:.0f} mm high"),
        ("weight lost", f"{trial.weight_loss:.1%}"),
    ]
    print_facts(answer.pan.outline.describe(), rows)
    print_lines(f"advised: {option.label} ({option.reason})" for option in answer.options if option.advised)
    print_lines(f"{question.severity.name.lower()}: {question.text}" for question in answer.notes.questions)
    print_cautions(answer.notes.cautions)
