"""Sheets to roll out: how large, how heavy, what comes off and what is kneaded back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi

from tierwright.coating.areas import MM3_PER_ML, offset_area_mm2, offset_perimeter_mm
from tierwright.coating.model import RolledSheet
from tierwright.coating.order import Laying
from tierwright.coating.tables import amount
from tierwright.ranges import times
from tierwright.shapes import Outline, Shape
from tierwright.working import Estimate

DISC_MARGIN_MM = 5.0  # trimmed off round a disc, all round


@dataclass(frozen=True, slots=True, kw_only=True)
class Rolling:
    """The sheets of one rolled coat, and all of it at once: rolled out, on the cake, off as trim, kneaded back. [g]"""

    sheets: tuple[RolledSheet, ...]
    roll_out_g: Estimate
    on_cake_g: Estimate
    trim_g: Estimate
    knead_back_g: Estimate


def cover_size_mm(outline: Outline, under_mm: float, height_mm: float, margin_mm: float) -> tuple[float, float]:
    """
    Width and length of one sheet that covers top and side.

    Parameters
    ----------
    outline, under_mm
        The cake, and the thickness of what is already on it. [mm]
    height_mm
        Height to cover, undercoat included. [mm]
    margin_mm
        What the sheet has beyond diameter and two heights, both edges together. [mm]

    Returns
    -------
    size
        ``D + 2 H + margin`` each way. [mm]
    """
    width, length = outline.extent_mm
    more = 2 * under_mm + 2 * height_mm + margin_mm
    return width + more, length + more


def _sheet_area_mm2(shape: Shape, width_mm: float, length_mm: float) -> float:
    """Area of the sheet: squares and rectangles are rolled square, all else round (or oval)."""
    box = width_mm * length_mm
    return box if shape in (Shape.SQUARE, Shape.RECTANGLE) else pi / 4 * box


def roll(
    outline: Outline,
    *,
    under_side_mm: float,
    under_top_mm: float,
    height_mm: float,
    thickness_mm: Estimate,
    density_g_per_ml: Estimate,
    on_cake_g: Estimate,
    laying: Laying,
) -> Rolling:
    """
    Work out the sheets of a rolled coat.

    Parameters
    ----------
    outline, height_mm
        The bare cake. [mm]
    under_side_mm, under_top_mm
        Thickness of what is already on it. [mm]
    thickness_mm, density_g_per_ml
        Of the sheet. [mm], [g/ml]
    on_cake_g
        What stays on the cake. [g]
    laying
        One cover sheet, or a disc and a wrap.

    Returns
    -------
    rolling
        For each sheet ``area x thickness x density``; trim is what was rolled less what stays, and a share of it is
        clean enough to knead back.

    Notes
    -----
    A sheet that reaches down all round has more area than top and side together; smoothing its folds down moves the
    excess to the foot, where it is cut off. What stays is the true coat, and the rest is trim.
    """
    margin = amount("sheet_margin_mm").value.value
    wrap = amount("wrap_margin_mm").value.value
    keep = amount("knead_back").value
    side_height = height_mm + under_top_mm
    top_mm2 = offset_area_mm2(outline, under_side_mm)
    plan: list[tuple[str, float, float, float, float]] = []  # use, width, length, sheet area, share that stays
    width, length = cover_size_mm(outline, under_side_mm, side_height, margin)
    if laying is Laying.COVER:
        plan.append(("cover", width, length, _sheet_area_mm2(outline.shape, width, length), 1.0))
    else:
        disc_w, disc_l = (extent + 2 * (under_side_mm + DISC_MARGIN_MM) for extent in outline.extent_mm)
        around = offset_perimeter_mm(outline, under_side_mm + thickness_mm.value)
        side_mm2 = around * (side_height + thickness_mm.value)
        share = top_mm2 / (top_mm2 + side_mm2)
        plan.append(("disc", disc_w, disc_l, _sheet_area_mm2(outline.shape, disc_w, disc_l), share))
        wrap_w, wrap_l = side_height + thickness_mm.value + wrap, around + wrap
        plan.append(("wrap", wrap_l, wrap_w, wrap_l * wrap_w, 1 - share))
    sheets: list[RolledSheet] = []
    for use, sheet_w, sheet_l, area_mm2, share in plan:
        out = times(thickness_mm, density_g_per_ml) * (area_mm2 / MM3_PER_ML)
        stays = on_cake_g * share
        trim = Estimate(
            value=max(0.0, out.value - stays.value),
            low=max(0.0, min(out.low - stays.low, out.value - stays.value)),
            high=max(0.0, out.high - stays.high, out.value - stays.value),
        )
        sheets.append(
            RolledSheet(
                use=use,
                width_mm=sheet_w,
                length_mm=sheet_l,
                thickness_mm=thickness_mm.value,
                roll_out_g=out,
                trim_g=trim,
                knead_back_g=times(trim, keep),
            )
        )
    return Rolling(
        sheets=tuple(sheets),
        roll_out_g=_sum(sheet.roll_out_g for sheet in sheets),
        on_cake_g=on_cake_g,
        trim_g=_sum(sheet.trim_g for sheet in sheets),
        knead_back_g=_sum(sheet.knead_back_g for sheet in sheets),
    )


def _sum(estimates: Iterable[Estimate]) -> Estimate:
    total = Estimate.exact(0.0)
    for estimate in estimates:
        total = total + estimate
    return total


def paste_needed_g(sheets: Iterable[RolledSheet]) -> Estimate:
    """
    Paste that must be at hand to roll these sheets one after another, kneading clean trim back between them. [g]

    The largest is rolled first, while there is most. At each sheet what was used up before (rolled less kneaded back)
    and this sheet must both be covered; the answer is the greatest of these sums.
    """
    ordered = sorted(sheets, key=lambda sheet: -sheet.roll_out_g.value)
    needs: dict[str, float] = {}
    for bound in ("value", "low", "high"):
        used = need = 0.0
        for sheet in ordered:
            rolled = getattr(sheet.roll_out_g, bound)
            need = max(need, used + rolled)
            used += rolled - min(rolled, getattr(sheet.knead_back_g, bound))
        needs[bound] = need
    value = needs["value"]
    return Estimate(value=value, low=min(value, needs["low"]), high=max(value, needs["high"]))
