"""What somebody takes over with the cake, and how somebody who collects it carries it."""

from __future__ import annotations

from typing import Final

from tierwright.handover.model import HandoverAsk

DRIVE: Final = (
    "Empty the flat floor of the car before you come: no seat, no lap, no sloping boot floor.",
    "Cool the car first, to about 20 C; no heater on the feet, no sun on the boxes.",
    "Carry each box level with a hand under each side, close to the body; never by its lid.",
    "Set the boxes on the non-slip mat, wedge them so that nothing slides, and put nothing on top.",
    "Drive as if a full bowl of soup stood beside you: brake early, corner slowly, no speed humps at speed.",
    "Go straight there. Do not leave the cake in a parked car.",
)
"""Rules for a car; common practice."""


def carry_rules(ask: HandoverAsk) -> tuple[str, ...]:
    """Return how a client carries the cake; nothing where the maker delivers it."""
    if not ask.collected:
        return ()
    rules = list(DRIVE)
    heavy = [piece for piece in (*ask.pieces, *ask.extra_pieces) if piece.people > 1]
    if heavy:
        most = max(heavy, key=lambda piece: piece.mass_kg)
        rules.insert(2, f"Come with two people: {most.holds} weighs {most.mass_kg:.1f} kg.")
    if ask.stands_cold:
        until = "" if ask.throw_away_by is None else f"; whatever is left at {_clock(ask)} is thrown away"
        rules.append(f"At home or at the venue it goes straight into the cold until the card says so{until}.")
    if len(ask.pieces) > 1:
        rules.append("The tiers are put together by the maker's written steps, on a level table, by two people.")
    return tuple(rules)


def taken_over(ask: HandoverAsk) -> tuple[str, ...]:
    """Return what whoever takes the cake over confirms by signing, each in one sentence."""
    out = sum(line.count for line in ask.counted)
    said = [
        "I have seen the whole cake, and it is undamaged but for what is written above.",
        f"I have been shown the count of {out} pieces that are not food, and that all of them come out before anybody "
        "eats.",
        "I have the allergen card and the keeping card, and will give them to whoever serves.",
        "I know until when it may be eaten, and that it is thrown away after that."
        if ask.throw_away_by is not None
        else "I know how it is kept, and until when it is at its best.",
    ]
    if ask.collected:
        said.append("From now on the carrying, the standing and the setting up are mine.")
    else:
        said.append("From now on the cake is in the venue's care.")
    return tuple(said)


def _clock(ask: HandoverAsk) -> str:
    at = ask.throw_away_by
    assert at is not None
    return f"{at:%A %H:%M}"
