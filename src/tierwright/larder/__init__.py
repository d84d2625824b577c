"""What is there: ingredients, pans, boards, supports and flowers, each row with its source."""

from tierwright.larder.composition import PARTS, Composition, blend
from tierwright.larder.finding import How, Match, find, normalise
from tierwright.larder.ingredients import ingredient, ingredients
from tierwright.larder.model import (
    GLUTEN_CEREALS,
    VOLUME_ML,
    Allergen,
    Answer,
    Component,
    Group,
    Ingredient,
    Keeping,
    Measure,
    Store,
)

__all__ = [
    "GLUTEN_CEREALS",
    "PARTS",
    "VOLUME_ML",
    "Allergen",
    "Answer",
    "Component",
    "Composition",
    "Group",
    "How",
    "Ingredient",
    "Keeping",
    "Match",
    "Measure",
    "Store",
    "blend",
    "find",
    "ingredient",
    "ingredients",
    "normalise",
]
