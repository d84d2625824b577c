"""``tierwright week``: several commissions round one oven and one pair of hands."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Infeasible, Problem

if TYPE_CHECKING:
    from datetime import date

    from tierwright.brief import Kitchen
    from tierwright.dossier import Dossier
    from tierwright.week import Admission, Progress, Robustness, WeekPlan


@app.command("week", epilog="Example: `tierwright week examples/centenary/commission.toml --out out`")
def week(
    commissions: Annotated[list[Path], typer.Argument(help="Commissions (TOML or JSON), in the order of acceptance.")],
    kitchen: Annotated[
        Path | None, typer.Option(help="The kitchen; kitchen.toml beside the first commission if left out.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder for day sheets, chart, calendar, JSON and CSV.")] = None,
    take: Annotated[bool, typer.Option("--take", help="Ask only whether the last one can be taken.")] = False,
    overtime: Annotated[int, typer.Option(help="Minutes that anybody may work on after hours.", min=0, max=480)] = 0,
    first_day: Annotated[str | None, typer.Option("--from", help="First day to work, such as 2027-06-21.")] = None,
    seed: Annotated[int, typer.Option(help="The same seed gives the same plan.", min=0)] = 1,
    effort: Annotated[float, typer.Option(help="How hard to look; 1 is usual.", min=0.1, max=100)] = 1.0,
    freshness: Annotated[float, typer.Option(help="Weight of fresh cake; 1 is usual.", min=0, max=10)] = 1.0,
    pauses: Annotated[float, typer.Option(help="Weight of pauses to fall back on; 2 is usual.", min=0, max=10)] = 2.0,
    late: Annotated[float, typer.Option(help="Trips in 100 that may be late.", min=0.1, max=50)] = 2.0,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan as JSON.")] = False,
) -> None:
    """Plan the week of several commissions, or say whether one more can be taken."""
    from tierwright.week import Settings, Wishes, plan, simulate, to_json

    dossiers, owned = _read(commissions, kitchen)
    wishes = Wishes(overtime_min=float(overtime), freshness=freshness, pauses=pauses, late_share=late / 100)
    settings = Settings(seed=seed, effort=2.0 * effort, polish=4.0 * effort, rounds=round(30 * effort))
    day = _day(first_day)
    if take:
        from tierwright.week import admit, read_jobs

        jobs = read_jobs(dossiers)
        answer = admit(jobs[:-1], jobs[-1], owned, wishes=wishes, first_day=day)
        if as_json:
            _print_admission_json(answer)
        else:
            _print_admission(answer, jobs[-1].title)
        if answer.plan is None:
            raise typer.Exit(1)
        done = answer.plan
    else:
        show = _shower(quiet=as_json)
        done = plan(dossiers, owned, wishes=wishes, settings=settings, first_day=day, report=show)
        if as_json:
            typer.echo(to_json(done).decode())
        else:
            _print_plan(done)
            _print_margins(done, simulate(done.problem, done.schedule, seed=seed))
    if out is not None:
        for path in _write(done, out):
            if not as_json:
                typer.echo(f"wrote {path}")


def _read(commissions: list[Path], kitchen: Path | None) -> tuple[list[Dossier], Kitchen]:
    from tierwright.brief import read_brief
    from tierwright.dossier import prepare

    place = kitchen or commissions[0].with_name("kitchen.toml")
    briefs = [read_brief(path, place) for path in commissions]
    prepared = []
    for path, brief in zip(commissions, briefs, strict=True):
        try:
            prepared.append(prepare(brief.commission, brief.kitchen))
        except Infeasible as error:
            raise Infeasible(f"{path}: {error.wish}", error.reason, error.cheapest_change) from None
    return prepared, briefs[0].kitchen


def _day(text: str | None) -> date | None:
    from datetime import date

    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput([Problem(place="--from", found=text, expected="a date such as 2027-06-21")]) from None


def _shower(*, quiet: bool) -> Callable[[Progress], None]:
    said = ""

    def show(progress: Progress) -> None:
        nonlocal said
        best = "no plan yet" if progress.cost is None else f"best {progress.cost}"
        bound = ""
        if progress.bound is not None and progress.cost:
            gap = max(0, progress.cost - progress.bound) / progress.cost
            bound = f", nothing below {progress.bound} (at most {gap:.0%} better)"
        line = f"{progress.stage}: {progress.placed} of {progress.of} commissions, {best}{bound}"
        if not quiet and line != said:
            sys.stderr.write(f"{line}\n")
        said = line

    return show


def _print_plan(done: WeekPlan) -> None:
    from tierwright.cli.report import print_lines, print_table

    day = ""
    rows = []
    for bar in done.bars:
        if bar.kind.value == "break":
            continue
        shown = f"{bar.begin:%a} {bar.begin.day}"
        rows.append(
            (
                shown if shown != day else "",
                f"{bar.begin:%H:%M}",
                f"{bar.end:%H:%M}",
                bar.label,
                bar.commission,
                ", ".join((*bar.hands, *bar.places)),
            )
        )
        day = shown
    print_table(f"Week of {done.kitchen}", ("day", "from", "to", "task", "commission", "hands and places"), rows)
    proved = "nothing better exists" if done.gap == 0 else "how much better a plan could be is not proved"
    if done.gap:
        proved = f"no plan is more than {done.gap:.0%} better by the maker's wishes"
    lines = [f"Beyond hours: {done.overtime_min:.0f} min. {proved[0].upper()}{proved[1:]}."]
    lines += [f"Choice: {text}." for text in done.chosen]
    lines += [f"Mind: {text}." for text in done.advice]
    print_lines([*lines, ""])
    print_table(
        "Age of the cake when it leaves",
        ("commission", "what", "hours", "frozen before"),
        (
            (done.problem.label_of(age.job), age.what, f"{age.hours:.0f}", "yes" if age.frozen else "no")
            for age in done.ages
        ),
        right=(2,),
    )


def _print_margins(done: WeekPlan, robust: Robustness) -> None:
    from tierwright.cli.report import print_table

    print_table(
        f"Chance of being late, {robust.runs} weeks simulated",
        ("commission", "chance"),
        ((done.problem.label_of(job), f"{chance:.0%}") for job, chance in robust.late),
        right=(1,),
    )
    margins = {margin.task: margin for margin in robust.margins}
    print_table(
        "What to protect",
        ("task", "commission", "may slip", "begin again by"),
        (
            (
                done.problem.task[key].label,
                done.problem.label_of(done.problem.task[key].job),
                f"{margins[key].slack * 5} min",
                f"{done.clock.moment(margins[key].restart):%a %H:%M}",
            )
            for key in robust.protect
        ),
        right=(2,),
    )


def _print_admission(answer: Admission, title: str) -> None:
    from tierwright.cli.report import print_lines

    lines = [f"Can {title} be taken? {answer.answer.value.capitalize()}."]
    lines += [f"  Change: {change.text}." for change in answer.changes]
    lines += [f"  Or: {change.text}." for change in answer.others]
    lines += [f"  In the way: {cause.text}" for cause in answer.causes]
    print_lines([*lines, ""])


def _print_admission_json(answer: Admission) -> None:
    from tierwright.cli.report import print_json

    print_json(
        {
            "answer": answer.answer.value,
            "changes": [change.text for change in answer.changes],
            "others": [change.text for change in answer.others],
            "causes": [cause.text for cause in answer.causes],
        }
    )


def _write(done: WeekPlan, folder: Path) -> list[Path]:
    from tierwright.sheets import print_week
    from tierwright.week import to_calendar, to_csv, to_json, week_chart

    files = {
        "day-sheets.pdf": print_week(done),
        "week.svg": week_chart(done).svg.encode(),
        "week.json": to_json(done),
        "week.csv": to_csv(done).encode(),
        "week.ics": to_calendar(done),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            (folder / name).write_bytes(content)
    except OSError as error:
        raise BadInput(
            [Problem(place=str(folder), found=error.strerror or str(error), expected="a folder that can be written to")]
        ) from None
    return [folder / name for name in files]
