"""From the larder, the formulas and the coated tiers to what this room works with."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Final

from tierwright.coating.model import CoatedTier, Part
from tierwright.errors import MissingData, UnknownName
from tierwright.larder import Board as LarderBoard
from tierwright.larder import Support as LarderSupport
from tierwright.shapes import Outline, Point
from tierwright.support.model import FillingLayer, MassPart, StackedTier
from tierwright.support.tables import BoardStock, SupportStock
from tierwright.words import CoatStyle, FormulaKind
from tierwright.working import NOTHING, Estimate

BOARD_MATERIALS: Final = {
    "card": "card",
    "foam_core": "foam-core",
    "hardboard": "hardboard",
    "plywood": "plywood",
    "acrylic": "acrylic",
    "drum": "card-drum",
}
"""Kind of board on the larder's shelf, and its material in this room."""

SUPPORT_MATERIALS: Final = (
    ("bamboo", "bamboo"),
    ("hardwood", "wood"),
    ("stainless steel", "steel"),
    ("paper", "paper-straw"),
    ("acrylic", "acrylic"),
    ("polypropylene", "polypropylene"),
    ("plastic", "polypropylene"),
)
"""What a support's material in the larder speaks of, and its material in this room; the first that fits."""


def support_stock_of(support: LarderSupport) -> SupportStock:
    """
    Return a support of the larder as this room's stock.

    Raises
    ------
    UnknownName
        A material that this room has no strength for.
    """
    material = next((ours for word, ours in SUPPORT_MATERIALS if word in support.material.casefold()), None)
    if material is None:
        raise UnknownName("support material", support.material, tuple(ours for _, ours in SUPPORT_MATERIALS))
    return SupportStock(
        key=support.key,
        name=f"{support.key.split('_')[0]} {support.kind} {support.outer_mm:g} mm"
        if support.kind not in support.key
        else f"{support.kind} {support.outer_mm:g} mm",
        material=material,
        outer_mm=support.outer_mm,
        wall_mm=(support.outer_mm - support.inner_mm) / 2 if support.inner_mm else 0.0,
        longest_mm=support.length_mm,
        reusable=support.kind in ("tube", "hub"),
    )


def board_stock_of(board: LarderBoard) -> BoardStock:
    """
    Return a board of the larder as this room's stock; its outline stays with the caller.

    Raises
    ------
    UnknownName
        A kind of board that this room has no strength for.
    """
    if board.kind not in BOARD_MATERIALS:
        raise UnknownName("kind of board", board.kind, tuple(BOARD_MATERIALS))
    return BoardStock(
        key=board.key,
        name=f"{board.kind.replace('_', '-')} {board.thickness_mm.value:g} mm",
        material=BOARD_MATERIALS[board.kind],
        thickness_mm=board.thickness_mm.value,
    )


@lru_cache(maxsize=1)
def _kinds() -> Mapping[str, dict[str, str]]:
    text = (files("tierwright.support") / "data" / "kinds.csv").read_text(encoding="utf-8")
    return {row["key"]: row for row in csv.DictReader(text.splitlines())}


def crumb_of(kind: FormulaKind) -> str:
    """
    Return the class of crumb that a batter bakes to.

    Raises
    ------
    MissingData
        A kind that is no batter.
    """
    found = _kinds()[kind.value]["crumb"]
    if not found:
        raise MissingData(f"a batter, not {kind.value}", "the crumb that carries a tier")
    return found


def filling_of(kind: FormulaKind) -> str:
    """
    Return the class of filling that a formula makes.

    Raises
    ------
    MissingData
        A kind that is a batter.
    """
    found = _kinds()[kind.value]["filling"]
    if not found:
        raise MissingData(f"a filling, not {kind.value}", "the shear of a filling")
    return found


def finish_of(style: CoatStyle, kind: FormulaKind | None) -> str:
    """Return what a sag would crack: by the style, and for a whole coat by what it is made of."""
    if style is CoatStyle.NAKED:
        return "bare"
    if style is CoatStyle.ROLLED:
        return "rolled"
    if kind is None:
        return "soft"
    return _kinds()[kind.value]["finish"] or "soft"


def stacked_tier(
    coated: CoatedTier,
    *,
    name: str,
    crumb: str,
    kinds: Mapping[str, FormulaKind],
    board: BoardStock | None,
    board_outline: Outline | None = None,
    decoration_g: Estimate = NOTHING,
    offset_mm: Point = (0.0, 0.0),
    settled: bool = False,
) -> StackedTier:
    """
    Turn a coated tier into a tier of the stack.

    Parameters
    ----------
    coated
        What coating answers.
    name
        Its name in words.
    crumb
        Class of its crumb; ``dummy`` for a foam tier.
    kinds
        Kind of each formula by its key.
    board, board_outline
        The board under it, and its outline; by default a board of the finished outline.
    decoration_g
        What stands on it. [g]
    offset_mm
        Where its middle lies from the middle of the tier below. [mm]
    settled
        Whether it has stood for some hours.

    Returns
    -------
    tier
        Masses at the heights of their bands; parts without a band over the whole height.
    """
    bands = coated.bands
    top = max((band.top_mm for band in bands), default=coated.finished_height_mm)
    parts = []
    for part in coated.parts:
        if part.part is Part.BOARD or part.on_cake_g.value <= 0:
            continue
        own = [band for band in bands if band.material == part.part.value and band.formula == part.formula]
        parts.append(
            MassPart(
                name=f"{part.part.value} {part.formula}".strip(),
                mass_g=part.on_cake_g,
                bottom_mm=min((band.bottom_mm for band in own), default=coated.board_mm),
                top_mm=max((band.top_mm for band in own), default=top),
            )
        )
    dam = next((part for part in coated.parts if part.part is Part.DAM and part.on_cake_g.value > 0), None)
    fillings = tuple(
        FillingLayer(
            filling=filling_of(kinds[band.formula]),
            at_mm=(band.bottom_mm + band.top_mm) / 2,
            dam=filling_of(kinds[dam.formula]) if dam else "",
            dam_mm=dam.thickness_mm.value if dam else 0.0,
        )
        for band in bands
        if band.material == Part.FILLING.value and band.formula in kinds
    )
    coat = next((p for p in coated.parts if p.part in (Part.COAT, Part.ROLLED) and p.on_cake_g.value > 0), None)
    return StackedTier(
        number=coated.number,
        name=name,
        outline=coated.finished_outline,
        board_outline=board_outline or coated.finished_outline,
        height_mm=coated.finished_height_mm,
        carries_at_mm=coated.carries_at_mm,
        parts=tuple(parts),
        crumb=crumb,
        finish=finish_of(coated.style, kinds.get(coat.formula) if coat else None),
        board=board,
        fillings=fillings,
        decoration_g=decoration_g,
        offset_mm=offset_mm,
        settled=settled,
    )
