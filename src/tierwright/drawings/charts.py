"""Charts: the chance of running short against the number of portions cut."""

from __future__ import annotations

from tierwright.drawings.measure import LETTERING_MM
from tierwright.sizing.model import Demand
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, number, width_of, words


def shortage_chart(
    demand: Demand,
    portions: int,
    *,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 84.0,
    height_mm: float = 52.0,
    prefix: str = "shortage",
    title: str = "Chance of running short",
) -> Drawing:
    """
    Draw the chance that more portions are wanted than are cut, with the risk accepted and the number planned.

    Parameters
    ----------
    demand
        The distribution of portions wanted.
    portions
        The number planned.
    ink
        What it is drawn with.
    width_mm, height_mm
        Size on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the chart is called.

    Returns
    -------
    drawing
        A stepped line, with the two lines that the plan is judged by.
    """
    chances = demand.chances
    # The part of the axis in which the chance is neither sure nor nil, and the plan itself.
    live = [i for i, chance in enumerate(chances) if 0.001 < chance < 0.999] or [max(0, len(chances) - 1)]
    low = max(0, min(live[0], portions, demand.wanted) - 5) // 10 * 10
    high = -(-(max(live[-1], portions, demand.wanted) + 3) // 10) * 10
    left, right, top, floor = 14.0, width_mm - 3.0, 7.0, height_mm - 11.0

    def x(count: float) -> float:
        return left + (right - left) * (count - low) / (high - low)

    def y(chance: float) -> float:
        return floor - (floor - top) * chance

    parts = [line(left, floor, right, floor, stroke_width=0.3), line(left, floor, left, top, stroke_width=0.3)]
    for percent in (0, 25, 50, 75, 100):
        parts.append(line(left, y(percent / 100), left - 1.2, y(percent / 100)))
        parts.append(words(left - 2, y(percent / 100) + 1, f"{percent} %", size=2.6, anchor="end"))
    step = 10 if high - low <= 80 else 20 if high - low <= 200 else 50
    for count in range(low, high + 1, step):
        parts.append(line(x(count), floor, x(count), floor + 1.2))
        parts.append(words(x(count), floor + 4.4, str(count), size=2.6, anchor="middle"))
    parts.append(words((left + right) / 2, height_mm - 2.2, "portions cut", size=LETTERING_MM, anchor="middle"))
    path: list[str] = []
    for count in range(low, high + 1):
        chance = chances[count] if count < len(chances) else 0.0
        path.append(f"{'M' if not path else 'H'}{number(x(count))}{' ' + number(y(chance)) if not path else ''}")
        path.append(f"V{number(y(chance))}")
    parts.append(element("path", d="".join(path), fill="none", stroke_width=0.5, stroke_linejoin="round"))
    parts.append(line(left, y(demand.risk), right, y(demand.risk), stroke_width=0.2, stroke_dasharray="1.4 1"))
    parts.append(words(right, y(demand.risk) - 1, f"accepted {_percent(demand.risk)}", size=2.6, anchor="end"))
    short = chances[portions] if 0 <= portions < len(chances) else 0.0
    parts.append(line(x(portions), floor, x(portions), top, stroke_width=0.3, stroke_dasharray="3 0.8 0.5 0.8"))
    label = f"planned {portions}: {_percent(short)}"
    half = width_of(label, LETTERING_MM) / 2
    parts.append(
        words(min(max(x(portions), left + half), right - half), top - 1.8, label, size=LETTERING_MM, anchor="middle")
    )
    parts.append(element("circle", cx=x(portions), cy=y(short), r=0.9, fill=ink.paper, stroke_width=0.4))
    return document(
        prefix=prefix,
        title=title,
        desc=(
            f"{title} against portions cut: with the {portions} planned it is {_percent(short)}; "
            f"{_percent(demand.risk)} is accepted, which {demand.wanted} portions would keep."
        ),
        width_mm=width_mm,
        height_mm=height_mm,
        ink=ink,
        definitions="",
        body=group(*parts),
    )


def _percent(share: float) -> str:
    if 0 < share < 0.001:
        return "under 0.1 %"
    return f"{share * 100:.0f} %" if share >= 0.1 or share == 0 else f"{share * 100:.1f} %"
