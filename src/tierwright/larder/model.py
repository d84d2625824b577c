"""What an ingredient is: its names, measures, allergens, diet and keeping."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.errors import UnknownName
from tierwright.larder.composition import Composition
from tierwright.units import CUP_ML, TABLESPOON_ML, TEASPOON_ML, Measures
from tierwright.working import Estimate, Source

VOLUME_ML = {
    "cup": CUP_ML[Measures.US],
    "tbsp": TABLESPOON_ML[Measures.US],
    "tsp": TEASPOON_ML[Measures.US],
}
"""Volume of the three US measures that the table of household weights uses. [ml]"""


class Group(StrEnum):
    """Shelf of the larder on which an ingredient stands."""

    FLOUR = "flour"
    STARCH = "starch"
    SUGAR = "sugar"
    SYRUP = "syrup"
    BUTTER = "butter"
    FAT = "fat"
    DAIRY = "dairy"
    EGG = "egg"
    LEAVENER = "leavener"
    CHOCOLATE = "chocolate"
    COCOA = "cocoa"
    NUT = "nut"
    SEED = "seed"
    FRUIT = "fruit"
    DRIED_FRUIT = "dried fruit"
    PRESERVE = "preserve"
    VEGETABLE = "vegetable"
    SPICE = "spice"
    FLAVOURING = "flavouring"
    COLOUR = "colour"
    GELLING = "gelling agent"
    ALCOHOL = "alcohol"
    PLANT = "plant substitute"
    CONFECTION = "confection"
    DRINK = "drink"
    BISCUIT = "biscuit"
    ADDITIVE = "additive"


class Allergen(StrEnum):
    """Allergens, each nut and cereal by itself, so that every jurisdiction's list can be drawn from them."""

    MILK = "milk"
    EGG = "egg"
    WHEAT = "wheat"
    RYE = "rye"
    BARLEY = "barley"
    OATS = "oats"
    PEANUT = "peanut"
    SOY = "soy"
    SESAME = "sesame"
    ALMOND = "almond"
    HAZELNUT = "hazelnut"
    WALNUT = "walnut"
    CASHEW = "cashew"
    PECAN = "pecan"
    BRAZIL_NUT = "brazil nut"
    PISTACHIO = "pistachio"
    MACADAMIA = "macadamia"
    PINE_NUT = "pine nut"
    COCONUT = "coconut"
    CHESTNUT = "chestnut"
    FISH = "fish"
    CRUSTACEAN = "crustacean"
    MOLLUSC = "mollusc"
    CELERY = "celery"
    MUSTARD = "mustard"
    LUPIN = "lupin"
    SULPHITES = "sulphites"


GLUTEN_CEREALS = frozenset({Allergen.WHEAT, Allergen.RYE, Allergen.BARLEY, Allergen.OATS})
"""Cereals containing gluten, EU Regulation 1169/2011, Annex II, item 1."""


class Answer(StrEnum):
    """Yes, no, or only the supplier knows: unknown is never a no."""

    YES = "yes"
    NO = "no"
    ASK = "ask"


