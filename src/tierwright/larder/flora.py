"""Flowers and leaves by botanical name: which may be eaten, which not; the unknown never may."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.larder.finding import normalise
from tierwright.larder.tables import rows, source_of, split
from tierwright.working import Source


class FlowerStatus(StrEnum):
    """What the sources say; all but the first are kept off food."""

    EDIBLE = "edible"  # the named part, grown and sold as food
    CONFLICT = "conflict"  # sources disagree, or its safety is undocumented
    NOT_FOOD = "not food"
    POISONOUS = "poisonous"


@dataclass(frozen=True, slots=True, kw_only=True)
class Flower:
    """
    A plant that people put on cakes.

    Attributes
    ----------
    key, name, also
        Name in files, common name, and other common names.
    botanical
        Botanical name; common names mislead.
    status
        What the sources say. Even an edible one is food only if it was grown and sold as food: florists', garden
        centre and roadside flowers are not.
    part
        The part that is eaten.
    note
        Allergy, look-alikes, what to cut off.
    source
        Who says so.
    """

    key: str
    name: str
    also: tuple[str, ...]
    botanical: str
    status: FlowerStatus
    part: str
    note: str
    source: Source

    @property
    def may_touch_food(self) -> bool:
        """Whether it may touch the cake at all, once bought as food."""
        return self.status is FlowerStatus.EDIBLE


@cache
def flowers() -> Mapping[str, Flower]:
    """Return the flowers by key."""
    return MappingProxyType(
        {
            row["key"]: Flower(
                key=row["key"],
                name=row["name"],
                also=split(row["also"]),
                botanical=row["botanical"],
                status=FlowerStatus(row["status"]),
                part=row["part"],
                note=row["note"],
                source=source_of(row),
            )
            for row in rows("flowers.csv")
        }
    )


def flower(key: str) -> Flower:
    """
    Return one flower by its key.

    Raises
    ------
    UnknownName
        No flower has this key; an unknown flower is never food.
    """
    table = flowers()
    if key not in table:
        raise UnknownName("flower", key, tuple(table))
    return table[key]


@cache
def flower_names() -> Mapping[str, Flower]:
    """
    Return every common and botanical name, normalised, with its flower.

    Raises
    ------
    ValueError
        Two flowers claim one name; the tests walk every row.
    """
    found: dict[str, Flower] = {}
    for item in flowers().values():
        for name in (item.key.replace("_", " "), item.name, item.botanical, *item.also):
            plain = normalise(name)
            if found.setdefault(plain, item) is not item:
                raise ValueError(f"{name!r} names both {found[plain].key} and {item.key}")
    return MappingProxyType(found)


def find_flower(text: str) -> Flower | None:
    """Return the flower with this common or botanical name, plural or not; None if the larder does not know it."""
    return flower_names().get(normalise(text))
