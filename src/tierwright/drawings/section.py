"""The section: the stacked cake cut down the middle, to scale, with its measures and a hatch for each material."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from tierwright.coating.model import Band, CoatedTier, Coating, Part
from tierwright.drawings.hatch import Hatches
from tierwright.drawings.measure import (
    LETTERING_MM,
    across,
    choose_scale,
    fitted,
    legend,
    scale_bar,
    scale_words,
    upright,
)
from tierwright.errors import MissingData
from tierwright.shapes import Outline, Shape
from tierwright.sizing.model import Stack, Tier, TierKind
from tierwright.svg import INK_ON_PAPER, Drawing, Ink, document, group, line, polygon, rect, words
from tierwright.units import Display

SHEET_OF_PART: Final[dict[str, str]] = {
    Part.SPONGE.value: "formulas",
    Part.BOARD.value: "supports",
    Part.FOAM.value: "tiers",
}
"""The sheet of work behind each material; every other material belongs to the coats."""

SKINS: Final = frozenset({Part.CRUMB_COAT.value, Part.MARZIPAN.value, Part.COAT.value, Part.ROLLED.value})
"""Materials that lie on top and run down the side."""

_LEFT_MM: Final = 35.0
_RIGHT_MM: Final = 49.0
_TOP_MM: Final = 4.0
_STEP_MM: Final = 6.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """
    An upright thing in the section that is not cake: a support, a rod, a pick.

    Attributes
    ----------
    x_mm
        Its middle, from the middle of the cake, to the right. [mm]
    bottom_mm, top_mm
        Its ends above the underside of the base board. [mm]
    width_mm
        Its thickness. [mm]
    label
        What it is, for the legend.
    sheet
        The sheet of work it belongs to.
    """

    x_mm: float
    bottom_mm: float
    top_mm: float
    width_mm: float
    label: str
    sheet: str = "supports"


@dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    """The board under everything: its outline and thickness. [mm]"""

    outline: Outline
    thickness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """Words for the keys in a drawing: formulas by key, flavours by place in the brief's list."""

    formulas: dict[str, str] = field(default_factory=dict)
    flavours: tuple[str, ...] = ()

    def flavour(self, tier: Tier) -> str:
        """Return the flavour's name of a tier, or what stands there instead of cake."""
        if tier.kind is TierKind.DUMMY:
            return "dummy, not cake"
        return self.flavours[tier.flavour] if 0 <= tier.flavour < len(self.flavours) else ""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the cake stands on the paper, and how large."""

    middle: float
    floor: float
    scale: float

    def x(self, true_mm: float) -> float:
        return self.middle + true_mm / self.scale

    def y(self, true_mm: float) -> float:
        return self.floor - true_mm / self.scale


def section(
    stack: Stack,
    coating: Coating,
    *,
    base: Base | None = None,
    names: Names | None = None,
    bars: Sequence[Bar] = (),
    display: Display | None = None,
    ink: Ink = INK_ON_PAPER,
    width_mm: float = 174.0,
    height_mm: float = 150.0,
    prefix: str = "section",
    title: str = "Section of the cake",
) -> Drawing:
    """
    Draw the stacked cake cut down the middle.

    Parameters
    ----------
    stack
        The tiers, bottom first.
    coating
        What is on them; every cake tier has its coated tier.
    base
        The board under everything, where it is known.
    names
        Words for formulas and flavours.
    bars
        Supports, rods and the like, drawn over the cake.
    display
        The maker's units.
    ink
        What it is drawn with.
    width_mm
        Width on paper. [mm]
    height_mm
        Greatest height of the cake with its dimension lines on paper; the legend comes below. [mm]
    prefix
        Start of every id in the drawing.
    title
        What the drawing is called.

    Returns
    -------
    drawing
        One user unit is one millimetre on paper; every tier and band is a group with an id and the sheet of work
        that it belongs to.

    Raises
    ------
    MissingData
        A cake tier has not been coated.
    OutOfRange
        The cake does not fit the paper at 1 : 25.
    """
    display = display or Display()
    names = names or Names()
    pairs = _pairs(stack, coating)
    base_mm = base.thickness_mm if base else 0.0
    rises_mm = [_rise_mm(tier, coated) for tier, coated in pairs[:-1]] + [_height_mm(*pairs[-1])]
    total_mm = base_mm + sum(rises_mm)
    widest_mm = max(
        [_finished(tier, coated).extent_mm[0] for tier, coated in pairs] + ([base.outline.extent_mm[0]] if base else [])
    )
    levels = len(pairs) + (1 if base else 0)
    scale = choose_scale(
        widest_mm, total_mm, width_mm - _LEFT_MM - _RIGHT_MM, max(20.0, height_mm - _TOP_MM - 4 - levels * _STEP_MM)
    )
    frame = _Frame(
        middle=_LEFT_MM + (width_mm - _LEFT_MM - _RIGHT_MM) / 2, floor=_TOP_MM + total_mm / scale, scale=scale
    )
    hatches = Hatches(prefix, ink, names.formulas)
    body = []
    floor_mm = base_mm
    spans: list[tuple[Tier, CoatedTier | None, float, float]] = []
    for (tier, coated), rise_mm in zip(pairs, rises_mm, strict=True):
        top_mm = floor_mm + rise_mm
        body.append(_tier(tier, coated, floor_mm, frame, hatches, prefix))
        spans.append((tier, coated, floor_mm, top_mm))
        floor_mm = top_mm
    if base:
        body.append(_base(base, frame, hatches, prefix))
    body += [_bar(bar, i, frame, ink, prefix) for i, bar in enumerate(bars)]
    body.append(_heights(spans, base, total_mm, frame, display, ink))
    body.append(_labels(spans, frame, names, display, width_mm))
    below, y = _widths(spans, base, frame, display, ink)
    body.append(below)
    body.append(words(width_mm - _RIGHT_MM + 4, y - 10.2, f"scale {scale_words(scale)}", size=LETTERING_MM))
    body.append(words(width_mm - _RIGHT_MM + 4, y - 14.2, "measures: finished cake", size=LETTERING_MM, italic=True))
    body.append(scale_bar(width_mm - _RIGHT_MM + 5, y - 8.6, scale, display, room_mm=_RIGHT_MM - 14))
    entries = [(hatches.fill(m.part, m.formula), m.label) for m in hatches.materials()]
    columns = 3 if all(fitted(text, (width_mm - 2) / 3 - 12, LETTERING_MM) == text for _, text in entries) else 2
    drawn, legend_mm = legend(1.0, y + 2, entries, room_mm=width_mm - 2, columns=columns)
    body.append(drawn)
    return document(
        prefix=prefix,
        title=title,
        desc=_alt(spans, base, total_mm, names, display, scale),
        width_mm=width_mm,
        height_mm=y + legend_mm + 3,
        ink=ink,
        definitions=hatches.definitions(),
        body="".join(body),
        scale=scale,
    )


def _pairs(stack: Stack, coating: Coating) -> list[tuple[Tier, CoatedTier | None]]:
    coated = {tier.number: tier for tier in coating.tiers}
    for tier in stack.tiers:
        if tier.kind is TierKind.CAKE and tier.number not in coated:
            raise MissingData(f"the coat of the {tier.name} tier", "the section", "drawing")
    return [(tier, coated.get(tier.number)) for tier in stack.tiers]


def _height_mm(tier: Tier, coated: CoatedTier | None) -> float:
    return coated.finished_height_mm if coated else tier.height_mm


def _rise_mm(tier: Tier, coated: CoatedTier | None) -> float:
    """Return how far above this tier's floor the next one stands: on the cake, where the coat is left off under it."""
    return (coated.carries_at_mm if coated else 0.0) or _height_mm(tier, coated)


