"""How thick each coat is: crumb coat, coat, undercoat, marzipan and rolled coat, at the side and on top."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.coating.model import CoatStyle, Part
from tierwright.coating.order import Spread, TierToCoat
from tierwright.coating.tables import amount, usual_thickness
from tierwright.errors import require_range
from tierwright.working import Assumption, Estimate

THICKEST_COAT_MM = 30.0
CRUMB_SHARE = 1 / 3  # of a coat whose whole thickness is given, at most this much is its crumb coat


@dataclass(frozen=True, slots=True, kw_only=True)
class Skin:
    """
    One coat of a tier, from the cake outward.

    Attributes
    ----------
    part
        What it is for.
    spread
        What it is made of; None where nobody has said.
    side_mm, top_mm
        Its thickness. [mm]
    runs_under
        Whether it runs on under the next tier.
    """

    part: Part
    spread: Spread | None
    side_mm: Estimate
    top_mm: Estimate
    runs_under: bool


def _assumed(order: TierToCoat, place: str, what: str, value: Estimate, unit: str, key: str) -> Assumption:
    return Assumption(
        key=f"{place}.{key}",
        text=what,
        value=f"{value.value:g} {unit} ({value.low:g} to {value.high:g})",
        source=amount(key).source if key in _FROM_AMOUNTS else usual_thickness(order.style, order.finish).source,
    )


_FROM_AMOUNTS = frozenset({"crumb_mm", "under_mm", "marzipan_mm"})


def _check(order: TierToCoat, place: str) -> None:
    for name, given in (
        ("coat", order.coat_mm),
        ("coat on top", order.top_coat_mm),
        ("rolled coat", order.rolled_mm),
        ("marzipan", order.marzipan_mm),
    ):
        if given is not None:
            require_range(f"thickness of the {name}", given.low, 0.0, THICKEST_COAT_MM, "mm", place)
            require_range(f"thickness of the {name}", given.high, 0.0, THICKEST_COAT_MM, "mm", place)


def skins(order: TierToCoat, place: str) -> tuple[tuple[Skin, ...], tuple[Assumption, ...]]:
    """
    Lay out the coats of one tier from the cake outward.

    Parameters
    ----------
    order
        What is ordered.
    place
        How notes call it, such as ``tier.1``.

    Returns
    -------
    coats
        Skins with their thickness, the innermost first; none for a naked tier.
    assumptions
        Every usual thickness that was used.

    Raises
    ------
    OutOfRange
        A given thickness outside 0 to 30 mm.
    """
    _check(order, place)
    match order.style:
        case CoatStyle.NAKED:
            return (), ()
        case CoatStyle.ROLLED:
            return _rolled(order, place)
        case _:
            return _spread(order, place)


def _spread(order: TierToCoat, place: str) -> tuple[tuple[Skin, ...], tuple[Assumption, ...]]:
    """Full, semi-naked and ganache coats: a crumb coat only under a full one."""
    usual = usual_thickness(order.style, order.finish)
    has_crumb = order.style is CoatStyle.FULL and not order.is_dummy
    crumb = amount("crumb_mm").value
    assumptions: list[Assumption] = []
    if order.coat_mm is None:
        side, top = usual.side_mm, order.top_coat_mm or usual.top_mm
        assumptions.append(_assumed(order, place, f"thickness of a {_looks(order)} coat", side, "mm", "coat_mm"))
    else:
        # The thickness that a person gives is all that is spread, crumb coat and coat together.
        side, top = order.coat_mm, order.top_coat_mm or order.coat_mm
        if has_crumb:
            share = min(crumb.value, CRUMB_SHARE * min(side.value, top.value))
            crumb = Estimate.exact(share)
            side, top = _less(side, share), _less(top, share)
    layers = [
        Skin(part=Part.COAT, spread=order.coat, side_mm=side, top_mm=top, runs_under=order.coat_under),
    ]
    if has_crumb:
        if order.coat_mm is None:
            assumptions.append(_assumed(order, place, "thickness of the crumb coat", crumb, "mm", "crumb_mm"))
        layers.insert(0, Skin(part=Part.CRUMB_COAT, spread=order.coat, side_mm=crumb, top_mm=crumb, runs_under=True))
    sheet, more = _marzipan(order, place)
    return (*sheet, *layers), (*more, *assumptions)


def _rolled(order: TierToCoat, place: str) -> tuple[tuple[Skin, ...], tuple[Assumption, ...]]:
    """An undercoat (not on foam, which is only damped), marzipan if any, and the rolled coat, which runs under."""
    assumptions: list[Assumption] = []
    layers: list[Skin] = []
    if not order.is_dummy:
        under = amount("under_mm").value
        if order.coat_mm is not None:
            under = order.coat_mm
        else:
            assumptions.append(_assumed(order, place, "thickness of the undercoat", under, "mm", "under_mm"))
        layers.append(Skin(part=Part.CRUMB_COAT, spread=order.undercoat, side_mm=under, top_mm=under, runs_under=True))
    sheet, more = _marzipan(order, place)
    rolled = order.rolled_mm or usual_thickness(order.style, order.finish).side_mm
    if order.rolled_mm is None:
        assumptions.append(_assumed(order, place, "thickness of the rolled coat", rolled, "mm", "rolled_mm"))
    is_marzipan = order.coat is not None and order.coat.kind == "marzipan"
    part = Part.MARZIPAN if is_marzipan else Part.ROLLED
    layers += [*sheet, Skin(part=part, spread=order.coat, side_mm=rolled, top_mm=rolled, runs_under=True)]
    return tuple(layers), (*more, *assumptions)


def _marzipan(order: TierToCoat, place: str) -> tuple[tuple[Skin, ...], tuple[Assumption, ...]]:
    if order.marzipan is None or order.is_dummy:
        return (), ()
    thick = order.marzipan_mm or amount("marzipan_mm").value
    skin = Skin(part=Part.MARZIPAN, spread=order.marzipan, side_mm=thick, top_mm=thick, runs_under=True)
    if order.marzipan_mm is not None:
        return (skin,), ()
    return (skin,), (_assumed(order, place, "thickness of the marzipan", thick, "mm", "marzipan_mm"),)


def _less(thickness: Estimate, part: float) -> Estimate:
    return Estimate(
        value=max(0.0, thickness.value - part),
        low=max(0.0, thickness.low - part),
        high=max(0.0, thickness.high - part),
    )


def _looks(order: TierToCoat) -> str:
    return f"{order.style.value} {order.finish.value}" if order.style is CoatStyle.FULL else order.style.value
