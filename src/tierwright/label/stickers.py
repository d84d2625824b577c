"""Labels as stickers at their true size, on sheets whose grid is given by its measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.errors import Infeasible, UnknownName, require_range
from tierwright.label.declaring import list_allergens
from tierwright.label.model import Field, Run, UnitLabel
from tierwright.label.rules import limit, rows, rule
from tierwright.label.setting import SetLine, break_lines, face_of, net_size, set_text, size_for
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, group, line, number, rect

MARGIN_MM: Final = 2.0
"""White inside a sticker's edge: sheets shift in a printer. [mm] Common practice."""
_LEADING: Final = 1.12
_ASCENT: Final = 0.80
_LARGEST: Final = 1.6
"""A list is set no larger than this over the lawful least, even where there is room. [-]"""
_NAME: Final = 1.35
_LINE_MM: Final = 0.2
_LINE_ROOM_MM: Final = 0.5
"""Lines that set the list off, and the white on each side of them. [mm]"""
_LIST_FIELDS: Final = ("date", "storage", "batch", "maker", "permit", "home_sentence")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """
    A sheet of stickers by its measures.

    Attributes
    ----------
    key
        Name in files, from the measures.
    paper
        Name of the paper.
    paper_width_mm, paper_height_mm
        Its size. [mm]
    columns, rows
        Stickers across and down.
    width_mm, height_mm
        One sticker. [mm]
    left_mm, top_mm
        White before the first sticker. [mm]
    step_x_mm, step_y_mm
        From one sticker's edge to the next one's. [mm]
    """

    key: str
    paper: str
    paper_width_mm: float
    paper_height_mm: float
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    step_x_mm: float
    step_y_mm: float

    @property
    def count(self) -> int:
        """Stickers on a sheet."""
        return self.columns * self.rows

    @property
    def area_cm2(self) -> float:
        """Area of one sticker. [cm2]"""
        return self.width_mm * self.height_mm / 100.0


@cache
def grids() -> dict[str, Grid]:
    """Return the sheets of stickers that the table holds, by key, the smallest sticker first."""
    found = [
        Grid(
            key=row["key"],
            paper=row["paper"],
            columns=int(row["columns"]),
            rows=int(row["rows"]),
            **{name: float(value) for name, value in row.items() if name.endswith("_mm")},
        )
        for row in rows("grids.csv")
    ]
    return {grid.key: grid for grid in sorted(found, key=lambda grid: grid.area_cm2)}