def _finished(tier: Tier, coated: CoatedTier | None) -> Outline:
    return coated.finished_outline if coated else tier.outline


def _tier(tier: Tier, coated: CoatedTier | None, floor_mm: float, frame: _Frame, hatches: Hatches, prefix: str) -> str:
    name = f"{prefix}-tier-{tier.number}"
    parts = []
    if coated is None:
        parts.append(_block(tier.outline, floor_mm, floor_mm + tier.height_mm, frame, hatches.fill(Part.FOAM.value)))
        return group(*parts, id=name, data_tier=str(tier.number), data_sheet="tiers")
    bands = _bands(tier, coated)
    # A coat runs down the side as well: it is an arch over what it covers, so that hatches never lie on one another.
    # It hides the edge of its board unless the board is wider than the cake.
    wide = [
        b for b in bands if b.material == Part.BOARD.value and b.outline.extent_mm[0] > tier.outline.extent_mm[0] + 1
    ]
    skirt_mm = max((board.top_mm for board in wide), default=0.0)
    dam_mm = _dam_mm(tier, coated)
    dam = next((part.formula for part in coated.parts if part.part is Part.DAM), "")
    for place, band in enumerate(bands):
        low, top = floor_mm + band.bottom_mm, floor_mm + band.top_mm
        formula = "" if band.material == Part.BOARD.value else band.formula
        fill = hatches.fill(band.material, formula)
        outline = band.outline
        blocks = []
        if band.material in SKINS:
            under = [b for b in bands if b.top_mm <= band.bottom_mm + 1e-6 and b not in wide]
            inner_mm = max((b.outline.extent_mm[0] for b in under), default=0.0)
            blocks.append(_arch(outline, inner_mm, (floor_mm + skirt_mm, low, top), frame, fill))
        elif band.material == Part.FILLING.value and dam_mm > 0:
            outline = outline.grown(-dam_mm)
            blocks.append(_block(outline, low, top, frame, fill))
            blocks += _dam(band.outline, dam_mm, low, top, frame, hatches.fill(Part.DAM.value, dam))
        else:
            blocks.append(_block(outline, low, top, frame, fill))
        parts.append(
            group(
                *blocks,
                id=f"{name}-band-{place + 1}",
                data_sheet=SHEET_OF_PART.get(band.material, "coats"),
                data_material=band.material,
            )
        )
    return group(*parts, id=name, data_tier=str(tier.number), data_sheet="tiers")


