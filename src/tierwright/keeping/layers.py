"""How long a layer, or a whole tier, takes to cool, freeze, thaw and warm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from tierwright.keeping.bodies import FOAM_KEY
from tierwright.keeping.line import Start, Walker
from tierwright.keeping.model import Component, Place, Stay, TierToKeep
from tierwright.keeping.tables import threshold

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


def _conditions(place: Place, air_c: float, humidity: float, cover: str = "") -> Stay:
    return Stay(
        place=place,
        name=place.value,
        begins=_BEGIN,
        ends=_BEGIN + timedelta(hours=_LONGEST_H),
        air_c=air_c,
        humidity=humidity,
        cover=cover,
    )


def layer_times(
    tier: TierToKeep,
    components: dict[str, Component],
    *,
    room_c: float = 21.0,
    fridge_c: float | None = 4.0,
    freezer_c: float | None = -18.0,
) -> LayerTimes | None:
    """
    Times of the thickest layer of a tier.

    Parameters
    ----------
    tier, components
        The tier and its materials.
    room_c, fridge_c, freezer_c
        Of the kitchen and its cold places. [C]; None where there is none

    Returns
    -------
    times
        None for a dummy. A time that is not reached in two days is None.

    Notes
    -----
    Steam that leaves a hot layer cools it too; it is left out, so a layer may be ready up to a fifth earlier.
    """
    sponges = [x for x in tier.layers if x.component != FOAM_KEY and components[x.component].kind == "sponge"]
    if not sponges:
        return None
    thickest = max(sponges, key=lambda one: one.thickness_mm)
    alone = replace(tier, layers=(thickest,), coat="", coat_mm=0.0, open_top=1.0, on_tier=False)
    walker = Walker(alone, components)
    walker.begin(Start(sponge_c=OUT_OF_THE_OVEN_C, filling_c=OUT_OF_THE_OVEN_C, coat_c=OUT_OF_THE_OVEN_C))
    fill_c, chill_c, freeze_c, thaw_c = (threshold(key) for key in ("fill_c", "chill_c", "freeze_c", "thaw_c"))
    to_fill = walker.walk_until(
        _conditions(Place.RACK, room_c, 0.5), lambda w: w.now["warmest"] <= max(fill_c, room_c + 1.0), 12.0
    )
    hours = tuple(record[0] for record in walker.records)
    warmest = tuple(record[6] for record in walker.records)
    cooled = walker.copy()
    chill = thaw = freeze = None
    if fridge_c is not None:
        chill = walker.walk_until(
            _conditions(Place.FRIDGE, fridge_c, 0.8, "wrap"), lambda w: w.now["warmest"] <= chill_c, _LONGEST_H
        )
    if freezer_c is not None:
        freeze = cooled.walk_until(
            _conditions(Place.FREEZER, freezer_c, 0.8), lambda w: w.now["warmest"] <= freeze_c, _LONGEST_H
        )
        if freeze is not None:
            thaw = cooled.walk_until(
                _conditions(Place.FRIDGE, 4.0 if fridge_c is None else fridge_c, 0.8, "wrap"),
                lambda w: w.now["coldest"] >= thaw_c,
                _LONGEST_H,
            )
    return LayerTimes(
        tier=tier.number,
        name=tier.name,
        to_fill_h=to_fill,
        to_chill_h=chill,
        to_freeze_h=freeze,
        to_thaw_h=thaw,
        hours=hours,
        warmest_c=warmest,
    )


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
) -> TierTimes:
    """
    Times of a whole tier: from the fridge to frozen, from frozen to thawed in the fridge, from the fridge to eaten.

    Parameters
    ----------
    tier, components
        The tier and its materials.
    room_c, fridge_c, freezer_c
        [C]

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
        _conditions(Place.FREEZER, freezer_c, 0.8), lambda w: w.now["warmest"] <= freeze_c, _LONGEST_H
    )
    thaw = None
    if freeze is not None:
        thaw = walker.walk_until(
            _conditions(Place.FRIDGE, fridge_c, 0.8, "wrap"), lambda w: w.now["coldest"] >= thaw_c, _LONGEST_H
        )
    eat = warm.walk_until(_conditions(Place.BENCH, room_c, 0.5, "card_box"), lambda w: w.now["mean"] >= eat_c, 24.0)
    return TierTimes(tier=tier.number, name=tier.name, to_freeze_h=freeze, to_thaw_h=thaw, to_eat_h=eat)
