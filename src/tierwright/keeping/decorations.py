"""Flowers, dusts and metals: what may be eaten, what may only lie on the cake, what may not come near it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tierwright.keeping.tables import row, rows, source_of
from tierwright.larder import FlowerStatus, find_flower
from tierwright.working import Basis, Source

GROWN_FOR_FOOD = (
    "grown and sold as food: flowers from florists, garden centres and roadsides are never food, whatever the species"
)
FLOWER_SOURCE = Source(
    basis=Basis.PUBLISHED,
    text="North Carolina State Extension and Colorado State University Extension 7.237, edible flowers",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowerAdvice:
    """
    What to do with one flower.

    Attributes
    ----------
    asked
        As the brief calls it.
    botanical
        Its botanical name; empty for one that is not known.
    may_be_eaten
        Whether the named part is food once it was grown and sold as food.
    may_be_near
        Whether it may be on the cake at all, behind a barrier.
    part
        Part that is eaten.
    rule
        What to do, in one sentence.
    removal
        What whoever cuts the cake does first; empty where it is eaten.
    source
        Who says so.
    """

    asked: str
    botanical: str
    may_be_eaten: bool
    may_be_near: bool
    part: str
    rule: str
    removal: str
    source: Source


_BARRIER = "keep it off the cake by a food-safe barrier, its stem sealed in a food-grade pick, and take it off to cut"


def flower_advice(name: str) -> FlowerAdvice:
    """
    Advice for a flower by its common or botanical name.

    An unknown flower is not food, and one on which sources disagree is not allowed until somebody has settled it.

    References
    ----------
    .. [1] Colorado State University Extension 7.237; North Carolina State Extension HIL-8513; California Poison
       Control System; each flower's own row in the larder.
    """
    known = find_flower(name)
    removal = f"take {name} off, with its pick, before the cake is cut; count what went in and what came out"
    if known is None:
        return FlowerAdvice(
            asked=name, botanical="", may_be_eaten=False, may_be_near=False, part="",
            rule="its botanical name is not known here: not food, and not on the cake until the florist names it",
            removal=removal, source=FLOWER_SOURCE,
        )  # fmt: skip
    match known.status:
        case FlowerStatus.EDIBLE:
            rule, eaten, near, removal = (
                f"only the {known.part or 'petals'}, and only if {GROWN_FOR_FOOD}",
                True,
                True,
                "",
            )
        case FlowerStatus.CONFLICT:
            rule, eaten, near = (
                f"sources disagree, so it is not allowed; {_BARRIER} if the client insists",
                False,
                False,
            )
        case FlowerStatus.NOT_FOOD:
            rule, eaten, near = f"not food; {_BARRIER}", False, True
        case FlowerStatus.POISONOUS:
            rule, eaten, near = "poisonous: not on a cake, not even behind a barrier", False, False
    if known.note:
        rule = f"{rule}; {known.note}"
    return FlowerAdvice(
        asked=name,
        botanical=known.botanical,
        may_be_eaten=eaten,
        may_be_near=near,
        part=known.part,
        rule=rule,
        removal=removal,
        source=known.source,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DustAdvice:
    """What a dust, metal or prop is for: ``edible``, ``food contact only``, ``ask`` or ``never``, and what it needs."""

    key: str
    name: str
    use: str
    needs: str
    source: Source


def dust_table() -> tuple[DustAdvice, ...]:
    """Return every dust, metal and prop of the table."""
    return tuple(_dust(one["key"]) for one in rows("dusts"))


def dust_advice(key: str) -> DustAdvice:
    """
    Return one row of the table of dusts.

    Raises
    ------
    UnknownName
        The table holds no such dust; what is unknown is not edible.
    """
    return _dust(key)


def _dust(key: str) -> DustAdvice:
    one = row("dusts", "key", key, "dust or metal")
    return DustAdvice(key=key, name=one["name"], use=one["use"], needs=one["needs"], source=source_of(one))


def flowers_in(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Return the flowers that a brief's words on decoration name, each once, in the order of reading."""
    found: dict[str, str] = {}
    for text in texts:
        words = re.findall(r"[a-z']+", text.casefold())
        taken: set[int] = set()
        for size in (5, 4, 3, 2, 1):
            for i in range(len(words) - size + 1):
                places = set(range(i, i + size))
                if places & taken:
                    continue
                name = " ".join(words[i : i + size])
                known = find_flower(name)
                if known is not None:
                    found.setdefault(known.key, name)
                    taken |= places
    return tuple(found.values())


_SIGNS = {
    "edible glitter": "edible_dust", "edible dust": "edible_dust", "edible lustre": "edible_dust",
    "edible luster": "edible_dust", "petal dust": "nontoxic_dust", "lustre dust": "nontoxic_dust",
    "luster dust": "nontoxic_dust", "glitter": "craft_glitter", "gold leaf": "gold_leaf",
    "silver leaf": "silver_leaf", "imitation leaf": "imitation_leaf", "copper": "copper_powder",
    "dragees": "silver_dragees", "wafer": "rice_paper", "rice paper": "rice_paper", "wire": "floral_wire",
    "wired": "floral_wire", "ribbon": "ribbon", "skewer": "skewer",
}  # fmt: skip


def dusts_in(texts: tuple[str, ...]) -> tuple[DustAdvice, ...]:
    """Return the dusts, metals and props that a brief's words on decoration name; a doubtful word is taken warily."""
    found: dict[str, None] = {}
    for text in texts:
        left = text.casefold()
        for sign, key in _SIGNS.items():
            if re.search(rf"\b{sign}\b", left):
                left = left.replace(sign, " ")
                found.setdefault(key)
    return tuple(_dust(key) for key in found)