def _dam_mm(tier: Tier, coated: CoatedTier) -> float:
    """
    Return the width of the dam that its volume makes, where the bands do not draw it. [mm]

    The ring's area is its volume over the depth of all fillings; its width is that area over the outline's length,
    the length of the ring's middle line being shorter by its own width at most.
    """
    if any(band.material == Part.DAM.value for band in coated.bands):
        return 0.0
    depth_mm = sum(band.top_mm - band.bottom_mm for band in coated.bands if band.material == Part.FILLING.value)
    volume_mm3 = 1000 * sum(part.volume_ml.value for part in coated.parts if part.part is Part.DAM)
    if depth_mm <= 0 or volume_mm3 <= 0:
        return 0.0
    return min(volume_mm3 / depth_mm / tier.outline.perimeter_mm, tier.outline.width_mm / 4)


def _bands(tier: Tier, coated: CoatedTier) -> list[Band]:
    """Return a tier's bands measured from the underside of its board, the board among them."""
    bands = list(coated.bands)
    if not bands and tier.kind is TierKind.DUMMY:
        top_mm = coated.board_mm + tier.height_mm
        bands = [
            Band(material=Part.FOAM.value, formula="", bottom_mm=coated.board_mm, top_mm=top_mm, outline=tier.outline)
        ]
    if coated.board_mm > 0 and not any(band.material == Part.BOARD.value for band in bands):
        board = Band(material=Part.BOARD.value, formula="", bottom_mm=0.0, top_mm=coated.board_mm, outline=tier.outline)
        bands.insert(0, board)
    return bands


