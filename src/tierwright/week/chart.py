"""The week drawn: rows are hands, ovens, bowls and places, bars are tasks, time runs from left to right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, rect, width_of, words
from tierwright.week.model import ResourceKind, TaskKind
from tierwright.week.plan import Bar, WeekPlan

ROW_MM = 6.4
DAY_MM = 64.0
LEFT_MM = 30.0
TOP_MM = 15.0
MARKS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""One letter for each commission, in the order of acceptance; I and O are left out because they look like figures."""
FILLS = ("none", "line", "cross", "dots", "back", "dense")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    label: str
    bars: tuple[tuple[datetime, datetime, str, str, str, str], ...]  # begin, end, job, words, title, task


def _title(bar: Bar) -> str:
    part = f", {bar.part}" if bar.part and bar.part not in bar.label else ""
    whose = f"; for {bar.commission}" if bar.commission and bar.commission != bar.part else ""
    return f"{bar.label}{part}, {bar.begin:%a %H:%M} to {bar.end:%H:%M}{whose}"


def _rows(week: WeekPlan) -> list[_Row]:
    problem = week.problem
    rows: list[_Row] = []
    hands = list(dict.fromkeys(name for crew in problem.resources for name in crew.names))
    rows += [
        _Row(
            label=hand,
            bars=tuple((b.begin, b.end, b.job, b.kind.value, _title(b), b.task) for b in week.bars if hand in b.hands),
        )
        for hand in hands
    ]
    placed = {item.task: item for item in week.schedule.placed}
    for resource in problem.resources:
        if resource.kind not in (ResourceKind.OVEN, ResourceKind.MIXER, ResourceKind.VAN):
            continue
        lanes: list[list[tuple[datetime, datetime, str, str, str, str]]] = []
        for bar in week.bars:
            if resource.key not in placed[bar.task].picks:
                continue
            lane = next((lane for lane in lanes if lane[-1][1] <= bar.begin), None)
            if lane is None:
                lanes.append(lane := [])
            lane.append((bar.begin, bar.end, bar.job, bar.part if bar.kind is TaskKind.BAKE else bar.kind.value,
                         _title(bar), bar.task))  # fmt: skip
        for number, lane in enumerate(lanes):
            rows.append(_Row(label=resource.label if number == 0 else "", bars=tuple(lane)))
    return rows


def _levels(week: WeekPlan, label: str, key: str) -> list[tuple[datetime, float]]:
    """How full a place is, as steps in time. [l or pieces]"""
    spells = [(w.begin, w.end, w.amount) for w in week.waiting if w.place == label]
    scale = 1.0 if week.problem.resource[key].kind is ResourceKind.RACK else 0.1
    for item in week.schedule.placed:
        for pick, need in zip(item.picks, week.problem.task[item.task].needs, strict=True):
            if pick == key:
                spells.append(
                    (week.clock.moment(item.start), week.clock.moment(item.end), dict(need.options)[pick] * scale)
                )
    changes: dict[datetime, float] = {}
    for begin, end, amount in spells:
        changes[begin] = changes.get(begin, 0.0) + amount
        changes[end] = changes.get(end, 0.0) - amount
    level, found = 0.0, []
    for moment in sorted(changes):
        level += changes[moment]
        found.append((moment, max(0.0, level)))
    return found


