"""How long a layer, or a whole tier, takes to cool, freeze, thaw and warm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache

from tierwright.keeping.bodies import FOAM_KEY
from tierwright.keeping.line import Start, Walker
from tierwright.keeping.model import Component, Layer, Place, Stay, TierToKeep
from tierwright.keeping.pieces import COLDEST, MEAN, WARMEST
from tierwright.keeping.tables import threshold
from tierwright.shapes import Outline

OUT_OF_THE_OVEN_C = 97.0
"""Core of a layer when it leaves the oven. [C] Common practice: 96 to 99."""
_LONGEST_H = 48.0
_BEGIN = datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerTimes:
    """
    How long the thickest layer of a tier takes.

    Attributes
    ----------
    tier, name
        Which tier.
    to_fill_h
        From the oven on the rack until it may be filled. [h]
    to_chill_h
        From then in the fridge, wrapped, until it is chilled through. [h]
    to_freeze_h
        From then in the freezer, wrapped, until its middle is hard. [h]; None without a freezer
    to_thaw_h
        From the freezer, wrapped in the fridge, until no ice is left. [h]
    hours, warmest_c
        The first cooling, for the line. [h], [C]
    """

    tier: int
    name: str
    to_fill_h: float | None
    to_chill_h: float | None
    to_freeze_h: float | None
    to_thaw_h: float | None
    hours: tuple[float, ...]
    warmest_c: tuple[float, ...]


def _conditions(place: Place, air_c: float, humidity: float, altitude_m: float, cover: str = "") -> Stay:
    return Stay(
        place=place,
        name=place.value,
        begins=_BEGIN,
        ends=_BEGIN + timedelta(hours=_LONGEST_H),
        air_c=air_c,
        humidity=humidity,
        cover=cover,
        altitude_m=altitude_m,
    )


def layer_times(
    tier: TierToKeep,
    components: dict[str, Component],
    *,
    room_c: float = 21.0,
    fridge_c: float | None = 4.0,
    freezer_c: float | None = -18.0,
    altitude_m: float = 0.0,
) -> LayerTimes | None:
    """
    Times of the thickest layer of a tier.

    Parameters
    ----------
    tier, components
        The tier and its materials.
    room_c, fridge_c, freezer_c
        Of the kitchen and its cold places. [C]; None where there is none
    altitude_m
        Of the kitchen, above the sea. [m]

    Returns
    -------
    times
        None for a dummy. A time that is not reached in two days is None.

    Notes
    -----
    Steam that leaves a hot layer cools it too; it is left out, so a layer may be ready up to a fifth earlier.
    """
    thickest = _thickest(tier, components)
    if thickest is None:
        return None
    times = _alone(components[thickest.component], thickest, tier.outline, room_c, fridge_c, freezer_c, altitude_m)
    return replace(times, tier=tier.number, name=tier.name)


@lru_cache(maxsize=256)
def _alone(
    sponge: Component,
    layer: Layer,
    outline: Outline,
    room_c: float,
    fridge_c: float | None,
    freezer_c: float | None,
    altitude_m: float,
) -> LayerTimes:
    """Take one layer out of the oven and through the cold; nothing else of a commission changes that."""
    walker = _out_of_the_oven(sponge, layer, outline)
    fill_c, chill_c, freeze_c, thaw_c = (threshold(key) for key in ("fill_c", "chill_c", "freeze_c", "thaw_c"))
    to_fill = walker.walk_until(
        _conditions(Place.RACK, room_c, 0.5, altitude_m), WARMEST, max(fill_c, room_c + 1.0), 12.0, falls=True
    )
    first = walker.line()
    cooled = walker.copy()
    chill = thaw = freeze = None
    if fridge_c is not None:
        chill = walker.walk_until(
            _conditions(Place.FRIDGE, fridge_c, 0.8, altitude_m, "wrap"), WARMEST, chill_c, _LONGEST_H, falls=True
        )
    if freezer_c is not None:
        freeze = cooled.walk_until(
            _conditions(Place.FREEZER, freezer_c, 0.8, altitude_m), WARMEST, freeze_c, _LONGEST_H, falls=True
        )
        if freeze is not None:
            thaw = cooled.walk_until(
                _conditions(Place.FRIDGE, 4.0 if fridge_c is None else fridge_c, 0.8, altitude_m, "wrap"),
                COLDEST,
                thaw_c,
                _LONGEST_H,
                falls=False,
            )
    return LayerTimes(
        tier=0,
        name="",
        to_fill_h=to_fill,
        to_chill_h=chill,
        to_freeze_h=freeze,
        to_thaw_h=thaw,
        hours=first.hours,
        warmest_c=first.warmest.celsius,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerLine:
    """
    The temperature of the thickest layer of a tier from the oven until it is put together.

    Attributes
    ----------
    tier, name
        Which tier.
    hours
        Time before it is put together, as of the line: negative, up to 0. [h]
    centre_c, warmest_c, mean_c
        Its middle, its warmest place, and its mean. [C]
    """

    tier: int
    name: str
    hours: tuple[float, ...]
    centre_c: tuple[float, ...]
    warmest_c: tuple[float, ...]
    mean_c: tuple[float, ...]


def layer_line(tier: TierToKeep, components: dict[str, Component], made: tuple[Stay, ...]) -> LayerLine | None:
    """
    Follow the thickest layer of a tier from the oven until it is put together.

    Parameters
    ----------
    tier, components
        The tier and its materials.
    made
        Where it is, the rack first, one stay after another without a gap.

    Returns
    -------
    line
        None for a dummy.
    """
    thickest = _thickest(tier, components)
    if thickest is None:
        return None
    line = _from_the_oven(components[thickest.component], thickest, tier.outline, made)
    return replace(line, tier=tier.number, name=tier.name)


@lru_cache(maxsize=256)
def _from_the_oven(sponge: Component, layer: Layer, outline: Outline, made: tuple[Stay, ...]) -> LayerLine:
    walker = _out_of_the_oven(sponge, layer, outline)
    for stay in made:
        walker.walk(stay)
    line = walker.line()
    return LayerLine(
        tier=0,
        name="",
        hours=tuple(hour - line.hours[-1] for hour in line.hours),
        centre_c=line.centre.celsius,
        warmest_c=line.warmest.celsius,
        mean_c=line.mean.celsius,
    )


def _thickest(tier: TierToKeep, components: dict[str, Component]) -> Layer | None:
    sponges = [x for x in tier.layers if x.component != FOAM_KEY and components[x.component].kind == "sponge"]
    return max(sponges, key=lambda one: one.thickness_mm, default=None)


def _out_of_the_oven(sponge: Component, layer: Layer, outline: Outline) -> Walker:
    walker = Walker(TierToKeep(number=0, name="", outline=outline, layers=(layer,)), {sponge.key: sponge})
    walker.begin(Start(sponge_c=OUT_OF_THE_OVEN_C, filling_c=OUT_OF_THE_OVEN_C, coat_c=OUT_OF_THE_OVEN_C))
    return walker


@dataclass(frozen=True, slots=True, kw_only=True)
class TierTimes:
    """How long a whole coated tier takes: to freeze, to thaw in the fridge, to warm until it is fit to eat. [h]"""

    tier: int
    name: str
    to_freeze_h: float | None
    to_thaw_h: float | None
    to_eat_h: float | None


def tier_times(
    tier: TierToKeep,
    components: dict[str, Component],
    *,
    room_c: float = 21.0,
    fridge_c: float = 4.0,
    freezer_c: float = -18.0,
    altitude_m: float = 0.0,
) -> TierTimes:
    """
    Times of a whole tier: from the fridge to frozen, from frozen to thawed in the fridge, from the fridge to eaten.

    Parameters
    ----------
    tier, components
        The tier and its materials.
    room_c, fridge_c, freezer_c
        [C]
    altitude_m
        Of the kitchen, above the sea. [m]

    Returns
    -------
    times
        None for what is not reached in two days.
    """
    walker = Walker(replace(tier, on_tier=False, open_top=1.0), components)
    walker.begin(Start(sponge_c=fridge_c, filling_c=fridge_c, coat_c=fridge_c))
    warm = walker.copy()
    eat_c, freeze_c, thaw_c = threshold("eat_c"), threshold("freeze_c"), threshold("thaw_c")
    freeze = walker.walk_until(
        _conditions(Place.FREEZER, freezer_c, 0.8, altitude_m), WARMEST, freeze_c, _LONGEST_H, falls=True
    )
    thaw = None
    if freeze is not None:
        thaw = walker.walk_until(
            _conditions(Place.FRIDGE, fridge_c, 0.8, altitude_m, "wrap"), COLDEST, thaw_c, _LONGEST_H, falls=False
        )
    eat = warm.walk_until(_conditions(Place.BENCH, room_c, 0.5, altitude_m, "card_box"), MEAN, eat_c, 24.0, falls=False)
    return TierTimes(tier=tier.number, name=tier.name, to_freeze_h=freeze, to_thaw_h=thaw, to_eat_h=eat)