def _block(outline: Outline, bottom_mm: float, top_mm: float, frame: _Frame, fill: str) -> str:
    half = outline.extent_mm[0] / 2
    return rect(
        frame.x(-half),
        frame.y(top_mm),
        2 * half / frame.scale,
        (top_mm - bottom_mm) / frame.scale,
        fill=fill,
        stroke_width=0.2,
    )


def _arch(outline: Outline, inner_mm: float, levels: tuple[float, float, float], frame: _Frame, fill: str) -> str:
    """Draw a coat: from its foot up the sides and over the top of what is inside it; levels are foot, inside, top."""
    foot, inside, top = levels
    outer, inner = outline.extent_mm[0] / 2, min(inner_mm, outline.extent_mm[0]) / 2
    corners = [
        (-outer, foot), (-outer, top), (outer, top), (outer, foot),
        (inner, foot), (inner, inside), (-inner, inside), (-inner, foot),
    ]  # fmt: skip
    return polygon([(frame.x(x), frame.y(y)) for x, y in corners], fill=fill, stroke_width=0.2)


def _dam(outline: Outline, dam_mm: float, bottom_mm: float, top_mm: float, frame: _Frame, fill: str) -> list[str]:
    """Draw the two cuts of a dam's ring."""
    half = outline.extent_mm[0] / 2
    height = (top_mm - bottom_mm) / frame.scale
    return [
        rect(frame.x(left), frame.y(top_mm), dam_mm / frame.scale, height, fill=fill, stroke_width=0.2)
        for left in (-half, half - dam_mm)
    ]


def _base(base: Base, frame: _Frame, hatches: Hatches, prefix: str) -> str:
    block = _block(base.outline, 0.0, base.thickness_mm, frame, hatches.fill(Part.BOARD.value))
    return group(block, id=f"{prefix}-base", data_sheet="supports")


def _bar(bar: Bar, place: int, frame: _Frame, ink: Ink, prefix: str) -> str:
    left, right = frame.x(bar.x_mm - bar.width_mm / 2), frame.x(bar.x_mm + bar.width_mm / 2)
    block = rect(
        left,
        frame.y(bar.top_mm),
        right - left,
        (bar.top_mm - bar.bottom_mm) / frame.scale,
        fill=ink.paper if ink.paper != "none" else "none",
        stroke_width=0.3,
    )
    middle = line(
        (left + right) / 2,
        frame.y(bar.top_mm),
        (left + right) / 2,
        frame.y(bar.bottom_mm),
        stroke_width=0.12,
        stroke_dasharray="2 0.8 0.4 0.8",
    )
    return group(block, middle, id=f"{prefix}-bar-{place + 1}", data_sheet=bar.sheet, data_label=bar.label)


def _heights(
    spans: list[tuple[Tier, CoatedTier | None, float, float]],
    base: Base | None,
    total_mm: float,
    frame: _Frame,
    display: Display,
    ink: Ink,
) -> str:
    parts = []
    widest = max([_finished(t, c).extent_mm[0] for t, c, _, _ in spans] + ([base.outline.extent_mm[0]] if base else []))
    inner = frame.x(-widest / 2) - 4
    for tier, coated, bottom_mm, top_mm in spans:
        edge = frame.x(-_finished(tier, coated).extent_mm[0] / 2) - 0.8
        parts.append(
            upright(
                inner,
                frame.y(top_mm),
                frame.y(bottom_mm),
                top_mm - bottom_mm,
                display.show_length(top_mm - bottom_mm),
                ink=ink,
                from_x=(edge, edge),
            )
        )
    if base:
        edge = frame.x(-base.outline.extent_mm[0] / 2) - 0.8
        thick = base.thickness_mm
        parts.append(
            upright(inner, frame.y(thick), frame.y(0), thick, display.show_length(thick), ink=ink, from_x=(edge, edge))
        )
    outer = inner - 16
    parts.append(
        upright(
            outer,
            frame.y(total_mm),
            frame.y(0),
            total_mm,
            display.show_length(total_mm),
            ink=ink,
            from_x=(inner - 1.2, inner - 1.2),
        )
    )
    return group(*parts, data_part="heights")