def week_chart(
    week: WeekPlan, *, ink: Ink = INK_ON_PAPER, prefix: str = "week", movable: bool = False,
    held: frozenset[str] = frozenset(),
) -> Drawing:  # fmt: skip
    """
    Draw the week.

    Parameters
    ----------
    week
        The plan.
    ink
        What it is drawn with.
    prefix
        Start of every id in the drawing.
    movable
        Mark every task's bar with its key and beginning, for a page on which it can be taken up.
    held
        Tasks that are held fast where they are; they get a nail.

    Returns
    -------
    drawing
        Rows of hands, ovens, bowls and vehicles with their tasks; below them how full each place is. A commission is
        told by its letter and its hatch, never by colour.
    """
    first = min(bar.begin for bar in week.bars).replace(hour=0, minute=0)
    last = max(bar.end for bar in week.bars)
    days = (last.date() - first.date()).days + 1
    rows = _rows(week)
    places = [
        r for r in week.problem.resources
        if r.kind in (ResourceKind.FRIDGE, ResourceKind.FREEZER, ResourceKind.RACK, ResourceKind.BENCH)
        and _levels(week, r.label, r.key)
    ]  # fmt: skip
    floor = TOP_MM + ROW_MM * len(rows) + 2.0 * ROW_MM * len(places)
    width = LEFT_MM + DAY_MM * days + 4.0
    jobs = list(week.problem.jobs)
    legend_rows = -(-len(jobs) // 3)
    height = floor + 8.0 + 5.0 * legend_rows + 3.0

    def x(moment: datetime) -> float:
        return LEFT_MM + (moment - first).total_seconds() / 86400.0 * DAY_MM

    parts = [words(2, 5.5, f"Week of {week.kitchen}", size=4.2, weight="bold")]
    for day in range(days + 1):
        date = first.date() + timedelta(days=day)
        at = LEFT_MM + DAY_MM * day
        parts.append(line(at, TOP_MM - 5, at, floor, stroke_width=0.35))
        if day < days:
            parts.append(words(at + DAY_MM / 2, TOP_MM - 3.2, f"{date:%a} {date.day}", size=3.2, anchor="middle"))
            for hour in (6, 12, 18):
                mark = at + DAY_MM * hour / 24
                parts.append(line(mark, TOP_MM - 1.2, mark, floor, stroke_width=0.1, stroke_opacity=ink.faint))
                parts.append(words(mark, TOP_MM - 0.2, str(hour), size=2.0, anchor="middle"))
    y = TOP_MM
    for row in rows:
        parts.append(line(2, y, width - 4, y, stroke_width=0.15, stroke_opacity=ink.faint))
        if row.label:
            parts.append(words(2, y + ROW_MM * 0.65, _short(row.label, LEFT_MM - 4, 3.0), size=3.0))
        for begin, end, job, text, title, task in row.bars:
            drawn = _bar(x(begin), x(end), y + 0.8, ROW_MM - 1.6, job, jobs, text, title, prefix, ink)
            if task in held:
                drawn += _nail(x(begin), y + 0.8, ink)
            if movable and job:
                drawn = group(
                    drawn, data_task=task, data_begin=begin.isoformat(), tabindex="-1", role="button", aria_label=title
                )
            parts.append(drawn)
        y += ROW_MM
    for place in places:
        parts.append(line(2, y, width - 4, y, stroke_width=0.15, stroke_opacity=ink.faint))
        parts.append(words(2, y + ROW_MM * 0.8, _short(place.label, LEFT_MM - 4, 3.0), size=3.0))
        levels = _levels(week, place.label, place.key)
        rack = place.kind is ResourceKind.RACK
        capacity = float(place.capacity) if rack else place.capacity / 10.0
        unit = "layers" if rack else "l"
        parts.append(words(2, y + ROW_MM * 1.4, f"of {capacity:.0f} {unit}", size=2.2))
        tall = 2 * ROW_MM - 1.6
        base = y + 2 * ROW_MM - 0.3
        path, level = [f"M{x(levels[0][0]):.2f} {base:.2f}"], 0.0
        for moment, level in levels:
            path.append(f"H{x(moment):.2f}V{base - tall * min(1.0, level / capacity):.2f}")
        parts.append(
            element("path", d="".join(path) + f"V{base:.2f}Z", fill=f"url(#{prefix}-level)", stroke_width=0.25)
        )
        y += 2 * ROW_MM
    parts.append(line(2, floor, width - 4, floor, stroke_width=0.35))
    for number, job in enumerate(jobs):
        at_x = 2 + (number % 3) * (width - 6) / 3
        at_y = floor + 4.0 + 5.0 * (number // 3)
        parts.append(_bar(at_x, at_x + 8, at_y, 3.6, job, jobs, "", "", prefix, ink))
        parts.append(words(at_x + 9.5, at_y + 2.9, _short(week.problem.label_of(job), width / 3 - 16, 3.0), size=3.0))
    return document(
        prefix=prefix,
        title=f"Week of {week.kitchen}",
        desc=(
            f"{len(week.bars)} tasks for {len(jobs)} commissions over {days} days, in rows for hands, ovens, mixers "
            "and vehicles, with how full each place is below."
        ),
        width_mm=width,
        height_mm=height,
        ink=ink,
        definitions=_patterns(prefix, ink),
        body=group(*parts),
    )


def _bar(
    x1: float, x2: float, y: float, tall: float, job: str, jobs: list[str], text: str, title: str, prefix: str, ink: Ink
) -> str:
    number = jobs.index(job) if job in jobs else -1
    fill = FILLS[number % len(FILLS)] if number >= 0 else "none"
    paint = "none" if fill == "none" else f"url(#{prefix}-{fill})"
    letter = MARKS[number % len(MARKS)] if number >= 0 else ""
    wide = max(0.3, x2 - x1)
    children = [element("title", _escaped(title))] if title else []
    children.append(rect(x1, y, wide, tall, fill=ink.paper, stroke="none"))
    children.append(
        rect(x1, y, wide, tall, fill=paint, stroke_width=0.25, stroke_dasharray=None if number >= 0 else "0.8 0.6")
    )
    label = f"{letter} {text}".strip()
    for shown in (label, letter):
        if shown and width_of(shown, 2.2) < wide - 0.6:
            children.append(words(x1 + wide / 2, y + tall / 2 + 0.8, shown, size=2.2, anchor="middle", halo=ink.paper))
            break
    return group(*children)


def _nail(x: float, y: float, ink: Ink) -> str:
    return element("path", d=f"M{x:.2f} {y:.2f}l1.5 0l-0.75 1.4z", fill=ink.ink, stroke="none")


def _escaped(text: str) -> str:
    from tierwright.svg import clean

    return clean(text)


def _short(text: str, width_mm: float, size: float) -> str:
    if width_of(text, size) <= width_mm:
        return text
    while text and width_of(text + "…", size) > width_mm:
        text = text[:-1]
    return text.rstrip() + "…"


def _patterns(prefix: str, ink: Ink) -> str:
    def hatch(name: str, *children: str, size: float = 1.4) -> str:
        return element(
            "pattern", *children, id=f"{prefix}-{name}", width=size, height=size, patternUnits="userSpaceOnUse"
        )

    def stroke(x1: float, y1: float, x2: float, y2: float) -> str:
        return line(x1, y1, x2, y2, stroke=ink.ink, stroke_width=0.14)

    return "".join(
        (
            hatch("line", stroke(0, 1.4, 1.4, 0)),
            hatch("back", stroke(0, 0, 1.4, 1.4)),
            hatch("cross", stroke(0, 1.4, 1.4, 0), stroke(0, 0, 1.4, 1.4)),
            hatch("dots", element("circle", cx=0.7, cy=0.7, r=0.16, fill=ink.ink, stroke="none")),
            hatch("dense", stroke(0, 0.35, 1.4, 0.35), stroke(0, 1.05, 1.4, 1.05)),
            hatch("level", stroke(0, 0.7, 1.4, 0.7)),
        )
    )
