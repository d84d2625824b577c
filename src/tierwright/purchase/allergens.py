"""What the label of a pack or lot means for the commissions that it would go into."""

from __future__ import annotations

from collections.abc import Iterable

from tierwright.larder import Allergen
from tierwright.purchase.model import AllergenStatus, Item, Lot, Offer


def forbidden(source: Offer | Lot, item: Item, avoid: Iterable[Allergen]) -> tuple[Allergen, ...]:
    """
    Return the allergens that rule a pack or lot out for a commission.

    What the ingredient holds by its nature is a matter of the formula and is asked there; here counts what this very
    pack adds: by a part of its recipe, or by a "may contain".
    """
    there = {*source.contains, *source.may_contain} - set(item.contains)
    return tuple(allergen for allergen in avoid if allergen in there)


def unread(source: Offer | Lot, item: Item, avoid: Iterable[Allergen]) -> tuple[Allergen, ...]:
    """Return the allergens to be avoided that are common in foods of this kind while nobody has read this label."""
    if source.status is AllergenStatus.READ:
        return ()
    return tuple(allergen for allergen in avoid if allergen in item.ask_about)
