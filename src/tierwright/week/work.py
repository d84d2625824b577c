"""What one commission asks of the kitchen, as plain numbers; the only thing that tasks are made from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tierwright.working import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class MixWork:
    """
    One bowl of batter.

    Attributes
    ----------
    key, name, formula
        Its key, what it is called, and the formula's key.
    ingredients, pans
        Number of lines to weigh and of pans to fill.
    volume_ml
        Of the mix. [ml]
    bowl
        Name of the bowl that it was worked for; empty for any.
    wait_min
        How long the batter may wait for the oven. [min]
    """

    key: str
    name: str
    formula: str
    ingredients: int
    pans: int
    volume_ml: float
    bowl: str = ""
    wait_min: float = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWork:
    """
    One oven load.

    Attributes
    ----------
    key
        Its key.
    mixes
        Keys of the mixes in it.
    pans
        Layers in it.
    shelves
        Shelves that it takes.
    set_c
        Set point. [degC]
    minutes
        Time in the oven. [min]
    before_min
        Warming up before it. [min]
    largest_mm
        Widest pan. [mm]
    keep_out, brings
        Allergens that must stay out of it, and those that it brings and that must stay out of another load.
    """

    key: str
    mixes: tuple[str, ...]
    pans: int
    shelves: int
    set_c: int
    minutes: Estimate
    before_min: float = 0.0
    largest_mm: float = 200.0
    keep_out: tuple[str, ...] = ()
    brings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CreamWork:
    """
    A filling, cream, coat or syrup to make ahead.

    Attributes
    ----------
    key, name, formula, kind
        Its key, what it is called, the formula's key, and the formula's kind.
    grams
        To make. [g]
    bowl
        Name of the bowl; empty where it needs none.
    litres
        Room that it takes until it is used. [l]
    """

    key: str
    name: str
    formula: str
    kind: str
    grams: float
    bowl: str = ""
    litres: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TierWork:
    """
    One tier, or all plain cakes that are cut out of sight.

    Attributes
    ----------
    key, name
        Its key and what it is called.
    width_mm, height_mm
        Finished. [mm]
    count
        Number of like cakes.
    layers
        Layers in each.
    loads
        Keys of the loads that bake its layers; empty for a dummy.
    fillings, coats
        Keys of the creams that go into it and on it.
    coat_dm2
        Area to coat. [dm2]
    coat_factor
        Time of this finish over that of a plain smooth coat. [-]
    to_fill_min, to_freeze_min, to_thaw_min
        What its thickest layer takes from the oven until it may be filled, in the freezer until it is hard, and in the
        fridge until no ice is left; 0 where it has not been worked out. [min]
    """

    key: str
    name: str
    width_mm: float
    height_mm: float
    layers: int
    loads: tuple[str, ...]
    fillings: tuple[str, ...]
    coats: tuple[str, ...]
    coat_dm2: float
    count: int = 1
    coat_factor: float = 1.0
    to_fill_min: float = 0.0
    to_freeze_min: float = 0.0
    to_thaw_min: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadWork:
    """
    Flowers made or made ready before.

    Attributes
    ----------
    key, label
        Its key, and what is done.
    hands_min
        Hands' time. [min]
    dry_min, most_min
        How long they dry, drink or lie under weights before they are laid, at least and at most. [min]
    """

    key: str
    label: str
    hands_min: float
    dry_min: float
    most_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JobWork:
    """
    One commission as the week sees it.

    Attributes
    ----------
    key, title
        Its key and title.
    mixes, loads, creams, tiers
        What has to be mixed, baked, cooked and built.
    opens, closes
        When set-up or collection may begin, and when it must be over.
    collected
        Whether the client comes for it.
    travel_min
        One way to the venue. [min]
    wishes
        Things to put on at the end, each one piece of decorating.
    flowers
        Kinds of sugar flowers to make ahead.
    finish_min
        Piping, bands, drips, paint and leaf by the finish's own list. [min]
    ahead
        Flowers that are made before and dry until they are laid.
    long_ahead
        Flowers that are begun before the week is, such as pressed ones.
    hire
        Whether hire pieces are fetched back on a later day.
    contains
        Allergens, by formula: ``(formula, allergens)``.
    perhaps
        Allergens that nobody has said are absent, by formula: unknown is never read as absent.
    avoids
        Allergens that guests of this commission react to.
    order
        Formulas in the order of work with the fewest clean-downs.
    free
        What must not get into a formula in the making and is not in it anyway, by formula.
    """

    key: str
    title: str
    mixes: tuple[MixWork, ...]
    loads: tuple[LoadWork, ...]
    creams: tuple[CreamWork, ...]
    tiers: tuple[TierWork, ...]
    opens: datetime
    closes: datetime
    collected: bool = False
    travel_min: float = 0.0
    wishes: int = 1
    flowers: int = 0
    finish_min: float = 0.0
    ahead: tuple[AheadWork, ...] = ()
    long_ahead: tuple[AheadWork, ...] = ()
    hire: bool = False
    contains: tuple[tuple[str, tuple[str, ...]], ...] = ()
    perhaps: tuple[tuple[str, tuple[str, ...]], ...] = ()
    avoids: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    free: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def carries(self, formula: str) -> frozenset[str]:
        """Everything that a formula contains or may contain for all that is known."""
        return frozenset(
            one for key, allergens in (*self.contains, *self.perhaps) if key == formula for one in allergens
        )

    def all_allergens(self) -> frozenset[str]:
        """Everything that any part of it contains."""
        return frozenset(allergen for _, allergens in self.contains for allergen in allergens)

    def unsure_allergens(self) -> frozenset[str]:
        """Everything that some part of it may contain for all that is known."""
        return frozenset(allergen for _, allergens in self.perhaps for allergen in allergens)