def grid_of(key: str) -> Grid:
    """
    Return one sheet of stickers by its key.

    Raises
    ------
    UnknownName
        The table holds no such sheet.
    """
    if key not in grids():
        raise UnknownName("sheet of stickers", key, tuple(grids()))
    return grids()[key]


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Words of a sticker, their size over that of the list, its least [mm], and whether lines set them off."""

    runs: tuple[Run, ...]
    scale: float = 1.0
    least_mm: float = 0.0
    lined: bool = False


def paragraphs(label: UnitLabel, place: Jurisdiction, surface_cm2: float = 500.0) -> list[Paragraph]:
    """
    Return what stands on a sticker, in its order.

    A draft says so first: it is for the maker's eyes, not for the box.
    """
    values = {field.key: field for field in label.fields}
    said: list[Paragraph] = []
    if label.is_draft:
        said.append(_strong("DRAFT, not to be used: packets to be read."))
    name = label.food_name or label.name
    said.append(Paragraph(runs=(Run(text=name, strong=True),), scale=_NAME))
    if label.food_name_french and label.food_name_french != name:
        said.append(Paragraph(runs=(Run(text=label.food_name_french, strong=True),), scale=_NAME))
    lined = rule("list_border", place) is not None
    no_list = limit("no_list_surface", place)
    if no_list is not None and surface_cm2 < no_list:
        # No room for a list: allergens alone are named, under their own word (Articles 16(2) and 21(1)).
        words = list_allergens(place, dict(label.marks))
        said += [_strong(words)] if words else []
    else:
        said.append(Paragraph(runs=label.declaration.runs, lined=lined))
    statements = (label.declaration.contains, label.declaration.may_contain)
    said += [_strong(words, lined=lined) for words in statements if words]
    if label.french is not None:
        # Each statement stands after the list of its own language.
        said.append(Paragraph(runs=label.french.runs, lined=lined))
        french = (label.french.contains, label.french.may_contain)
        said += [_strong(words, lined=lined) for words in french if words]
    said += [Paragraph(runs=(Run(text=words),)) for words in label.declaration.warnings]
    least = net_size(place, label.mass_g, surface_cm2)
    said.append(Paragraph(runs=(Run(text=label.net_quantity, strong=True),), least_mm=least))
    said += [Paragraph(runs=_field_runs(values[key])) for key in _LIST_FIELDS if key in values and values[key].value]
    return said


def _strong(words: str, *, lined: bool = False) -> Paragraph:
    return Paragraph(runs=(Run(text=words, strong=True),), lined=lined)


def _field_runs(field: Field) -> tuple[Run, ...]:
    if field.key in ("date", "storage", "maker", "home_sentence"):
        return (Run(text=field.value),)
    return (Run(text=f"{field.label}: {field.value}"),)


def _set(
    label: UnitLabel, place: Jurisdiction, size: float, measure: float, surface_cm2: float
) -> tuple[list[tuple[float, SetLine, bool]], float]:
    """Break everything into lines, each with its size and whether it is set off; and the height of them all. [mm]"""
    lines: list[tuple[float, SetLine, bool]] = []
    height = 0.0
    for said in paragraphs(label, place, surface_cm2):
        own = max(size * said.scale, said.least_mm)
        for broken in break_lines(said.runs, own, measure, face=face_of(place)):
            lines.append((own, broken, said.lined))
            height += own * _LEADING
    if any(lined for _, _, lined in lines):
        height += 4 * _LINE_ROOM_MM
    return lines, height


def fitted_size(
    label: UnitLabel, place: Jurisdiction, width_mm: float, height_mm: float, surface_cm2: float
) -> float | None:
    """
    Return the font size at which a label fits a sticker, as large as there is room for; None if it does not. [mm]

    Parameters
    ----------
    label, place
        What it says, and whose rule on small type.
    width_mm, height_mm
        The sticker. [mm]
    surface_cm2
        The package, whose surface decides the least type. [cm2]
    """
    least = size_for(place, surface_cm2)
    room = height_mm - 2 * MARGIN_MM
    for step in range(13):
        size = least * (_LARGEST - (_LARGEST - 1.0) * step / 12)
        if _set(label, place, size, width_mm - 2 * MARGIN_MM, surface_cm2)[1] <= room:
            return size
    return None


def fitting_grid(label: UnitLabel, place: Jurisdiction, paper: str, surface_cm2: float = 500.0) -> Grid | None:
    """Return the smallest sticker of a paper on which a label fits at a lawful size; None if none is large enough."""
    for grid in grids().values():
        if grid.paper == paper and fitted_size(label, place, grid.width_mm, grid.height_mm, surface_cm2) is not None:
            return grid
    return None


def sticker_marks(
    label: UnitLabel, place: Jurisdiction, width_mm: float, height_mm: float, surface_cm2: float = 500.0
) -> str:
    """
    Return a label as SVG marks in a box with its corner at the origin.

    Raises
    ------
    Infeasible
        It does not fit at the least size that the place lets stand; with the height that it needs.
    """
    require_range("width of a sticker", width_mm, 20.0, 400.0, "mm", "label")
    require_range("height of a sticker", height_mm, 10.0, 600.0, "mm", "label")
    size = fitted_size(label, place, width_mm, height_mm, surface_cm2)
    if size is None:
        least = size_for(place, surface_cm2)
        needed = _set(label, place, least, width_mm - 2 * MARGIN_MM, surface_cm2)[1] + 2 * MARGIN_MM
        raise Infeasible(
            f"The label of the {label.name} on {width_mm:g} by {height_mm:g} mm",
            f"at the least lawful size it is {needed:.0f} mm high",
            f"a sticker {width_mm:g} mm wide and {needed:.0f} mm high",
        )
    y = MARGIN_MM
    marks: list[str] = []
    within = False
    for line_size, broken, lined in _set(label, place, size, width_mm - 2 * MARGIN_MM, surface_cm2)[0]:
        if lined is not within:
            y += _LINE_ROOM_MM
            marks.append(line(MARGIN_MM, y, width_mm - MARGIN_MM, y, stroke_width=_LINE_MM))
            y += _LINE_ROOM_MM
            within = lined
        marks.append(set_text(MARGIN_MM, y + line_size * _ASCENT, broken.runs, line_size))
        y += line_size * _LEADING
    return "".join(marks)


def draw_sticker(
    label: UnitLabel,
    place: Jurisdiction,
    *,
    width_mm: float = 99.1,
    height_mm: float = 67.7,
    surface_cm2: float = 500.0,
    prefix: str = "sticker",
    ink: Ink = INK_ON_PAPER,
) -> Drawing:
    """Draw one label as a sticker at its true size; see ``sticker_marks``."""
    marks = sticker_marks(label, place, width_mm, height_mm, surface_cm2)
    edge = rect(0.1, 0.1, width_mm - 0.2, height_mm - 0.2, fill="none", stroke_width=0.1)
    return document(
        prefix=prefix,
        title=f"Label of the {label.name}",
        desc=" ".join("".join(run.text for run in said.runs) for said in paragraphs(label, place, surface_cm2)),
        width_mm=width_mm,
        height_mm=height_mm,
        ink=ink,
        definitions="",
        body=edge + marks,
        scale=1.0,
        font=face_of(place).family,
    )


def draw_sheets(
    labels: Sequence[tuple[UnitLabel, int]],
    place: Jurisdiction,
    grid: Grid,
    *,
    surface_cm2: float = 500.0,
    first: int = 1,
    prefix: str = "stickers",
    ink: Ink = INK_ON_PAPER,
) -> tuple[Drawing, ...]:
    """
    Draw sheets of stickers, each label as often as it is wanted.

    Parameters
    ----------
    labels
        Labels and how many of each.
    place
        Whose rule on small type.
    grid
        The sheet.
    surface_cm2
        The package on which it is stuck. [cm2]
    first
        The first sticker still on the sheet, so that a begun sheet is used up.
    prefix, ink
        Start of every id; what it is drawn with.

    Raises
    ------
    Infeasible
        A label does not fit.
    """
    require_range("first sticker", first, 1, grid.count, "", "label")
    cells = [""] * (first - 1)
    for label, count in labels:
        cells += [sticker_marks(label, place, grid.width_mm, grid.height_mm, surface_cm2)] * count
    sheets: list[Drawing] = []
    for number_, start in enumerate(range(0, len(cells), grid.count), start=1):
        placed = [
            group(
                marks,
                transform=f"translate({number(grid.left_mm + place_ % grid.columns * grid.step_x_mm)} "
                f"{number(grid.top_mm + place_ // grid.columns * grid.step_y_mm)})",
            )
            for place_, marks in enumerate(cells[start : start + grid.count])
            if marks
        ]
        sheets.append(
            document(
                prefix=f"{prefix}-{number_}",
                title=f"Stickers, sheet {number_}",
                desc=f"{len(placed)} stickers of {grid.width_mm:g} by {grid.height_mm:g} mm: print at its true size",
                width_mm=grid.paper_width_mm,
                height_mm=grid.paper_height_mm,
                ink=ink,
                definitions="",
                body="".join(placed),
                scale=1.0,
                font=face_of(place).family,
            )
        )
    return tuple(sheets)
