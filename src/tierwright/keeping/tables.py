"""The room's tables: limits, clocks, covers, places and kinds of component; every row names its source."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

from tierwright.errors import UnknownName
from tierwright.working import Basis, Estimate, Source


@cache
def rows(name: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of one table of the room's data, as text."""
    text = files("tierwright.keeping").joinpath(f"data/{name}.csv").read_text(encoding="utf-8")
    return tuple(MappingProxyType(row) for row in csv.DictReader(text.splitlines()))


def row(name: str, column: str, key: str, kind: str = "") -> Mapping[str, str]:
    """
    Return the row whose column holds a key.

    Raises
    ------
    UnknownName
        No such row; the nearest are named.
    """
    for one in rows(name):
        if one[column] == key:
            return one
    raise UnknownName(kind or name, key, [one[column] for one in rows(name)])


def source_of(one: Mapping[str, str]) -> Source:
    """Return the source that a row names."""
    return Source(basis=Basis(one["basis"]), text=one.get("source", ""))


def legal_source(one: Mapping[str, str]) -> Source:
    """Return the document, edition, section and date that a legal row names."""
    text = f"{one['document']} {one['edition']}, {one['section']}; as of {one['date']}"
    return Source(basis=Basis(one["basis"]), text=text)


@cache
def threshold(key: str) -> float:
    """Return one threshold of the line, in the unit that its row gives."""
    return float(row("thresholds", "key", key, "threshold")["value"])


@dataclass(frozen=True, slots=True, kw_only=True)
class ComponentKind:
    """
    What a kind of component is like to keep.

    Attributes
    ----------
    kind
        Key: ``sponge``, or a kind of the coating tables.
    ph
        Likely acidity. [-]
    is_chilled
        Whether custom keeps it cold unless a measurement says otherwise.
    why
        The reason of the custom.
    cooked
        ``cooked``, ``baked`` or ``no``: which cooling rule applies.
    room_days, fridge_days, freezer_days
        How long it keeps at its best; None where it is not kept so. [d]
    freezes
        ``well``, ``may weep`` or ``badly``; empty for what is not food.
    thaw_note
        What thawing asks for.
    source
        Where the acidity and the spans come from.
    """

    kind: str
    ph: Estimate
    is_chilled: bool
    why: str
    cooked: str
    room_days: float | None
    fridge_days: float | None
    freezer_days: float | None
    freezes: str
    thaw_note: str
    source: Source