def _widths(
    spans: list[tuple[Tier, CoatedTier | None, float, float]],
    base: Base | None,
    frame: _Frame,
    display: Display,
    ink: Ink,
) -> tuple[str, float]:
    """Return the widths, smallest first below the cake, and the height at which they end."""
    rows = [(tier.name, _finished(tier, coated)) for tier, coated, _, _ in spans]
    if base:
        rows.append(("base board", base.outline))
    rows.sort(key=lambda row: row[1].extent_mm[0])
    parts = []
    y = frame.floor + 2
    for name, outline in rows:
        y += _STEP_MM
        half = outline.extent_mm[0] / 2
        sign = "ø " if outline.shape is Shape.ROUND else ""
        label = f"{fitted(name, 22, LETTERING_MM)} {sign}{display.show_length(2 * half)}"
        parts.append(across(frame.x(-half), frame.x(half), y, 2 * half, label, ink=ink, from_y=frame.floor + 1.2))
    return group(*parts, data_part="widths"), y + 2


def _labels(
    spans: list[tuple[Tier, CoatedTier | None, float, float]],
    frame: _Frame,
    names: Names,
    display: Display,
    width_mm: float,
) -> str:
    left = width_mm - _RIGHT_MM + 4
    room = _RIGHT_MM - 5
    wanted = [(frame.y((bottom + top) / 2), _label_lines(tier, names, display)) for tier, _, bottom, top in spans]
    parts = []
    # From the bottom up, each label at its tier's middle unless the one below leaves it too little room.
    limit = float("inf")
    for (tier, coated, _, _), (y, lines) in zip(spans, wanted, strict=True):
        height = len(lines) * 3.9
        top = min(y - height / 2, limit - height - 1.5)
        limit = top
        edge = frame.x(_finished(tier, coated).extent_mm[0] / 2) + 0.6
        texts = [
            words(
                left,
                top + 3 + i * 3.9,
                fitted(text, room, LETTERING_MM),
                size=LETTERING_MM,
                weight="bold" if i == 0 else None,
            )
            for i, text in enumerate(lines)
        ]
        leader = line(edge, y, left - 1.4, top + 2, stroke_width=0.15)
        parts.append(group(leader, *texts, data_tier=str(tier.number), data_sheet="tiers"))
    return group(*parts, data_part="labels")


def _label_lines(tier: Tier, names: Names, display: Display) -> list[str]:
    lines = [f"{tier.name} tier"]
    flavour = names.flavour(tier)
    if flavour:
        lines.append(flavour)
    if tier.kind is TierKind.CAKE:
        width = display.show_length(tier.outline.width_mm)
        shape = tier.outline.shape.value
        size = f"{shape} {width}"
        if tier.outline.shape is Shape.RECTANGLE:
            size = f"{shape} {width} × {display.show_length(tier.outline.length_mm)}"
        lines.append(f"pan {size}")
        lines.append(
            f"{tier.layers} layer{'s' if tier.layers != 1 else ''} of {display.show_length(tier.layer_height_mm)}"
        )
    if tier.keepsake:
        lines.append("keepsake: not cut")
    return lines


def _alt(
    spans: list[tuple[Tier, CoatedTier | None, float, float]],
    base: Base | None,
    total_mm: float,
    names: Names,
    display: Display,
    scale: float,
) -> str:
    said = []
    for tier, coated, bottom_mm, top_mm in spans:
        outline = _finished(tier, coated)
        flavour = names.flavour(tier)
        said.append(
            f"{tier.name} tier{f', {flavour}' if flavour else ''}: {outline.shape.value}, "
            f"{display.show_length(outline.width_mm)} wide and {display.show_length(top_mm - bottom_mm)} high finished"
        )
    under = f" It stands on a board {display.show_length(base.outline.extent_mm[0])} wide." if base else ""
    return (
        f"The cake cut down the middle, at a scale of {scale_words(scale)}, "
        f"{display.show_length(total_mm)} high in all. "
        f"From the bottom: {'; '.join(said)}.{under}"
    )
