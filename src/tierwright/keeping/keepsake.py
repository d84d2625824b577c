"""How a tier is kept for a year, if its fillings allow it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tierwright.keeping.layers import TierTimes
from tierwright.keeping.model import Safety

WRAP_STEPS = (
    "Take off every flower, pick, wire and support, and the board if it is damp.",
    "Freeze it unwrapped until the coat is hard, so that the film does not mark it.",
    "Wrap it twice in film and once in foil, box it, and write the day and what is inside on the box.",
)


class Keepable(StrEnum):
    """Whether a tier can be kept frozen."""

    YES = "freezes well"
    LOSES = "may be frozen, and loses something"
    NO = "does not freeze"


@dataclass(frozen=True, slots=True, kw_only=True)
class Keepsake:
    """
    Advice for a tier that is kept.

    Attributes
    ----------
    tier
        Its name.
    keepable
        Whether it can be.
    because
        The components that decide, in words.
    best_within_days
        At its best until then, frozen. [d]; 0 where it is not frozen
    into_freezer_h
        At most so long out of the cold before it is frozen, over its whole life. [h]
    freeze_h, thaw_h
        Time to freeze and to thaw in the fridge. [h]; None if unknown
    steps
        What to do, in order.
    """

    tier: str
    keepable: Keepable
    because: str
    best_within_days: int
    into_freezer_h: float | None
    freeze_h: float | None
    thaw_h: float | None
    steps: tuple[str, ...]


def keepsake(tier: str, parts: tuple[Safety, ...], times: TierTimes | None, clock_hours: float | None) -> Keepsake:
    """
    Advice for one tier from what is in it.

    Parameters
    ----------
    tier
        Its name.
    parts
        Every component of it.
    times
        How long it takes to freeze and thaw.
    clock_hours
        Hours that its controlled components may be out of the cold; None where none is controlled. [h]

    Returns
    -------
    advice
        A tier with anything that does not freeze is not kept.
    """
    bad = [part for part in parts if part.freezes == "badly"]
    weak = [part for part in parts if part.freezes == "may weep"]
    days = int(min((part.freezer_days for part in parts if part.freezer_days), default=0))
    if bad:
        names = ", ".join(part.name for part in bad)
        return Keepsake(
            tier=tier,
            keepable=Keepable.NO,
            because=f"{names}: {bad[0].thaw_note or 'does not come back from freezing'}",
            best_within_days=0,
            into_freezer_h=None,
            freeze_h=None,
            thaw_h=None,
            steps=("Eat it now; offer the couple a fresh small cake on the day.",),
        )
    controlled = [part for part in parts if part.is_controlled]
    thaw = "Thaw it wrapped in the fridge, a night for a small tier, then let it warm boxed until it no longer sweats."
    steps = [*WRAP_STEPS, thaw]
    if controlled:
        names = ", ".join(part.name for part in controlled)
        steps.insert(0, f"Freeze it only if it never stood longer than the card allows: {names} must be kept cold.")
        steps.append("Once it is thawed keep it in the fridge and eat it within two days; never freeze it again.")
    notes = [part.thaw_note for part in (*weak, *controlled) if part.thaw_note]
    return Keepsake(
        tier=tier,
        keepable=Keepable.LOSES if weak else Keepable.YES,
        because="; ".join(dict.fromkeys(notes)) or "everything in it stands freezing",
        best_within_days=days,
        into_freezer_h=clock_hours if controlled else None,
        freeze_h=None if times is None else times.to_freeze_h,
        thaw_h=None if times is None else times.to_thaw_h,
        steps=tuple(steps),
    )
