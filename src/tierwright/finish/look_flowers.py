"""Which of a few plain forms a flower is drawn in."""

from __future__ import annotations

from enum import StrEnum
from typing import Final


class Bloom(StrEnum):
    """How a flower is built, as far as a picture of the whole cake shows it."""

    CUPPED = "cupped"  # petals wound round the middle
    RAYS = "rays"  # narrow petals round a raised eye
    FIVE = "five"  # five round petals
    FACED = "faced"  # two petals above, two beside, one below
    LEAF = "leaf"


FORMS: Final[dict[Bloom, tuple[str, ...]]] = {
    Bloom.CUPPED: (
        "rose", "peony", "ranunculus", "camellia", "carnation", "lisianthus", "tulip", "pink", "dahlia", "hollyhock",
    ),
    Bloom.RAYS: (
        "daisy", "chamomile", "calendula", "marigold", "cornflower", "aster", "sunflower", "chrysanthemum", "dandelion",
        "gerbera", "echinacea", "chicory", "anise hyssop", "bee balm",
    ),
    Bloom.FACED: ("viola", "violet", "pansy", "pansies", "heartsease", "johnny-jump-up"),
    Bloom.LEAF: (
        "leaf", "leaves", "mint", "fern", "rosemary", "eucalyptus", "ivy", "sage leaf", "bay", "olive", "thyme",
    ),
}  # fmt: skip
"""Words of a species that tell its form, from memory; every other flower is drawn with five petals."""


def bloom_of(species: str) -> Bloom:
    """Return the form in which a species is drawn, by the words of its name."""
    named = species.casefold()
    words = set(named.replace(",", " ").split())
    words |= {word.removesuffix("s") for word in words}
    for form, names in FORMS.items():
        if any(name in named if " " in name or "-" in name else name in words for name in names):
            return form
    return Bloom.FIVE
