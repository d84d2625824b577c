"""Temperatures of mixtures that hold fat, and how long it takes to chill or warm a bowl of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import pi
from typing import Final

from scipy.optimize import brentq

from tierwright.errors import Infeasible, require_range
from tierwright.sugar.cooking import MATERIAL_CP
from tierwright.sugar.cream_model import CreamLine
from tierwright.sugar.creams import weighed_parts
from tierwright.sugar.fats import fat_heat
from tierwright.sugar.pouring import Bowl
from tierwright.working import Estimate

WATER_CP: Final = 4.18
SUGAR_CP: Final = 1.80  # dissolved; Bubnik et al. 1995 at 20 C
OTHER_CP: Final = 1.90  # protein, starch and cocoa near 20 C, Choi and Okos 1986: 1.6 to 2.0
COLDEST_C: Final = 1.0
HOTTEST_C: Final = 60.0


class Means(StrEnum):
    """Ways to chill or warm a bowl."""

    FRIDGE = "fridge"
    FREEZER = "freezer"
    ICE_BATH = "ice bath, stirring"
    WARM_BATH = "bowl over warm water, stirring"


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Surroundings of a bowl: temperature [C], how well heat passes [W/(m2 K)], whether the open top takes part."""

    at_c: float
    heat_w_m2k: Estimate
    open_top: bool


