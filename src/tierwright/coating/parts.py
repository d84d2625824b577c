"""The materials of one tier, each with its volume, its mass and what has to be made of it."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.coating.areas import MM3_PER_ML, shell_volume_ml
from tierwright.coating.coats import Skin
from tierwright.coating.fillings import filling_volumes, soak_ml
from tierwright.coating.model import CoatStyle, Part, PartMass
from tierwright.coating.order import Spread, TierToCoat
from tierwright.coating.rolled import Rolling, roll
from tierwright.coating.tables import amount, density, kind
from tierwright.errors import MissingData
from tierwright.ranges import times, with_losses
from tierwright.shapes import Outline
from tierwright.working import NOTHING, Estimate

ROLLED_PARTS = frozenset({Part.ROLLED, Part.MARZIPAN})
OUTSIDE_PARTS = frozenset({Part.CRUMB_COAT, Part.COAT, Part.ROLLED, Part.MARZIPAN})


def spread_density(spread: Spread) -> Estimate:
    """Return the density to reckon with. [g/ml]"""
    return density(spread.kind, spread.measured_g_per_ml)


def dam_spread(order: TierToCoat) -> Spread | None:
    """Return what a dam can be piped of: the coat or undercoat, if it pipes and holds by itself."""
    for spread in (order.coat, order.undercoat):
        if spread is not None:
            of = kind(spread.kind)
            if not of.needs_dam and of.stiffness != "solid":
                return spread
    return None


def wants_dam(order: TierToCoat) -> bool:
    """Return whether a dam is to be piped: as ordered, else as the kind of filling asks."""
    if order.gaps == 0 or order.filling is None or order.depth_mm == 0:
        return False
    return kind(order.filling.kind).needs_dam if order.dam is None else order.dam


def dam_width(order: TierToCoat) -> Estimate:
    """Return the width of its dam. [mm]"""
    return order.dam_mm or amount("dam_width_mm").value


def sponge(order: TierToCoat, place: str) -> PartMass:
    """
    Cake, or foam, of a tier.

    Raises
    ------
    MissingData
        A cake with neither density nor mass.
    """
    outline = order.cake.outline
    if order.is_dummy:
        volume_ml = outline.area_mm2 * order.bare_height_mm / MM3_PER_ML
        mass = amount("foam_g_per_ml").value * volume_ml
        part, formula = Part.FOAM, ""
    else:
        volume_ml = outline.area_mm2 * order.cake.layer_height_mm * order.cake.layers / MM3_PER_ML
        part, formula = Part.SPONGE, order.sponge_formula
        if order.sponge_g is not None:
            mass = order.sponge_g
        elif order.sponge_g_per_ml is not None:
            mass = order.sponge_g_per_ml * volume_ml
        else:
            raise MissingData("the density or mass of the baked layers", "weighing a tier", place)
    height = order.bare_height_mm if order.is_dummy else order.cake.layer_height_mm
    return PartMass(
        part=part,
        formula=formula,
        on_cake_g=mass,
        to_make_g=mass,
        volume_ml=Estimate.exact(volume_ml),
        thickness_mm=Estimate.exact(height),
    )


def inside(order: TierToCoat) -> list[PartMass]:
    """Fillings, dams and soak of a tier; none in a dummy."""
    if order.is_dummy:
        return []
    parts: list[PartMass] = []
    outline = order.cake.outline
    bowl, bag = amount("bowl_loss").value, amount("bag_loss").value
    if order.filling is not None and order.gaps > 0 and order.depth_mm > 0:
        of_dam = dam_spread(order) if wants_dam(order) else None
        volumes = filling_volumes(outline, order.depth_mm, order.gaps, dam_width(order) if of_dam else None)
        deep = Estimate.exact(order.depth_mm)
        filled = times(volumes.filling_ml, spread_density(order.filling))
        parts.append(
            PartMass(
                part=Part.FILLING,
                formula=order.filling.formula,
                on_cake_g=filled,
                to_make_g=with_losses(filled, bowl),
                volume_ml=volumes.filling_ml,
                thickness_mm=deep,
            )
        )
        if of_dam is not None:
            dammed = times(volumes.dam_ml, spread_density(of_dam))
            parts.append(
                PartMass(
                    part=Part.DAM,
                    formula=of_dam.formula,
                    on_cake_g=dammed,
                    to_make_g=with_losses(dammed, bowl, bag),
                    volume_ml=volumes.dam_ml,
                    thickness_mm=deep,
                )
            )
    if order.soak is not None:
        rate = order.soak_ml_per_cm2 or amount("soak_ml_per_cm2").value
        volume = soak_ml(outline, order.cake.layers, rate)
        soaked = times(volume, spread_density(order.soak))
        parts.append(
            PartMass(
                part=Part.SOAK,
                formula=order.soak.formula,
                on_cake_g=soaked,
                to_make_g=with_losses(soaked, amount("soak_loss").value),
                volume_ml=volume,
                thickness_mm=NOTHING,
            )
        )
    return parts


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """
    The body that a coat goes over.

    Attributes
    ----------
    outline
        The cake's outline.
    height_mm
        Height of its coated side: cake, and the board's edge where the board is no wider than the cake. [mm]
    covered_mm2
        Part of the top under what stands on it. [mm2]
    shoulder_mm
        Radius of the top edge. [mm]
    """

    outline: Outline
    height_mm: float
    covered_mm2: float
    shoulder_mm: float


def skin_volume_ml(body: Body, below: tuple[Skin, ...], skin: Skin, last: bool) -> Estimate:
    """
    Volume of one coat over those below it. [ml]

    Parameters
    ----------
    body, below
        What it goes over.
    skin
        The coat.
    last
        Whether it is the outermost, whose edge is the one that is rounded.
    """
    inner_side = sum(one.side_mm.value for one in below)
    inner_top = sum(one.top_mm.value for one in below)
    volumes = [
        shell_volume_ml(
            body.outline,
            body.height_mm,
            inner_side_mm=inner_side,
            inner_top_mm=inner_top,
            side_mm=side,
            top_mm=top,
            covered_mm2=0.0 if skin.runs_under else body.covered_mm2,
            shoulder_mm=body.shoulder_mm if last else 0.0,
        )
        for side, top in (
            (skin.side_mm.value, skin.top_mm.value),
            (skin.side_mm.low, skin.top_mm.low),
            (skin.side_mm.high, skin.top_mm.high),
        )
    ]
    return Estimate(value=volumes[0], low=min(volumes), high=max(volumes))


def coats(order: TierToCoat, body: Body, skins: tuple[Skin, ...]) -> tuple[list[PartMass], list[Rolling]]:
    """Coats of a tier, innermost first, and the rolling of those that are sheets; what nobody has named is absent."""
    parts: list[PartMass] = []
    rollings: list[Rolling] = []
    bowl = amount("bowl_loss").value
    scrape = amount("semi_naked_scrape_loss" if order.style is CoatStyle.SEMI_NAKED else "scrape_loss").value
    for place, skin in enumerate(skins):
        if skin.spread is None:
            continue
        below = skins[:place]
        volume = skin_volume_ml(body, below, skin, last=place == len(skins) - 1)
        mass = times(volume, spread_density(skin.spread))
        if skin.part in ROLLED_PARTS:
            rolling = roll(
                body.outline,
                under_side_mm=sum(one.side_mm.value for one in below),
                under_top_mm=sum(one.top_mm.value for one in below),
                height_mm=body.height_mm,
                thickness_mm=skin.side_mm,
                density_g_per_ml=spread_density(skin.spread),
                on_cake_g=mass,
                laying=order.laying,
            )
            rollings.append(rolling)
            make = rolling.roll_out_g
        else:
            make = with_losses(mass, bowl, scrape)
        parts.append(
            PartMass(
                part=skin.part,
                formula=skin.spread.formula,
                on_cake_g=mass,
                to_make_g=make,
                volume_ml=volume,
                thickness_mm=skin.side_mm,
            )
        )
    return parts, rollings


def board(order: TierToCoat) -> PartMass | None:
    """Board under a tier, or None; its mass is reckoned from its size where none is given."""
    if not order.board:
        return None
    outline = order.board_outline or order.cake.outline
    volume_ml = outline.area_mm2 * order.board_mm / MM3_PER_ML
    mass = order.board_g or amount("board_g_per_ml").value * volume_ml
    return PartMass(
        part=Part.BOARD,
        formula="",
        on_cake_g=mass,
        to_make_g=mass,
        volume_ml=Estimate.exact(volume_ml),
        thickness_mm=Estimate.exact(order.board_mm),
    )
