"""The plan: one tier seen from above, with what stands on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tierwright.drawings.measure import LETTERING_MM, across, choose_scale, scale_bar, scale_words, upright
from tierwright.shapes import Outline, Point
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, element, group, line, polygon, words
from tierwright.units import Display


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """
    A round thing seen from above: a support, a rod, a pick.

    Attributes
    ----------
    x_mm, y_mm
        Its middle, from the middle of the tier, to the right and away from the maker. [mm]
    diameter_mm
        Its diameter. [mm]
    label
        A short sign beside it, such as a number; may be empty.
    sheet
        The sheet of work it belongs to.
    """

    x_mm: float
    y_mm: float
    diameter_mm: float
    label: str = ""
    sheet: str = "supports"


def plan(
    outline: Outline,
    *,
    cake: Outline | None = None,
    above: Outline | None = None,
    board: Outline | None = None,
    marks: Sequence[Mark] = (),
    display: Display | None = None,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 84.0,
    height_mm: float = 84.0,
    prefix: str = "plan",
    title: str = "Plan of a tier",
) -> Drawing:
    """
    Draw one tier seen from above.

    Parameters
    ----------
    outline
        The tier's finished outline.
    cake
        The cake inside the coat, drawn dashed, where it is known.
    above
        The outline of what stands on it, drawn with dashes and dots.
    board
        The board under it.
    marks
        Supports and the like.
    display
        The maker's units.
    ink
        What it is drawn with.
    width_mm, height_mm
        Space on paper. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.

    Returns
    -------
    drawing
        One user unit is one millimetre on paper; the maker stands at the lower edge.

    Raises
    ------
    OutOfRange
        It does not fit the paper at 1 : 25.
    """
    display = display or Display()
    largest = board or outline
    wide, deep = largest.extent_mm
    scale = choose_scale(wide, deep, width_mm - 24.0, height_mm - 24.0)
    middle = (20.0 + (width_mm - 24.0) / 2, 3.0 + deep / scale / 2)

    def at(point: Point) -> Point:
        return (middle[0] + point[0] / scale, middle[1] - point[1] / scale)

    def drawn(shape: Outline, **attributes: str | float | None) -> str:
        return polygon([at(p) for p in shape.polygon()], fill="none", **attributes)

    half_w, half_d = outline.extent_mm[0] / 2, outline.extent_mm[1] / 2
    parts = []
    if board is not None:
        parts.append(group(drawn(board, stroke_width=0.2), id=f"{prefix}-board", data_sheet="supports"))
    parts.append(group(drawn(outline, stroke_width=0.5), id=f"{prefix}-coat", data_sheet="coats"))
    if cake is not None:
        parts.append(drawn(cake, stroke_width=0.2, stroke_dasharray="1.6 1"))
    if above is not None:
        parts.append(group(drawn(above, stroke_width=0.3, stroke_dasharray="3 0.9 0.5 0.9"), id=f"{prefix}-above"))
    parts += [
        line(*at((0.0, -half_d * 1.04)), *at((0.0, half_d * 1.04)), stroke_width=0.12, stroke_dasharray="4 1 1 1"),
        line(*at((-half_w * 1.04, 0.0)), *at((half_w * 1.04, 0.0)), stroke_width=0.12, stroke_dasharray="4 1 1 1"),
    ]
    for i, mark in enumerate(marks):
        x, y = at((mark.x_mm, mark.y_mm))
        radius = mark.diameter_mm / 2 / scale
        spot = element("circle", cx=x, cy=y, r=max(radius, 0.5), fill="none", stroke_width=0.35)
        sign = words(x + radius + 0.8, y - 0.6, mark.label, size=2.6) if mark.label else ""
        known = {"data_x": mark.x_mm, "data_y": mark.y_mm, "data_scale": scale}
        parts.append(group(spot, sign, id=f"{prefix}-mark-{i + 1}", data_sheet=mark.sheet, **known))
    floor = at((0.0, -deep / 2))[1]
    parts.append(
        across(
            at((-half_w, 0.0))[0],
            at((half_w, 0.0))[0],
            floor + 6.5,
            2 * half_w,
            display.show_length(2 * half_w),
            ink=ink,
            from_y=floor + 1.0,
        )
    )
    edge = at((-wide / 2, 0.0))[0]
    parts.append(
        upright(
            edge - 4,
            at((0.0, half_d))[1],
            at((0.0, -half_d))[1],
            2 * half_d,
            display.show_length(2 * half_d),
            ink=ink,
            from_x=(edge - 0.8, edge - 0.8),
        )
    )
    parts.append(words(1.0, floor + 12.5, f"scale {scale_words(scale)}", size=LETTERING_MM))
    parts.append(scale_bar(26.0, floor + 10.4, scale, display, room_mm=width_mm - 36))
    said = [f"{title}, seen from above at a scale of {scale_words(scale)}: {outline.shape.value}, "]
    said.append(f"{display.show_length(2 * half_w)} by {display.show_length(2 * half_d)} finished.")
    if above is not None:
        said.append(f" On it stands a {above.shape.value} tier {display.show_length(above.extent_mm[0])} wide.")
    if marks:
        said.append(f" {len(marks)} places are marked.")
    return document(
        prefix=prefix,
        title=title,
        desc="".join(said),
        width_mm=width_mm,
        height_mm=floor + 17.0,
        ink=ink,
        definitions="",
        body="".join(parts),
        scale=scale,
    )