EXCHANGES: Final[dict[Means, Exchange]] = {
    # Still cold air with radiation 6 to 12; water moved by hand with a stirred inside 60 to 200: textbook spans.
    Means.FRIDGE: Exchange(at_c=4.0, heat_w_m2k=Estimate(value=9.0, low=6.0, high=12.0), open_top=True),
    Means.FREEZER: Exchange(at_c=-18.0, heat_w_m2k=Estimate(value=9.0, low=6.0, high=14.0), open_top=True),
    Means.ICE_BATH: Exchange(at_c=1.0, heat_w_m2k=Estimate(value=110.0, low=60.0, high=200.0), open_top=False),
    Means.WARM_BATH: Exchange(at_c=45.0, heat_w_m2k=Estimate(value=90.0, low=50.0, high=180.0), open_top=False),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """Something that goes into the bowl: its ingredients [g] and its temperature. [C]"""

    lines: tuple[CreamLine, ...]
    at_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixed:
    """
    What comes of mixing.

    Attributes
    ----------
    at_c
        Temperature of the mixture. [C]
    before_j, after_j
        Heat content before and after, counted from solid fat at 0 C; they differ by the whisk's work. [J]
    work_j
        Brought in by the whisk. [J]
    """

    at_c: float
    before_j: float
    after_j: float
    work_j: float


def heat_content_j(lines: Sequence[CreamLine], celsius: float) -> float:
    """
    Heat content of ingredients at a temperature, with the heat of melting of their fat.

    Parameters
    ----------
    lines
        Ingredients. [g]
    celsius
        Temperature. [C], 1 to 60

    Returns
    -------
    heat
        Counted from solid fat at 0 C. [J]
    """
    require_range("temperature", celsius, COLDEST_C, HOTTEST_C, "C")
    total = 0.0
    for part, grams in weighed_parts(lines):
        other = 1.0 - part.water - part.fat - part.sugar - part.reducing
        plain = part.water * WATER_CP + (part.sugar + part.reducing) * SUGAR_CP + max(other, 0.0) * OTHER_CP
        total += grams * (plain * celsius + part.fat * fat_heat(part.fat_kind, celsius))
    return total


def mix_portions(
    portions: Sequence[Portion], *, bowl: Bowl | None = None, beaten_min: float = 0.0, whisk_w: float = 30.0
) -> Mixed:
    """
    Temperature of a mixture, the heat of melting fat included.

    Parameters
    ----------
    portions
        What goes in, each at its own temperature.
    bowl
        The bowl at its own; left out if None.
    beaten_min
        Beating. [min], 0 to 60
    whisk_w
        Power that the whisk leaves in the bowl. [W], 0 to 300; 30 is common practice for a stand mixer

    Returns
    -------
    mixed
        Temperature and the account.

    Raises
    ------
    OutOfRange
        A temperature outside 1 to 60 C, or beating outside its span.

    Notes
    -----
    Fat is taken to reach the solid share of its curve. Fat that was just melted sets late, so a bowl may first read up
    to 2 C colder and then warm itself as the fat sets.
    """
    require_range("beating", beaten_min, 0.0, 60.0, "min")
    require_range("whisk", whisk_w, 0.0, 300.0, "W")
    bowl_j_k = bowl.mass_g * MATERIAL_CP[bowl.material] if bowl is not None else 0.0
    before = sum(heat_content_j(portion.lines, portion.at_c) for portion in portions)
    if bowl is not None:
        require_range("temperature of the bowl", bowl.start_c, COLDEST_C, HOTTEST_C, "C")
        before += bowl_j_k * bowl.start_c
    work = whisk_w * beaten_min * 60.0
    together = tuple(line for portion in portions for line in portion.lines)

    def miss(celsius: float) -> float:
        return heat_content_j(together, celsius) + bowl_j_k * celsius - before - work

    if miss(HOTTEST_C) < 0:
        raise Infeasible("beating so long", "the mixture would pass 60 C", "less beating")
    at = float(brentq(miss, COLDEST_C, HOTTEST_C, xtol=1e-9))
    after = heat_content_j(together, at) + bowl_j_k * at
    return Mixed(at_c=at, before_j=before, after_j=after, work_j=work)


def minutes_to_reach(
    lines: Sequence[CreamLine], from_c: float, to_c: float, means: Means, *, bowl: Bowl | None = None
) -> Estimate:
    """
    Time to bring a bowl of coating from one temperature to another.

    Parameters
    ----------
    lines
        What is in the bowl. [g]
    from_c, to_c
        Temperatures. [C], 1 to 60
    means
        Where it stands meanwhile.
    bowl
        The bowl; the usual one if None.

    Returns
    -------
    minutes
        [min]

    Raises
    ------
    Infeasible
        That surrounding cannot bring it there.

    Notes
    -----
    The bowl is taken as a half ball holding twice the volume. In a fridge the middle lags the
    side: stir once half way.
    """
    place = EXCHANGES[means]
    if (to_c - place.at_c) * (from_c - place.at_c) <= 0 or abs(to_c - place.at_c) > abs(from_c - place.at_c):
        raise Infeasible(f"from {from_c:.0f} to {to_c:.0f} C by {means.value}", f"it stands at {place.at_c:.0f} C")
    own = bowl or Bowl()
    bowl_j_k = own.mass_g * MATERIAL_CP[own.material]
    litres = sum(line.grams for line in lines) / 800.0
    # Half ball of volume 2 V: radius (3 V / pi)^(1/3). Filled half way, 1.2 pi r^2 of its side is wetted and the open
    # top is 0.8 pi r^2.
    radius_m = (3.0 * litres / 1000.0 / pi) ** (1.0 / 3.0)
    area_m2 = pi * radius_m**2 * (2.0 if place.open_top else 1.2)
    steps = 40
    seconds_per_u = 0.0
    for i in range(steps):
        a = from_c + (to_c - from_c) * i / steps
        b = from_c + (to_c - from_c) * (i + 1) / steps
        heat = heat_content_j(lines, b) - heat_content_j(lines, a) + bowl_j_k * (b - a)
        seconds_per_u += heat / (area_m2 * (place.at_c - (a + b) / 2))
    u = place.heat_w_m2k
    return Estimate(
        value=seconds_per_u / u.value / 60.0, low=seconds_per_u / u.high / 60.0, high=seconds_per_u / u.low / 60.0
    )


def share_to_melt(lines: Sequence[CreamLine], from_c: float, to_c: float, melted_at_c: float = 40.0) -> float:
    """
    Part of a curdled coating to melt and beat back in, so that the whole comes to a temperature.

    Parameters
    ----------
    lines
        What is in the bowl. [g]
    from_c, to_c
        Temperature now and wanted. [C]
    melted_at_c
        Temperature to which the part is warmed. [C], up to 60

    Returns
    -------
    share
        Part of the whole. [1]

    Raises
    ------
    Infeasible
        The wanted temperature does not lie between the two.
    """
    if not from_c < to_c < melted_at_c:
        raise Infeasible(f"warming from {from_c:.0f} to {to_c:.0f} C", "the melted part must be the hottest")
    cold, want, hot = (heat_content_j(lines, celsius) for celsius in (from_c, to_c, melted_at_c))
    return (want - cold) / (hot - cold)
