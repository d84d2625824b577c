"""The words of a dossier's keys: tiers, formulas, pans and boards as a maker calls them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tierwright.dossier import Dossier
from tierwright.drawings import Bar, Base, Names
from tierwright.errors import UnknownName
from tierwright.larder import Board, board, ingredient, pan
from tierwright.shapes import Outline, Shape
from tierwright.sheets.page import Paper
from tierwright.support import upright_bars
from tierwright.units import Display, English, LengthUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """
    What a dossier's keys are called on paper.

    Attributes
    ----------
    display
        The kitchen's units and English.
    tiers, uses, formulas, pans, boards
        Names by tier number, pan job, formula (or bought ingredient), pan and board.
    levels_mm
        Height to which a pan job's layers are levelled, by job. [mm]
    flavours
        Names of the flavours, in the brief's order.
    base
        The board under everything, where one was found.
    bars
        Supports and rod for the section.
    paper
        Paper to print on; templates at full size are drawn for it.
    """

    display: Display
    tiers: dict[int, str]
    uses: dict[str, str]
    formulas: dict[str, str]
    pans: dict[str, str]
    boards: dict[str, str]
    levels_mm: dict[str, float]
    flavours: tuple[str, ...]
    base: Base | None
    bars: tuple[Bar, ...]
    paper: Paper

    @property
    def drawn(self) -> Names:
        """The names that the section drawing needs."""
        return Names(formulas=self.formulas, flavours=self.flavours)


def paper_of(dossier: Dossier) -> Paper:
    """Return the paper of the place: US Letter where the law of the labels is American or Canadian, else A4."""
    return Paper.LETTER if dossier.commission.jurisdiction.value in ("US", "CA") else Paper.A4


def bars_of(dossier: Dossier) -> tuple[Bar, ...]:
    """Return the supports and the rod as the section draws them."""
    if dossier.support is None:
        return ()
    return tuple(
        Bar(x_mm=bar.x_mm, bottom_mm=bar.bottom_mm, top_mm=bar.top_mm, width_mm=bar.width_mm, label=bar.label)
        for bar in upright_bars(dossier.support.ask, dossier.support.found)
    )


def words_of(dossier: Dossier, paper: Paper | None = None) -> Words:
    """Return the words of a dossier's keys; ``paper`` None takes the paper of the place."""
    display = dossier.kitchen.units.display()
    stack, coating = dossier.sizing.stack, dossier.coating
    uses = {f"tier.{tier.number}": f"{tier.name} tier" for tier in stack.tiers}
    levels = {f"tier.{tier.number}": tier.layer_height_mm for tier in stack.tiers}
    for number, cake in enumerate(stack.kitchen_cakes, start=1):
        uses[f"kitchen.{number}"] = "kitchen cake" if len(stack.kitchen_cakes) == 1 else f"kitchen cake {number}"
        levels[f"kitchen.{number}"] = cake.layer_height_mm
    formulas = {sheet.key: sheet.name for sheet in dossier.commission.formulas}
    coated = (*coating.tiers, *coating.kitchen_cakes)
    bought = {part.formula for tier in coated for part in tier.parts} | {need.formula for need in coating.needs}
    for key in sorted(bought - set(formulas) - {""}):
        formulas[key] = _ingredient_name(key, display.english)
    pans = {tier.pan: _pan_name(tier.pan, tier.outline, display) for tier in stack.tiers if tier.pan}
    pans |= {cake.pan: _pan_name(cake.pan, cake.outline, display) for cake in stack.kitchen_cakes}
    found = {key: _board(key) for key in {tier.board for tier in coated} | {coating.base_board}}
    under = found[coating.base_board]
    return Words(
        display=display,
        tiers={tier.number: tier.name for tier in stack.tiers},
        uses=uses,
        formulas=formulas,
        pans=pans,
        boards={key: _board_name(known, display) for key, known in found.items() if known is not None},
        levels_mm=levels,
        flavours=tuple(flavour.name for flavour in dossier.commission.cake.flavours),
        base=Base(outline=under.outline, thickness_mm=under.thickness_mm.value) if under is not None else None,
        bars=bars_of(dossier),
        paper=paper or paper_of(dossier),
    )


def moment(at: datetime) -> str:
    """Return a date and time in words, such as ``Saturday 26 June 2027, 20:45``."""
    return f"{at:%A} {at.day} {at:%B} {at.year}, {at:%H:%M}"


def outline_words(outline: Outline, display: Display) -> str:
    """Return an outline in words and the maker's units, such as ``round 8 in``."""
    width = display.show_length(outline.width_mm)
    if outline.shape is Shape.RECTANGLE:
        return f"rectangle {width} × {display.show_length(outline.length_mm)}"
    return f"{outline.shape.value} {width}"


def said(text: str, english: English) -> str:
    """Return text with the kitchen's word for a pan: tin, where English is British."""
    if english is English.US:
        return text
    for ours, theirs in (("Pans", "Tins"), ("pans", "tins"), ("Pan", "Tin"), ("pan", "tin")):
        text = " ".join(_swapped(word, ours, theirs) for word in text.split(" "))
    return text


def _swapped(word: str, ours: str, theirs: str) -> str:
    bare = word.rstrip(".,;:")
    return theirs + word[len(bare) :] if bare == ours else word


def _ingredient_name(key: str, english: English) -> str:
    try:
        known = ingredient(key)
    except UnknownName:
        return key.replace("_", " ")
    return known.name_uk if english is English.UK else known.name_us


def _pan_name(key: str, outline: Outline, display: Display) -> str:
    try:
        known = pan(key)
    except UnknownName:
        return outline_words(outline, display)
    # A pan has one nominal name; where the maker measures otherwise, the measure stands beside it.
    own = "in" if display.length is LengthUnit.INCH else "cm"
    return known.name if known.name.endswith(own) else f"{known.name} ({outline_words(known.outline, display)})"


def _board(key: str) -> Board | None:
    if not key:
        return None
    try:
        return board(key)
    except UnknownName:
        return None


def _board_name(known: Board, display: Display) -> str:
    return f"{known.kind.replace('_', ' ')}, {outline_words(known.outline, display)}"
