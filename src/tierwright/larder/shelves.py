"""The table of ingredients, loaded once."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.larder.composition import PARTS, Composition
from tierwright.larder.model import Allergen, Answer, Component, Group, Ingredient, Keeping, Measure, Store
from tierwright.larder.tables import Row, estimate, number, rows, source, source_of, split, yes


@cache
def ingredients() -> Mapping[str, Ingredient]:
    """Return every ingredient of the larder by its key, in the order of the table."""
    weights: dict[str, list[Measure]] = {}
    for row in rows("measures.csv"):
        weights.setdefault(row["ingredient"], []).append(
            Measure(unit=row["unit"], way=row["way"], grams=estimate(row, "grams"), source=source_of(row))
        )
    table = {row["key"]: _ingredient(row, tuple(weights.get(row["key"], ()))) for row in rows("ingredients.csv")}
    return MappingProxyType(table)


def ingredient(key: str) -> Ingredient:
    """
    Return one ingredient by its key.

    Raises
    ------
    UnknownName
        No ingredient has this key; the nearest are named.
    """
    table = ingredients()
    if key not in table:
        raise UnknownName("ingredient", key, tuple(table))
    return table[key]


def _ingredient(row: Row, measures: tuple[Measure, ...]) -> Ingredient:
    return Ingredient(
        key=row["key"],
        name_us=row["name_us"],
        name_uk=row["name_uk"],
        group=Group(row["group"]),
        aliases=split(row["aliases"]),
        liquid=yes(row["liquid"]),
        proximate=yes(row["proximate"]),
        composition=Composition(**{part: number(row[part]) for part in PARTS}),  # type: ignore[arg-type]
        filled=split(row["filled"]),
        measures=measures,
        label_us=row["label_us"],
        label_eu=row["label_eu"],
        contains=tuple(Allergen(name) for name in split(row["contains"])),
        ask_about=tuple(Allergen(name) for name in split(row["ask_about"])),
        ask_supplier=yes(row["ask_supplier"]),
        ask_reason=row["ask_reason"],
        vegan=Answer(row["vegan"]),
        vegetarian=Answer(row["vegetarian"]),
        diet_reason=row["diet_reason"],
        keeping=Keeping(
            store=Store(row["store"]),
            unopened_days=estimate(row, "unopened_days"),
            opened_store=Store(row["opened_store"]),
            opened_days=estimate(row, "opened_days"),
            source=source(row["keeping_basis"], row["keeping_source"]),
        ),
        components=tuple(_component(text) for text in split(row["components"])),
        ndb=row["ndb"],
        source=source_of(row),
        note=row["note"],
    )


def _component(text: str) -> Component:
    """Read ``key=0.4`` (its share), ``key`` (share unknown) or ``key?`` (whether it is there is unknown)."""
    ask = text.endswith("?")
    key, _, share = text.rstrip("?").partition("=")
    return Component(key=key, share=float(share) if share else None, ask=ask)
