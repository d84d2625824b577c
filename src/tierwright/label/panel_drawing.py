"""Nutrition panels drawn to size, as each place lays them out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.errors import UnknownName
from tierwright.label.forms import lawful_forms
from tierwright.label.model import Panel, PanelRow, Run
from tierwright.label.setting import MM_PER_POINT, SERIF, Face, break_lines, face_of, set_text, size_for, width_mm
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, line, rect

_PT: Final = MM_PER_POINT
_HAIR: Final = 0.25 * _PT
_ROOM: Final = 1.2
"""White between the box and what is in it. [mm]"""
_VITAMINS: Final = frozenset({"vitamin_d_ug", "calcium_mg", "iron_mg", "potassium_mg"})


@dataclass(slots=True, kw_only=True)
class _Sheet:
    """A column that fills from the top down."""

    width_mm: float
    face: Face = SERIF
    y_mm: float = _ROOM
    marks: list[str] = field(default_factory=list)

    @property
    def right_mm(self) -> float:
        return self.width_mm - _ROOM

    @property
    def measure_mm(self) -> float:
        return self.width_mm - 2 * _ROOM

    def rule(self, points: float, *, indent_mm: float = 0.0, room_mm: float = 0.35) -> None:
        """Draw a rule of so many points, with white on both sides."""
        thick = points * _PT
        self.y_mm += room_mm
        self.marks.append(rect(_ROOM + indent_mm, self.y_mm, self.measure_mm - indent_mm, thick, stroke="none"))
        self.y_mm += thick + room_mm

    def row(
        self,
        left: str | tuple[Run, ...],
        right: str,
        size_mm: float,
        *,
        strong_right: bool = False,
        indent_mm: float = 0.0,
    ) -> None:
        """Set words to the left and right of one baseline; what does not fit on one line is broken on the left."""
        taken = width_mm(right, size_mm, strong=strong_right, face=self.face) + (2.0 if right else 0.0)
        runs = (Run(text=left),) if isinstance(left, str) else left
        lines = break_lines(runs, size_mm, self.measure_mm - indent_mm - taken, face=self.face)
        for number, broken in enumerate(lines or ()):
            self.y_mm += size_mm * 0.86
            self.marks.append(set_text(_ROOM + indent_mm, self.y_mm, broken.runs, size_mm))
            if number == 0 and right:
                self.marks.append(set_text(self.right_mm, self.y_mm, right, size_mm, anchor="end", strong=strong_right))
            self.y_mm += size_mm * 0.26

    def paragraph(self, runs: tuple[Run, ...], size_mm: float, *, indent_mm: float = 0.0) -> None:
        """Set a paragraph."""
        for broken in break_lines(runs, size_mm, self.measure_mm - indent_mm, face=self.face):
            self.y_mm += size_mm * 0.84
            self.marks.append(set_text(_ROOM + indent_mm, self.y_mm, broken.runs, size_mm))
            self.y_mm += size_mm * 0.24

    def finish(self, panel: Panel, prefix: str, alt: str, ink: Ink) -> Drawing:
        """Put the box round it."""
        height = self.y_mm + _ROOM
        if panel.missing:
            # A draft says so across itself: it must not find its way on to a pack.
            self.marks.append(
                f'<text x="{self.width_mm / 2:.2f}" y="{height / 2:.2f}" font-size="{self.width_mm / 4:.2f}" '
                f'text-anchor="middle" stroke="none" fill-opacity="0.16" '
                f'transform="rotate(-35 {self.width_mm / 2:.2f} {height / 2:.2f})">DRAFT</text>'
            )
        box = rect(_HAIR, _HAIR, self.width_mm - 2 * _HAIR, height - 2 * _HAIR, fill="none", stroke_width=0.5 * _PT)
        return document(
            prefix=prefix,
            title=panel.title,
            desc=alt,
            width_mm=self.width_mm,
            height_mm=height,
            ink=ink,
            definitions="",
            body=box + "".join(self.marks),
            scale=1.0,
            font=self.face.family,
        )


def draw_panel(
    panel: Panel,
    *,
    prefix: str = "panel",
    form: str = "standard",
    small: bool = False,
    surface_cm2: float = 500.0,
    ink: Ink = INK_ON_PAPER,
) -> Drawing:
    """
    Draw a nutrition panel at its true size.

    Parameters
    ----------
    panel
        What it says.
    prefix
        Start of every id, so that two drawings on one page keep apart.
    form
        Its layout, by the name of a lawful form of the place.
    small
        The sizes of type that the United States lets stand on packages of 40 square inches and less.
    surface_cm2
        Surface of the package, which decides the smallest type elsewhere. [cm2]
    ink
        What it is drawn with.
    """
    alt = panel_words(panel)
    if form not in {one.choice for one in lawful_forms(panel.jurisdiction, "panel")}:
        raise UnknownName("form of a panel", form, [one.choice for one in lawful_forms(panel.jurisdiction, "panel")])
    if panel.jurisdiction is Jurisdiction.US:
        if form == "tabular":
            return _us_tabular(panel, prefix, alt, ink)
        return _linear(panel, prefix, alt, ink) if form == "linear" else _us(panel, prefix, alt, small, ink)
    size = max(size_for(panel.jurisdiction, surface_cm2), 6 * _PT)
    if panel.jurisdiction is Jurisdiction.CANADA:
        return _canadian(panel, prefix, alt, form == "narrow", ink)
    if form == "linear":
        # Article 34(2): linear where there is no room for a table.
        return _linear(panel, prefix, alt, ink, size=size)
    return _table(panel, prefix, alt, size, ink)


def panel_words(panel: Panel) -> str:
    """Return everything that a panel says as running text, for those who do not see it."""
    said = [panel.title, *(words.replace("\t", ": ") for words in panel.serving)]
    if panel.calories:
        said.append(f"Calories {panel.calories}")
    for row in panel.rows:
        cells = [
            f"{cell} {column}" if column and not column.startswith(("Amount", "%")) else cell
            for cell, column in zip(row.cells, panel.columns, strict=True)
            if cell
        ]
        said.append(f"{row.label} {', '.join(cells)}")
    if panel.missing:
        said.append(f"draft, not known: {', '.join(panel.missing)}")
    return "; ".join(said) + "."


def _us(panel: Panel, prefix: str, alt: str, small: bool, ink: Ink) -> Drawing:
    """
    Lay out the standard vertical format.

    Sizes of type: 21 CFR 101.9(d)(1)(iii) as the 2016 rule sets them: calories 16 and 22 points (10 and 14 on small
    packages), servings and serving size 10 (9), lines 8, footnote 6; rules of 7, 3 and a quarter point (appendix B).
    """
    sheet = _Sheet(width_mm=46.0 if small else 56.0)
    eight, six = 8 * _PT, 6 * _PT
    title = min(26 * _PT, sheet.measure_mm / width_mm(panel.title, 1.0, strong=True))
    sheet.y_mm += title * 0.66
    sheet.marks.append(set_text(_ROOM, sheet.y_mm, panel.title, title, strong=True))
    sheet.y_mm += title * 0.24
    sheet.rule(0.25)
    ten = (9 if small else 10) * _PT
    sheet.row(panel.serving[0], "", ten)
    label, _, amount = panel.serving[1].partition("\t")
    together = width_mm(label, ten, strong=True) + width_mm(amount, ten, strong=True) + 1.0
    fitted = min(ten, ten * sheet.measure_mm / together)
    # Both on one line if they fit at no less than eight points; else the amount goes below.
    if fitted >= eight:
        sheet.row((Run(text=label, strong=True),), amount, fitted, strong_right=True)
    else:
        sheet.row((Run(text=label, strong=True),), "", ten)
        sheet.row("", "", ten)
        sheet.row((Run(text=amount, strong=True),), "", ten)
    sheet.rule(7)
    sheet.row((Run(text=panel.columns[0], strong=True),), "", six)
    heading, figure = (10, 14) if small else (16, 22)
    sheet.y_mm += figure * _PT * 0.68
    sheet.marks.append(set_text(_ROOM, sheet.y_mm, "Calories", heading * _PT, strong=True))
    sheet.marks.append(set_text(sheet.right_mm, sheet.y_mm, panel.calories, figure * _PT, anchor="end", strong=True))
    sheet.y_mm += 0.6
    sheet.rule(3)
    sheet.row("", "", six)
    sheet.y_mm += six * 0.9
    sheet.marks.append(set_text(sheet.right_mm, sheet.y_mm, panel.columns[1], six, anchor="end", strong=True))
    sheet.y_mm += six * 0.1
    for row in panel.rows:
        if row.key == "vitamin_d_ug":
            sheet.rule(7)
        else:
            # The rule above added sugars is indented with them.
            sheet.rule(0.25, indent_mm=7.0 if row.key == "added_sugars_g" else 0.0)
        sheet.row(
            _us_words(row), row.cells[1], eight, strong_right=row.key not in _VITAMINS, indent_mm=3.0 * row.indent
        )
    sheet.rule(7)
    for note in panel.footnotes:
        sheet.paragraph((Run(text=note),), six)
    return sheet.finish(panel, prefix, alt, ink)


def _us_words(row: PanelRow) -> tuple[Run, ...]:
    # "Includes 10g Added Sugars": here the amount stands inside the words.
    return (Run(text=row.label, strong=row.strong), Run(text=f" {row.cells[0]}"))


def _linear(panel: Panel, prefix: str, alt: str, ink: Ink, size: float = 6 * _PT) -> Drawing:
    """Lay out the linear format: running text, for packages with no room for a column (101.9(j)(13)(ii)(A))."""
    sheet = _Sheet(width_mm=76.0)
    runs = [Run(text=panel.title, strong=True)]
    runs += [Run(text=f" {words.replace(chr(9), ': ')},") for words in panel.serving]
    if panel.calories:
        runs += [Run(text=" Amount per serving: "), Run(text=f"Calories {panel.calories},", strong=True)]
    if panel.jurisdiction is not Jurisdiction.US:
        runs.append(Run(text=f" {panel.columns[0]}:"))
    for place, row in enumerate(panel.rows):
        share = f" ({row.cells[1]} DV)" if panel.jurisdiction is Jurisdiction.US and row.cells[1] else ""
        end = "." if place == len(panel.rows) - 1 else ","
        runs += [Run(text=" "), Run(text=row.label, strong=row.strong), Run(text=f" {row.cells[0]}{share}{end}")]
    sheet.paragraph(tuple(runs), size)
    return sheet.finish(panel, prefix, alt, ink)


def _us_tabular(panel: Panel, prefix: str, alt: str, ink: Ink) -> Drawing:
    """
    Lay out the tabular format: title and calories at the left, two columns of lines, vitamins below.

    21 CFR 101.9(d)(11)(iii), for packages with fewer than three inches of height or 40 square inches and less.
    """
    size, small = 7 * _PT, 6 * _PT
    lines = [row for row in panel.rows if row.key not in _VITAMINS]
    vitamins = [row for row in panel.rows if row.key in _VITAMINS]
    left = max(
        width_mm("Nutrition", 17 * _PT, strong=True),
        *(width_mm(words.replace("\t", " "), small, strong=True) for words in panel.serving),
    )
    column = max(
        3.0 * row.indent
        + width_mm(row.label, size, strong=row.strong)
        + width_mm(f" {row.cells[0]}", size)
        + width_mm(row.cells[1], size, strong=True)
        for row in lines
    ) + 3.0  # fmt: skip
    heads = width_mm("Amount/serving", small, strong=True) + width_mm("% Daily Value*", small, strong=True) + 3.0
    column = max(column, heads)
    gap = 2.4
    sheet = _Sheet(width_mm=2 * _ROOM + left + 2 * (column + gap))
    top = sheet.y_mm
    y = top
    for words, own in (("Nutrition", 17 * _PT), ("Facts", 17 * _PT)):
        y += own * 0.74
        sheet.marks.append(set_text(_ROOM, y, words, own, strong=True))
        y += own * 0.14
    y += 0.6
    for number, words in enumerate(panel.serving):
        y += small
        runs = words.replace("\t", " ")
        sheet.marks.append(set_text(_ROOM, y, runs, small, strong=number == 1))
        y += small * 0.2
    y += 10 * _PT
    sheet.marks.append(set_text(_ROOM, y, "Calories", 10 * _PT, strong=True))
    sheet.marks.append(set_text(_ROOM + left, y, panel.calories, 14 * _PT, anchor="end", strong=True))
    y += 4 * _PT
    sheet.marks.append(set_text(_ROOM, y + small * 0.6, "per serving", small))
    foot_left = y + small * 0.9
    half = -(-len(lines) // 2)
    foot = foot_left
    for place, part in enumerate((lines[:half], lines[half:])):
        x = _ROOM + left + gap + place * (column + gap)
        right = x + column
        y = top + small * 0.86
        sheet.marks.append(set_text(x, y, "Amount/serving", small, strong=True))
        sheet.marks.append(set_text(right, y, "% Daily Value*", small, anchor="end", strong=True))
        y += small * 0.3
        for row in part:
            sheet.marks.append(rect(x, y, column, 0.25 * _PT, stroke="none"))
            y += size * 0.98
            runs_ = (Run(text=row.label, strong=row.strong), Run(text=f" {row.cells[0]}"))
            sheet.marks.append(set_text(x + 3.0 * row.indent, y, runs_, size))
            if row.cells[1]:
                sheet.marks.append(set_text(right, y, row.cells[1], size, anchor="end", strong=True))
            y += size * 0.3
        foot = max(foot, y)
        sheet.marks.append(line(x - gap / 2, top, x - gap / 2, foot, stroke_width=_HAIR))
    sheet.y_mm = foot
    sheet.rule(3)
    said = " \u2022 ".join(f"{row.label} {row.cells[0]} {row.cells[1]}" for row in vitamins)
    sheet.paragraph((Run(text=said),), size)
    sheet.rule(0.25)
    for note in panel.footnotes:
        sheet.paragraph((Run(text=note),), small)
    return sheet.finish(panel, prefix, alt, ink)


def _canadian(panel: Panel, prefix: str, alt: str, narrow: bool, ink: Ink) -> Drawing:
    """Lay out the standard or narrow format of the Directory of Nutrition Facts Table Formats, from memory."""
    titles = panel.title.split(" / ")
    face = face_of(panel.jurisdiction)
    both = len(titles) > 1
    size = (7 if narrow else 8) * _PT
    least = max(
        2.2 * row.indent
        + width_mm(row.label, size, strong=row.strong, face=face)
        + width_mm(f" {row.cells[0]}", size, face=face)
        + width_mm(row.cells[1], size, strong=True, face=face)
        + 4.0
        for row in panel.rows
    )
    sheet = _Sheet(width_mm=max(46.0 if narrow else 52.0, least + 2 * _ROOM), face=face)
    title = min(15 * _PT, *(sheet.measure_mm / width_mm(words, 1.0, strong=True, face=face) for words in titles))
    for words in titles:
        sheet.y_mm += title * 0.72
        sheet.marks.append(set_text(_ROOM, sheet.y_mm, words, title, strong=True))
        sheet.y_mm += title * 0.22
    for words in panel.serving:
        sheet.row(words, "", size)
    sheet.rule(2)
    heads = panel.columns[1].split(" / ")
    head_size = 6.5 * _PT
    taken = width_mm(f"Calories {panel.calories}", 14 * _PT, strong=True, face=face) + 1.5
    widest = max(width_mm(head, head_size, strong=True, face=face) for head in heads)
    if both or taken + widest > sheet.measure_mm:
        sheet.y_mm += 14 * _PT * 0.74
        sheet.marks.append(set_text(_ROOM, sheet.y_mm, f"Calories {panel.calories}", 14 * _PT, strong=True))
        sheet.y_mm += 0.4
        for head in heads:
            sheet.y_mm += head_size
            sheet.marks.append(set_text(sheet.right_mm, sheet.y_mm, head, head_size, anchor="end", strong=True))
    else:
        sheet.y_mm += 14 * _PT * 0.68
        sheet.marks.append(set_text(_ROOM, sheet.y_mm, f"Calories {panel.calories}", 14 * _PT, strong=True))
        sheet.marks.append(set_text(sheet.right_mm, sheet.y_mm, heads[0], head_size, anchor="end", strong=True))
    sheet.y_mm += 0.6
    sheet.rule(1)
    for place, row in enumerate(panel.rows):
        # Saturated and trans fat share a per cent, and no rule parts them; minerals stand below a heavy rule.
        if row.key == "potassium_mg":
            sheet.rule(3)
        elif place and row.key not in ("saturated_g", "trans_g", "fibre_g", "sugars_g"):
            sheet.rule(0.5)
        runs = (Run(text=row.label, strong=row.strong), Run(text=f" {row.cells[0]}"))
        sheet.row(runs, row.cells[1], size, strong_right=True, indent_mm=2.2 * row.indent)
    sheet.rule(3)
    for note in panel.footnotes:
        sheet.paragraph((Run(text=note),), head_size)
    return sheet.finish(panel, prefix, alt, ink)


def _table(panel: Panel, prefix: str, alt: str, size: float, ink: Ink) -> Drawing:
    """Lay out a ruled table with its numbers in columns: EU, UK, Australia and New Zealand."""
    columns = len(panel.columns)
    heads = [break_lines((Run(text=head, strong=True),), size, 24.0) for head in panel.columns]
    cells = [
        max(
            *(width_mm(row.cells[i], size) for row in panel.rows),
            *(line_.width_mm for line_ in heads[i]),
        )
        + 2.4
        for i in range(columns)
    ]
    label = max(width_mm(row.label, size) + 2.4 * row.indent for row in panel.rows) + 1.5
    sheet = _Sheet(width_mm=2 * _ROOM + max(label + sum(cells), width_mm(panel.title, size * 1.2, strong=True)))
    sheet.y_mm += size * 1.05
    sheet.marks.append(set_text(_ROOM, sheet.y_mm, panel.title, size * 1.2, strong=True))
    sheet.y_mm += size * 0.3
    for words in panel.serving:
        sheet.row(words, "", size)
    sheet.rule(1)
    ends = [_ROOM + sheet.measure_mm - sum(cells[i + 1 :]) for i in range(columns)]
    top = sheet.y_mm
    tall = max(len(head) for head in heads)
    for end, head in zip(ends, heads, strict=True):
        for place, broken in enumerate(head):
            y = top + size * (0.86 + 1.08 * (tall - len(head) + place))
            sheet.marks.append(set_text(end, y, broken.runs, size, anchor="end"))
    sheet.y_mm = top + size * (1.08 * tall + 0.1)
    for place, row in enumerate(panel.rows):
        sheet.rule(0.75 if place == 0 else 0.25, room_mm=0.25)
        sheet.y_mm += size * 0.86
        sheet.marks.append(set_text(_ROOM + 2.4 * row.indent, sheet.y_mm, row.label, size))
        for end, cell in zip(ends, row.cells, strict=True):
            sheet.marks.append(set_text(end, sheet.y_mm, cell, size, anchor="end"))
        sheet.y_mm += size * 0.24
    for note in panel.footnotes:
        sheet.paragraph((Run(text=note),), size)
    for end, wide in zip(ends[:-1], cells[1:], strict=True):
        x = end + 1.1 if wide else end
        sheet.marks.append(line(x, top, x, sheet.y_mm, stroke_width=_HAIR))
    return sheet.finish(panel, prefix, alt, ink)