class Store(StrEnum):
    """Where an ingredient is kept."""

    CUPBOARD = "cupboard"
    FRIDGE = "fridge"
    FREEZER = "freezer"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """
    What one household measure of an ingredient weighs.

    Attributes
    ----------
    unit
        ``cup``, ``tbsp``, ``tsp`` (US volumes, level), or a piece: ``each``, ``stick``, ``fruit``, ``sheet`` ...
    way
        How it is measured or what piece it is: ``spooned``, ``dipped``, ``sifted``, ``packed``, ``large`` ...; empty
        where there is only one way.
    grams
        Weight of one, with its likely range. [g]
    source
        Where the weight comes from.
    """

    unit: str
    way: str
    grams: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """
    How long an ingredient keeps as a rule; its own date mark and the local food code go first.

    Attributes
    ----------
    store, unopened_days
        Where it is kept unopened, and for how long. [days]
    opened_store, opened_days
        The same once it is open. [days]
    source
        Where the spans come from.
    """

    store: Store
    unopened_days: Estimate
    opened_store: Store
    opened_days: Estimate
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """
    A part of a compound ingredient.

    Attributes
    ----------
    key
        Ingredient of the larder that the part is.
    share
        Usual share that goes in, by mass of the finished compound, 0 to 1; None where only the supplier knows. What
        is boiled down can add up to more than one.
    ask
        Whether the part is there at all only the supplier knows.
    """

    key: str
    share: float | None
    ask: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Ingredient:
    """
    One ingredient of the larder.

    Attributes
    ----------
    key
        Name in files and code, such as ``cake_flour``.
    name_us, name_uk
        What a maker calls it in the United States and in Britain.
    group
        Shelf of the larder.
    aliases
        Other names, unique over the whole larder once normalised.
    liquid
        Whether it pours at room temperature.
    proximate
        Whether the analysis is meant to add up to 100 g (a raising agent's is not).
    composition
        Composition of 100 g.
    filled
        Fields of the composition that a stated rule filled, or another source set, where the source is silent or
        unfit.
    measures
        Household measures; the first of a unit is the usual way.
    label_us, label_eu
        Names for a US and an EU or UK ingredient list.
    contains
        Allergens that are certainly there.
    ask_about
        Allergens that are often in foods of this kind, as a part or by contact: only the supplier's label settles it.
    ask_supplier
        Whether the label of the very packet must be read before anything is declared absent.
    ask_reason
        Why, in one sentence; empty where nothing needs asking.
    vegan, vegetarian
        Whether vegans and vegetarians may eat it.
    diet_reason
        Why not, or what to ask; empty for a plain yes.
    keeping
        How long it keeps.
    components
        Parts of a compound ingredient, in descending order of mass; empty for a single food.
    ndb
        NDB number in USDA SR28, or an empty string.
    source
        Where the composition comes from.
    note
        What else a maker should know, such as crystal size.
    """

    key: str
    name_us: str
    name_uk: str
    group: Group
    aliases: tuple[str, ...]
    liquid: bool
    proximate: bool
    composition: Composition
    filled: tuple[str, ...]
    measures: tuple[Measure, ...]
    label_us: str
    label_eu: str
    contains: tuple[Allergen, ...]
    ask_about: tuple[Allergen, ...]
    ask_supplier: bool
    ask_reason: str
    vegan: Answer
    vegetarian: Answer
    diet_reason: str
    keeping: Keeping
    components: tuple[Component, ...]
    ndb: str
    source: Source
    note: str

    @property
    def dry_matter_g(self) -> float:
        """Everything that is neither water nor alcohol. [g/100 g]"""
        return 100.0 - self.composition.water_g - self.composition.alcohol_g

    @property
    def has_gluten(self) -> bool:
        """Whether it certainly holds a cereal with gluten."""
        return any(allergen in GLUTEN_CEREALS for allergen in self.contains)

    @property
    def density_g_per_ml(self) -> Estimate | None:
        """Mass of a level millilitre measured the usual way; None where no volume weight is known. [g/ml]"""
        for measure in self.measures:
            if measure.unit in VOLUME_ML:
                return measure.grams * (1 / VOLUME_ML[measure.unit])
        return None

    def ways(self, unit: str) -> tuple[str, ...]:
        """Return the ways in which this unit is measured, the usual one first."""
        return tuple(measure.way for measure in self.measures if measure.unit == unit)

    def measure(self, unit: str, way: str = "") -> Measure:
        """
        Return the weight of one household measure.

        Parameters
        ----------
        unit
            ``cup``, ``tbsp``, ``tsp``, ``each``, ``stick`` ...
        way
            How it is measured; empty for the usual way.

        Raises
        ------
        UnknownName
            This ingredient has no weight for the unit, or none for the way.
        """
        fitting = [measure for measure in self.measures if measure.unit == unit]
        if not fitting:
            known = tuple(dict.fromkeys(measure.unit for measure in self.measures))
            raise UnknownName(f"measure of {self.name_us}", unit, known)
        if not way:
            return fitting[0]
        for measure in fitting:
            if measure.way == way:
                return measure
        raise UnknownName(f"way to measure a {unit} of {self.name_us}", way, [measure.way for measure in fitting])
