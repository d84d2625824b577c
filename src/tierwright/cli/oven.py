"""``tierwright oven``: what one oven's own bakes say about it, kept as a record that can be undone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.cli.bake import (
    AltitudeOption,
    AtOption,
    BatterOption,
    ConvectionOption,
    FinishOption,
    FormulaFile,
    KindOption,
    PanOption,
    StartOption,
    case,
    difference,
)
from tierwright.errors import BadInput, Problem, UnknownName

if TYPE_CHECKING:
    from tierwright.bake import OvenCalibration, OvenMode, OvenRecord

oven = typer.Typer(
    no_args_is_help=True,
    help="Learn an oven from its own bakes; show or undo what was learnt.",
    rich_markup_mode="markdown",
)
app.add_typer(oven, name="oven")

RecordOption = Annotated[Path, typer.Option(help="File that keeps the record of this oven, rack and mode.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print as JSON.")]
DEFAULT_RECORD = Path("oven.json")


@oven.command(
    "learn",
    epilog="Example: `tierwright oven learn examples/centenary/formulas/vanilla.toml --pan round_9x2_in "
    "--batter '610 g' --at '350 F' --done '33 min'`",
)
def learn(
    formula: FormulaFile,
    pan: PanOption,
    batter: BatterOption,
    at: AtOption,
    done: Annotated[str | None, typer.Option(help="When it was found done.")] = None,
    log: Annotated[Path | None, typer.Option(help="Or a probe log: time and temperature in columns.")] = None,
    unit: Annotated[str, typer.Option(help="Unit of the log, C or F, where the file does not say.")] = "",
    height: Annotated[str, typer.Option(help="Where the probe's tip was, as a share of the height.")] = "50 %",
    across: Annotated[str, typer.Option(help="And how far from the middle, as a share of the radius.")] = "0 %",
    bias: Annotated[str, typer.Option(help="What the probe reads too high, such as '0.8 C'.")] = "0 C",
    thermometer: Annotated[str | None, typer.Option(help="Or the mean of an oven thermometer at this dial.")] = None,
    kind: KindOption = None,
    finish: FinishOption = "dull",
    convection: ConvectionOption = False,
    altitude: AltitudeOption = "0 m",
    start: StartOption = "21 C",
    name: Annotated[str, typer.Option(help="What this piece of evidence is called.")] = "",
    record: RecordOption = DEFAULT_RECORD,
    as_json: JsonOption = False,
) -> None:
    """Add one bake, probe log or thermometer reading to the record, and say what the oven is like now."""
    from tierwright.bake import DoneTime, Evidence, OvenMode, ProbeRecord, ThermometerReading, calibrate, read_log
    from tierwright.brief import read_text
    from tierwright.cli.formula import quantity
    from tierwright.units import Kind

    if sum(one is not None for one in (done, log, thermometer)) != 1:
        expected = "exactly one of --done, --log and --thermometer"
        raise BadInput([Problem(place="options", found="none or several", expected=expected)])
    if unit not in {"", "C", "F"}:
        raise BadInput([Problem(place="--unit", found=unit, expected="C or F")])
    kept = _read(record, OvenMode.FAN if convection else OvenMode.STATIC)
    what, filled = case(formula, kind, pan, batter, finish, start)
    key = name or f"{len(kept.evidence) + 1}"
    if key in {one.key for one in kept.evidence}:
        raise BadInput([Problem(place="--name", found=key, expected="a name that the record does not hold yet")])
    dial = quantity("--at", at, Kind.TEMPERATURE)
    high = quantity("--altitude", altitude, Kind.ALTITUDE)
    piece: Evidence
    if done is not None:
        minutes = quantity("--done", done, Kind.TIME)
        piece = DoneTime(key=key, pan=what, batter=filled, set_point_c=dial, altitude_m=high, done_min=minutes)
    elif log is not None:
        read = read_log(read_text(log, "a probe log"), unit=f"deg{unit}" if unit else "", place=log.name)
        piece = ProbeRecord(
            key=key,
            pan=what,
            batter=filled,
            set_point_c=dial,
            altitude_m=high,
            minutes=read.minutes,
            celsius=read.celsius,
            radius_share=quantity("--across", across, Kind.SHARE),
            height_share=quantity("--height", height, Kind.SHARE),
            bias_c=difference("--bias", bias),
        )
    else:
        mean = quantity("--thermometer", thermometer or "", Kind.TEMPERATURE)
        piece = ThermometerReading(key=key, set_point_c=dial, mean_c=mean)
    grown = _with(kept, (*kept.evidence, piece))
    found = calibrate(grown)
    _write(record, grown)
    _print(found, as_json=as_json)


@oven.command("show", epilog="Example: `tierwright oven show --record oven.json`")
def show(record: RecordOption = DEFAULT_RECORD, as_json: JsonOption = False) -> None:
    """Say what the record makes of the oven."""
    from tierwright.bake import calibrate

    _print(calibrate(_read(record)), as_json=as_json)


@oven.command("forget", epilog="Example: `tierwright oven forget 1 --record oven.json`")
def forget(
    name: Annotated[str, typer.Argument(help="The piece of evidence to take out.")],
    record: RecordOption = DEFAULT_RECORD,
    as_json: JsonOption = False,
) -> None:
    """Take one piece of evidence out of the record and learn anew from the rest."""
    from tierwright.bake import calibrate

    kept = _read(record)
    names = [one.key for one in kept.evidence]
    if name not in names:
        raise UnknownName("piece of evidence", name, names, str(record))
    rest = _with(kept, tuple(one for one in kept.evidence if one.key != name))
    found = calibrate(rest)
    _write(record, rest)
    _print(found, as_json=as_json)


def _with(record: OvenRecord, evidence: tuple[object, ...]) -> OvenRecord:
    from dataclasses import replace

    return replace(record, evidence=evidence)  # type: ignore[arg-type]


def _read(path: Path, mode: OvenMode | None = None) -> OvenRecord:
    from pydantic import TypeAdapter, ValidationError

    from tierwright.bake import OvenRecord
    from tierwright.brief import read_text

    if mode is not None and not path.exists():
        return OvenRecord(oven=path.stem, mode=mode)
    try:
        kept = TypeAdapter(OvenRecord).validate_json(read_text(path, "the record of an oven"))
    except ValidationError as error:
        raise BadInput(
            Problem(
                place=f"{path.name}: {'.'.join(map(str, e['loc']))}", found=repr(e["input"])[:60], expected=e["msg"]
            )
            for e in error.errors(include_url=False)
        ) from None
    if mode is not None and kept.mode != mode:
        expected = "a record of the same mode; keep fan and static in files of their own"
        raise BadInput([Problem(place=str(path), found=kept.mode.value, expected=expected)])
    return kept


def _write(path: Path, record: OvenRecord) -> None:
    from pydantic import TypeAdapter

    from tierwright.bake import OvenRecord

    fresh = path.with_name(f".{path.name}.new")
    try:
        fresh.write_bytes(TypeAdapter(OvenRecord).dump_json(record, indent=1))
        fresh.replace(path)
    except OSError as error:
        problem = Problem(place=str(path), found=error.strerror or str(error), expected="a file that can be written to")
        raise BadInput([problem]) from None


def _print(found: OvenCalibration, *, as_json: bool) -> None:
    from dataclasses import asdict

    from tierwright.cli.report import print_facts, print_json, print_lines

    if as_json:
        print_json(asdict(found))
        return
    rows = [
        ("heat against the usual oven", f"{found.factor:.2f} (times or divided by {1 + found.factor_sd:.2f})"),
        ("true temperature less dial", f"{found.offset_c:+.1f} C, give or take {found.offset_sd_c:.1f}"),
        ("bakes learnt from", str(found.bakes)),
    ]
    print_facts(f"{found.oven}, {found.mode.value}", rows)
    for verdict in found.verdicts:
        used = "used" if verdict.used else "not used"
        print_lines([f"{verdict.key}: {used}" + "".join(f"; {remark}" for remark in verdict.remarks)])
    print_lines(
        [
            "",
            "For this oven in kitchen.toml:",
            f"factor = {found.factor:.3f}",
            f"factor-sd = {found.factor_sd:.3f}",
            f"bakes-learnt = {found.bakes}",
            f'offset = "{found.offset_c:.1f} C"',
        ]
    )
