"""What a new lot changes on the labels of every open commission that uses it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from tierwright.brief.commission import Jurisdiction
from tierwright.label.card import MARK_WORDS
from tierwright.label.labelling import label_cake
from tierwright.label.model import Labels, Presence, UnitLabel
from tierwright.label.order import BrandLot, LabelOrder
from tierwright.label.rules import allergen_list
from tierwright.larder import ingredients


@dataclass(frozen=True, slots=True, kw_only=True)
class LotChange:
    """
    One thing that a new lot changes.

    Attributes
    ----------
    commission, unit
        Whose label, and of which cake.
    what
        ``allergen``, ``way``, ``ingredients``, ``statement``, ``vegan`` or ``nutrition``.
    before, after
        As it was, and as it is now, in words.
    is_worse
        Whether a guest could be hurt by the old label.
    """

    commission: str
    unit: str
    what: str
    before: str
    after: str
    is_worse: bool


def recheck(
    orders: Mapping[str, LabelOrder], before: Sequence[BrandLot], after: Sequence[BrandLot]
) -> tuple[LotChange, ...]:
    """
    Return what changing lots changes on every open commission that uses them, the dangerous first.

    Parameters
    ----------
    orders
        Open commissions by their key; their own lots are left aside.
    before, after
        All packets as they were recorded, and as they are now.

    Returns
    -------
    changes
        Empty where nothing on any label changes.
    """
    touched = {lot.ingredient for lot in set(before) ^ set(after)}
    changes: list[LotChange] = []
    for name, order in orders.items():
        used = {used.ingredient for component in order.components for used in component.used}
        if not touched & _with_parts(used):
            continue
        old = label_cake(replace(order, lots=tuple(before)))
        new = label_cake(replace(order, lots=tuple(after)))
        changes += differences(name, old, new)
    return tuple(sorted(changes, key=lambda change: not change.is_worse))


def differences(commission: str, old: Labels, new: Labels) -> tuple[LotChange, ...]:
    """
    Return what differs between two labellings of one commission, the dangerous first.

    Parameters
    ----------
    commission
        Its key.
    old, new
        As it was labelled, and as it is now.
    """
    changes: list[LotChange] = []
    for was, now in zip((*old.units, old.whole), (*new.units, new.whole), strict=True):
        changes += _differences(commission, was, now, new.jurisdiction)
        changes += _ways(commission, now, old, new)
    return tuple(sorted(changes, key=lambda change: not change.is_worse))


def _with_parts(keys: Iterable[str]) -> set[str]:
    """Return ingredients with all the parts of compound ones: a lot of a part touches the whole."""
    found: set[str] = set()
    waiting = list(keys)
    while waiting:
        key = waiting.pop()
        if key not in found:
            found.add(key)
            waiting += [piece.key for piece in ingredients()[key].components]
    return found


def _differences(commission: str, was: UnitLabel, now: UnitLabel, place: Jurisdiction) -> list[LotChange]:
    listed = allergen_list(place)
    changes: list[LotChange] = []

    def changed(what: str, before: str, after: str, is_worse: bool = False) -> None:
        if before != after:
            changes.append(
                LotChange(commission=commission, unit=now.key, what=what, before=before, after=after, is_worse=is_worse)
            )

    for (allergen, old), (_, new) in zip(was.marks, now.marks, strict=True):
        word = listed[allergen].word
        changed("allergen", f"{word}: {MARK_WORDS[old]}", f"{word}: {MARK_WORDS[new]}", is_worse=new > old)
    changed("ingredients", was.declaration.text, now.declaration.text)
    changed("statement", was.declaration.contains, now.declaration.contains)
    changed("statement", was.declaration.may_contain, now.declaration.may_contain)
    if was.french is not None and now.french is not None:
        changed("ingredients", was.french.text, now.french.text)
    changed("vegan", was.vegan.value, now.vegan.value)
    for old_row, new_row in zip(was.panel.rows, now.panel.rows, strict=True):
        changed("nutrition", f"{old_row.label} {old_row.cells[0]}", f"{new_row.label} {new_row.cells[0]}")
    return changes


def _ways(commission: str, unit: UnitLabel, old: Labels, new: Labels) -> list[LotChange]:
    """Return the ways that a packet now tells of, or no longer does, even where another packet is still unread."""
    before, after = _told(unit, old), _told(unit, new)
    gone = [words for way, words in before.items() if way not in after]
    come = [words for way, words in after.items() if way not in before]
    return [
        LotChange(commission=commission, unit=unit.key, what="way", before=one, after=other, is_worse=False)
        for one, other in (*((words, "") for words in gone), *(("", words) for words in come))
    ]


def _told(unit: UnitLabel, labels: Labels) -> dict[tuple[str, ...], str]:
    """Return what packets tell of a cake, in words by what it is; the same told by another lot is nothing new."""
    listed = allergen_list(labels.jurisdiction)
    told: dict[tuple[str, ...], str] = {}
    for trace in labels.traces:
        known = trace.lot and trace.presence in (Presence.MAY, Presence.PRESENT)
        if trace.path[0] == unit.name and known and trace.allergen in listed and trace.allergen is not None:
            said = f"{listed[trace.allergen].word}: {MARK_WORDS[trace.presence]}, by {trace.path[-1]}"
            told.setdefault((said,), f"{said}, lot {trace.lot}")
    return told