@cache
def component_kind(kind: str) -> ComponentKind:
    """
    Return what a kind of component is like to keep.

    Raises
    ------
    UnknownName
        No such kind.
    """
    one = row("components", "kind", kind, "kind of component")

    def days(column: str) -> float | None:
        return float(one[column]) if one[column] else None

    return ComponentKind(
        kind=kind,
        ph=Estimate(value=float(one["ph"]), low=float(one["ph_low"]), high=float(one["ph_high"])),
        is_chilled=one["custom"] == "chill",
        why=one["why"],
        cooked=one["cooked"],
        room_days=days("room_days"),
        fridge_days=days("fridge_days"),
        freezer_days=days("freezer_days"),
        freezes=one["freezes"],
        thaw_note=one["thaw_note"],
        source=source_of(one),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What is round a cake: its resistance to heat, whether it keeps vapour and sun off. [m2 K/W]"""

    key: str
    name: str
    resistance_m2k_w: Estimate
    is_sealed: bool
    shades: bool
    source: Source


@cache
def cover(key: str) -> Cover:
    """
    Return one cover by its key: none, wrap, dome, card_box, lined_box, foam_box.

    Raises
    ------
    UnknownName
        No such cover.
    """
    one = row("covers", "key", key, "cover")
    return Cover(
        key=key,
        name=one["name"],
        resistance_m2k_w=Estimate(value=float(one["resistance_m2k_w"]), low=float(one["low"]), high=float(one["high"])),
        is_sealed=one["sealed"] == "yes",
        shades=one["shades"] == "yes",
        source=source_of(one),
    )


@cache
def base_resistance_m2k_w(key: str) -> float:
    """Return the resistance under a cake that stands on something. [m2 K/W]"""
    return float(row("bases", "key", key, "base")["resistance_m2k_w"])


@dataclass(frozen=True, slots=True, kw_only=True)
class SunLight:
    """Sunlight of a place: on the flat [W/m2], and shares of it on a round wall and on the side that faces it."""

    horizontal_w_m2: float
    side_share: float
    facing_share: float
    radiant_offset_k: float


@cache
def sun_light(key: str) -> SunLight:
    """
    Return the light of a place: none, shade or full.

    Raises
    ------
    UnknownName
        No such light.
    """
    one = row("sun", "key", key, "light")
    return SunLight(
        horizontal_w_m2=float(one["horizontal_w_m2"]),
        side_share=float(one["side_share"]),
        facing_share=float(one["facing_share"]),
        radiant_offset_k=float(one["radiant_offset_k"]),
    )


@cache
def absorptance(colour: str) -> float:
    """Return the share of sunlight that a coat of a colour (white, pale, medium, dark) keeps. [-]"""
    return float(row("absorptance", "colour", colour, "colour of coat")["absorptance"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """
    A rule of time out of temperature control.

    Attributes
    ----------
    key, jurisdiction, title
        Which rule.
    above_c
        Time counts above this. [C]
    hours
        How much time there is. [h]
    highest_c
        Never warmer than this, or the rule does not hold; None for no such limit. [C]
    needs_cold_start
        Whether the food must stand at or below ``above_c`` when it leaves control.
    single
        Whether only one period out of control is allowed.
    source
        Document, edition, section, date.
    """

    key: str
    jurisdiction: str
    title: str
    above_c: float
    hours: float
    highest_c: float | None
    needs_cold_start: bool
    single: bool
    source: Source


@cache
def clocks(jurisdiction: str) -> tuple[Clock, ...]:
    """
    Return the clocks of a jurisdiction: US, UK, EU, CA, AU-NZ.

    Raises
    ------
    UnknownName
        No clock for it.
    """
    found = tuple(
        Clock(
            key=one["key"],
            jurisdiction=one["jurisdiction"],
            title=one["title"],
            above_c=float(one["above_c"]),
            hours=float(one["hours"]),
            highest_c=float(one["highest_c"]) if one["highest_c"] else None,
            needs_cold_start=one["start_cold"] == "yes",
            single=one["single"] == "yes",
            source=legal_source(one),
        )
        for one in rows("clocks")
        if one["jurisdiction"] == jurisdiction
    )
    if not found:
        raise UnknownName("jurisdiction", jurisdiction, sorted({one["jurisdiction"] for one in rows("clocks")}))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingRule:
    """A rule of cooling: from one temperature to another within so many hours, for what it applies. [C], [h]"""

    key: str
    jurisdiction: str
    title: str
    applies_to: str
    from_c: float
    to_c: float
    hours: float
    source: Source


@cache
def cooling_rules(jurisdiction: str) -> tuple[CoolingRule, ...]:
    """Return the cooling rules of a jurisdiction; none where the law gives no numbers."""
    return tuple(
        CoolingRule(
            key=one["key"],
            jurisdiction=one["jurisdiction"],
            title=one["title"],
            applies_to=one["applies_to"],
            from_c=float(one["from_c"]),
            to_c=float(one["to_c"]),
            hours=float(one["hours"]),
            source=legal_source(one),
        )
        for one in rows("cooling")
        if one["jurisdiction"] == jurisdiction
    )


@cache
def cold_holding(jurisdiction: str) -> tuple[float, Source]:
    """Return the temperature at or below which chilled food is held [C], and the rule."""
    one = row("holding", "key", f"{jurisdiction.split('-')[0].lower()}_cold", "jurisdiction")
    return float(one["limit_c"]), legal_source(one)
