"""One tier with everything on it."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.coating.areas import covered_area_mm2, fits_on, offset_area_mm2, offset_perimeter_mm
from tierwright.coating.coats import Skin, skins
from tierwright.coating.fillings import DEEPEST_FILLING_MM
from tierwright.coating.model import Band, CoatedTier, Part
from tierwright.coating.order import TierToCoat
from tierwright.coating.parts import Body, board, coats, dam_spread, dam_width, inside, sponge, wants_dam
from tierwright.coating.rolled import Rolling
from tierwright.coating.tables import kind
from tierwright.coating.warnings import Joint
from tierwright.errors import require_range
from tierwright.ranges import total
from tierwright.shapes import Outline
from tierwright.working import Assumption

HEIGHT_SLACK_MM = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedTier:
    """
    A coated tier with what its notes are written from.

    Attributes
    ----------
    order, coated
        What was ordered, and the answer.
    place, name
        How notes call it (``tier.1``), and a maker (``the bottom tier``).
    body, skins, rollings
        The body coated, its coats and rolled sheets.
    joint
        Its lowest filling, or None.
    assumptions
        Usual thicknesses that were used.
    overhangs
        Whether what stands on it reaches beyond it.
    """

    order: TierToCoat
    coated: CoatedTier
    place: str
    name: str
    body: Body
    skins: tuple[Skin, ...]
    rollings: tuple[Rolling, ...]
    joint: Joint | None
    assumptions: tuple[Assumption, ...]
    overhangs: bool


def _check(order: TierToCoat, place: str) -> None:
    require_range("depth of the filling", order.depth_mm, 0.0, DEEPEST_FILLING_MM, "mm", place)
    require_range("thickness of the board", order.board_mm, 0.0, 60.0, "mm", place)
    require_range("height of the tier", order.bare_height_mm, 5.0, 600.0, "mm", place)
    require_range("layers", order.cake.layers, 0 if order.is_dummy else 1, 20, "", place)
    if order.filling is not None and order.filling_mm is None and not order.is_dummy:
        # The stack was sized for this height: a tier whose layers add up to another one is not that tier.
        height = order.cake.height_mm
        low, high = height - HEIGHT_SLACK_MM, height + HEIGHT_SLACK_MM
        require_range("layers and fillings together", order.bare_height_mm, low, high, "mm", place)


def _standing(above: WorkedTier | None) -> tuple[Outline, ...]:
    if above is None:
        return ()
    if not above.order.board:
        return (above.coated.finished_outline,)
    return above.coated.finished_outline, above.order.board_outline or above.order.cake.outline


def work_tier(order: TierToCoat, place: str, name: str, above: WorkedTier | None, above_g: float) -> WorkedTier:
    """
    Coat one tier.

    Parameters
    ----------
    order
        What is ordered.
    place, name
        How notes call it, and a maker.
    above
        The tier that stands on it, worked before, or None.
    above_g
        Mass of all tiers above. [g]

    Raises
    ------
    OutOfRange
        A depth, thickness or height outside its range, or layers that do not add up to the sized height.
    MissingData
        No density for the baked layers.
    UnknownName
        A kind that the table does not hold.
    """
    _check(order, place)
    outline = order.cake.outline
    layout, assumptions = skins(order, place)
    side_mm = sum(skin.side_mm.value for skin in layout)
    top_mm = sum(skin.top_mm.value for skin in layout)
    finished = outline.grown(side_mm)
    board_mm = order.board_mm if order.board else 0.0
    wide_board = bool(order.board) and order.board_outline is not None and not fits_on(outline, order.board_outline)
    coated_mm = order.bare_height_mm + (0.0 if wide_board else board_mm)
    standing = _standing(above)
    covered = covered_area_mm2(finished, *standing)
    body = Body(outline=outline, height_mm=coated_mm, covered_mm2=covered, shoulder_mm=order.shoulder_mm)

    outside, rollings = coats(order, body, layout)
    under = board(order)
    parts = [sponge(order, place), *inside(order), *outside, *([] if under is None else [under])]
    height = board_mm + order.bare_height_mm + top_mm
    spared = sum(skin.top_mm.value for skin in layout if not skin.runs_under)
    coated = CoatedTier(
        number=order.number,
        style=order.style,
        finish=order.finish,
        side_mm2=offset_perimeter_mm(outline, side_mm) * (coated_mm + top_mm),
        top_mm2=max(0.0, offset_area_mm2(outline, side_mm) - covered),
        edge_mm=offset_perimeter_mm(outline, side_mm),
        parts=tuple(parts),
        bands=_bands(order, layout, board_mm),
        sheets=tuple(sheet for rolling in rollings for sheet in rolling.sheets),
        board=order.board,
        board_mm=board_mm,
        finished_outline=finished,
        finished_height_mm=height,
        mass_g=total([part.on_cake_g for part in parts]),
        carries_at_mm=height - spared,
    )
    return WorkedTier(
        order=order,
        coated=coated,
        place=place,
        name=name,
        body=body,
        skins=layout,
        rollings=tuple(rollings),
        joint=_lowest_joint(order, coated, above_g),
        assumptions=assumptions,
        overhangs=any(not fits_on(finished, one) for one in standing),
    )


def _bands(order: TierToCoat, layout: tuple[Skin, ...], board_mm: float) -> tuple[Band, ...]:
    """Board, then layers and fillings, then what lies on top; a coat at the side is the step between outlines."""
    bands: list[Band] = []
    level = 0.0

    def add(part: Part, formula: str, thick_mm: float, outline: Outline) -> None:
        nonlocal level
        if thick_mm > 0:
            bands.append(
                Band(material=part.value, formula=formula, bottom_mm=level, top_mm=level + thick_mm, outline=outline)
            )
            level += thick_mm

    outline = order.cake.outline
    add(Part.BOARD, order.board, board_mm, order.board_outline or outline)
    if order.is_dummy:
        add(Part.FOAM, "", order.bare_height_mm, outline)
    else:
        for layer in range(order.cake.layers):
            add(Part.SPONGE, order.sponge_formula, order.cake.layer_height_mm, outline)
            if order.filling is not None and layer < order.gaps:
                add(Part.FILLING, order.filling.formula, order.depth_mm, outline)
    grown = 0.0
    for skin in layout:
        grown += skin.side_mm.value
        formula = "" if skin.spread is None else skin.spread.formula
        add(skin.part, formula, skin.top_mm.value, outline.grown(grown))
    return tuple(bands)


def _lowest_joint(order: TierToCoat, coated: CoatedTier, above_g: float) -> Joint | None:
    if order.filling is None or order.gaps == 0 or order.depth_mm == 0:
        return None
    dam = dam_spread(order) if wants_dam(order) else None
    layers = order.cake.layers
    own = 0.0
    for part in coated.parts:
        match part.part:
            case Part.SPONGE | Part.SOAK:
                own += part.on_cake_g.value * (layers - 1) / layers
            case Part.FILLING | Part.DAM:
                own += part.on_cake_g.value * (order.gaps - 1) / order.gaps
            case Part.CRUMB_COAT | Part.COAT | Part.ROLLED | Part.MARZIPAN:
                # The side's share hangs on the layers in proportion; the top's rests whole on them.
                own += part.on_cake_g.value * (layers - 1) / layers
            case Part.BOARD | Part.FOAM:
                pass
    return Joint(
        outline=order.cake.outline,
        filling=kind(order.filling.kind),
        dam=None if dam is None else kind(dam.kind),
        depth_mm=order.depth_mm,
        dam_mm=0.0 if dam is None else dam_width(order).value,
        own_load_g=own,
        above_load_g=above_g,
        supported=order.supported,
    )
