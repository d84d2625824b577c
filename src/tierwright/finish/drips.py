"""Drips over a top edge: how many, how long each, what they weigh, and how warm the glaze is poured."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from random import Random
from typing import Final

from tierwright.brief.decor import Drip
from tierwright.errors import OutOfRange
from tierwright.finish.closing import Closed, close, close_count
from tierwright.finish.model import DecorMass, Labour, Surface
from tierwright.finish.stuff import Stuff
from tierwright.finish.tables import Pour, amount, pours, time_of
from tierwright.ranges import power, times, with_losses
from tierwright.working import NOTHING, Estimate

MM3_PER_ML: Final = 1000.0
LENGTH_SPREAD: Final = 0.15
"""What drips come out longer or shorter than meant. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedDrip:
    """
    The drips of one tier.

    Attributes
    ----------
    tier, formula
        Which tier, and the glaze.
    drips
        How they part the top edge.
    lengths_mm
        How far each runs down the side, in the order of the line. [mm]
    width_mm, thickness_mm
        Of one drip. [mm]
    flood_mm2
        Part of the top that is covered too. [mm2]
    pour
        How warm the glaze is poured; None where the table does not know it.
    mass
        Volume and mass.
    labour
        Hands' time.
    colour
        Its colour, ``#rrggbb``.
    """

    tier: int
    formula: str
    drips: Closed
    lengths_mm: tuple[float, ...]
    width_mm: float
    thickness_mm: Estimate
    flood_mm2: float
    pour: Pour | None
    mass: DecorMass
    labour: tuple[Labour, ...]
    colour: str


def drip_ml(length_mm: float, width_mm: float, thickness_mm: Estimate, bulb: Estimate) -> Estimate:
    """
    Volume of one drip.

    Parameters
    ----------
    length_mm, width_mm
        How far it runs down, and its breadth. [mm]
    thickness_mm
        How far it stands off the side. [mm]
    bulb
        Breadth of its end over its own. [-]

    Returns
    -------
    volume
        Half an oval cord, ``pi/4 w t (L - B/2)``, that ends in half an ellipsoid of the end's breadth B,
        ``pi/6 B**2 t b``, b being the bulb's ratio; a drip shorter than half its end is that half ellipsoid. [ml]
    """
    end = bulb * width_mm
    stem = max(0.0, length_mm - end.value / 2)
    cord = thickness_mm * (pi / 4 * width_mm * stem)
    drop = times(power(end, 2), thickness_mm, bulb) * (pi / 6)
    return (cord + drop) * (1 / MM3_PER_ML)


def work_drip(drip: Drip, surface: Surface, stuff: Stuff, colour: str = "") -> WorkedDrip:
    """
    Work the drips of one tier.

    Parameters
    ----------
    drip
        What is asked for.
    surface
        The tier.
    stuff
        The glaze.
    colour
        Colour that is wished for, ``#rrggbb``; empty for its own.

    Raises
    ------
    OutOfRange
        Drips wider than their distance.
    """
    spans = surface.top.path.spans_mm
    drips = close_count(spans, drip.count) if drip.count is not None else close(spans, drip.spacing or 25.0)
    nearest = min(drips.pitches_mm)
    if drip.width > nearest:
        raise OutOfRange("width of a drip", drip.width, 0.0, nearest, "mm", f"the {surface.name} tier")
    lengths = _lengths(drip, drips.count)
    thick = amount("drip_thickness_mm").value
    bulb = amount("drip_bulb").value
    runs = Estimate.within(1.0, LENGTH_SPREAD)
    volume = NOTHING
    for length in lengths:
        volume = volume + drip_ml(length, drip.width, thick, bulb)
    volume = times(volume, runs)
    flood_mm2 = surface.top_mm2 if drip.flood else 0.0
    volume = volume + amount("flood_mm").value * (flood_mm2 / MM3_PER_ML)
    on_cake = times(volume, stuff.density_g_per_ml)
    test, each = time_of("dripping"), time_of("drips")
    return WorkedDrip(
        tier=surface.tier,
        formula=stuff.key,
        drips=drips,
        lengths_mm=lengths,
        width_mm=drip.width,
        thickness_mm=thick,
        flood_mm2=flood_mm2,
        pour=pours().get(stuff.kind),
        colour=colour or stuff.colour,
        mass=DecorMass(
            tier=surface.tier, part="drip", formula=stuff.key, volume_ml=volume, on_cake_g=on_cake,
            to_make_g=with_losses(on_cake, amount("pour_loss").value), thickness_mm=thick,
        ),
        labour=(
            Labour(
                task="dripping", label=test.label, tier=surface.tier, count=1.0, per=test.per,
                minutes_each=test.minutes,
            ),
            Labour(
                task="drips", label="drips", tier=surface.tier, count=float(drips.count), per=each.per,
                minutes_each=each.minutes,
            ),
        ),
    )  # fmt: skip


def _lengths(drip: Drip, count: int) -> tuple[float, ...]:
    """Uneven lengths from the shortest share of the longest up to it, at least one of them the longest."""
    shortest = amount("drip_shortest").value.value
    chance = Random(drip.seed)
    shares = [shortest + (1 - shortest) * chance.random() for _ in range(count)]
    shares[shares.index(max(shares))] = 1.0
    return tuple(drip.longest * share for share in shares)
