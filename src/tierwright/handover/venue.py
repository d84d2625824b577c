"""What the venue file leaves open, and what in it does not fit this cake."""

from __future__ import annotations

from collections.abc import Iterator

from tierwright.handover.model import HandoverAsk, PieceToLoad
from tierwright.working import Question, Severity

TABLE_MARGIN_MM = 50.0
"""Table that must show beyond the base board on each side. [mm] Common practice."""
DOOR_MARGIN_MM = 80.0
"""Room for the hands beside a box in a doorway, both sides together. [mm] Chosen by us."""
STRONG_FROM_G = 8000.0
"""From this mass the table's strength is asked for: a light side table may carry no more. [g] Chosen by us."""


def ask_venue(ask: HandoverAsk) -> tuple[Question, ...]:
    """Return every open question of the venue file that matters for this cake."""
    return tuple(
        Question(
            key=f"handover.{key}",
            severity=severity,
            sheet="handover",
            text=text,
            reason=reason,
            figure=figure,
            change=change,
        )
        for key, severity, text, reason, figure, change in (
            *_people(ask),
            *_out_of_order(ask),
            *(() if ask.collected else (*_table(ask), *_way(ask), *_meanwhile(ask))),
        )
    )


Asked = tuple[str, Severity, str, str, str, str]


def _people(ask: HandoverAsk) -> Iterator[Asked]:
    place = ask.place
    if not place.receiver:
        who = "Who collects the cake?" if ask.collected else "Who receives the cake at the venue?"
        field = "handing-over.collector" if ask.collected else "venue.file.receiver"
        yield (
            "receiver", Severity.ASK, who,
            "Whoever takes it over has to be there, and be told what must come out of it.", "", f"enter {field}",
        )  # fmt: skip
    if not place.called:
        yield (
            "who_to_call", Severity.ASK, "Whom does the venue call about the cake?",
            "A question at the cutting must reach somebody who knows this cake.", "",
            "enter a contact for the cake, with its number, in venue.file.contacts",
        )  # fmt: skip
    if not ask.collected and not place.called_there:
        yield (
            "contact", Severity.ASK, "Whom does the maker call at the venue on the day?",
            "A locked door costs the time that the set-up needs.", "", "enter venue.contact or venue.file.contacts",
        )  # fmt: skip


def _out_of_order(ask: HandoverAsk) -> Iterator[Asked]:
    """Ask about dates that cannot be meant: given back before it was used, tasted after it was eaten."""
    for one in ask.dates:
        day = one.first_day or (one.begins.date() if one.begins is not None else None)
        if day is None:
            continue
        if one.key.startswith("back.") and day < ask.cutting_at.date():
            what, change = "given back before the cake is cut", "enter a later handing-over.hired.back-on"
        elif one.key == "tasting" and day > ask.handover_at.date():
            what, change = "after the handover", "enter an earlier handing-over.tasting.date"
        else:
            continue
        yield (
            f"date.{one.key}", Severity.ASK, f"Is the date right? {one.title} is {what}.",
            "The day of the cake may have moved, and this date not with it.", day.isoformat(), change,
        )  # fmt: skip


def _table(ask: HandoverAsk) -> Iterator[Asked]:
    place = ask.place
    if ask.foot_mm is not None and place.table_width_mm is not None and place.table_depth_mm is not None:
        foot, top = sorted(ask.foot_mm), sorted((place.table_width_mm, place.table_depth_mm))
        short = max(need + 2 * TABLE_MARGIN_MM - has for need, has in zip(foot, top, strict=True))
        if short > 0:
            yield (
                "table_size", Severity.STOP, "Is there a larger table? The cake does not stand safely on this one.",
                f"A base board wants {TABLE_MARGIN_MM:.0f} mm of table beyond it on every side.",
                f"board {foot[1]:.0f} by {foot[0]:.0f} mm, table {top[1]:.0f} by {top[0]:.0f} mm",
                f"a table at least {foot[1] + 2 * TABLE_MARGIN_MM:.0f} by {foot[0] + 2 * TABLE_MARGIN_MM:.0f} mm",
            )  # fmt: skip
    if ask.whole_g is not None:
        heavy = ask.whole_g.high
        if place.table_bears_g is not None and place.table_bears_g < heavy:
            yield (
                "table_strength", Severity.STOP, "Is there a stronger table? This one carries less than the cake.",
                "A table that gives lets the cake lean, or fall.",
                f"cake up to {heavy / 1000:.1f} kg, table {place.table_bears_g / 1000:.1f} kg",
                "another table, or one with a leg under its middle",
            )  # fmt: skip
        elif place.table_bears_g is None and heavy >= STRONG_FROM_G:
            yield (
                "table_strength", Severity.ASK, "What does the cake table carry safely?",
                "Folding and display tables carry less than they look.",
                f"cake up to {heavy / 1000:.1f} kg" + (
                    "" if ask.foot_mm is None else f" on a board {max(ask.foot_mm):.0f} mm wide"
                ),
                "enter venue.file.table.bears",
            )  # fmt: skip
    if place.level is False and len(ask.tiers) > 1:
        yield (
            "table_level", Severity.ASK, "How is the table made level?",
            "Every tier leans as the table does, and the lean of the cake comes on top.", "the table leans",
            "wedge its legs before the cake is on it, and lay a level on it both ways",
        )  # fmt: skip
    if place.shakes:
        yield (
            "shakes", Severity.ASK, "Can the cake stand where the floor does not move?",
            "A floor that moves rocks the cake every time somebody passes.", "the floor moves",
            "another place, or a table against a bearing wall",
        )  # fmt: skip
    if place.linen is False:
        yield (
            "linen", Severity.NOTE, "Who brings a clean cloth for the table?",
            "Once the cake stands no cloth goes under it.", "", "bring one, or have one laid before the set-up",
        )  # fmt: skip


def _way(ask: HandoverAsk) -> Iterator[Asked]:
    place = ask.place
    pieces = (*ask.pieces, *ask.extra_pieces)
    widest = max(pieces, key=lambda piece: piece.footprint_mm, default=None)
    if widest is not None and place.door_mm is not None and widest.footprint_mm + DOOR_MARGIN_MM > place.door_mm:
        yield (
            "door", Severity.STOP, f"How does {widest.holds} come through the narrowest door?",
            "A box with hands on both sides has to go through level.",
            f"box {widest.footprint_mm:.0f} mm and {DOOR_MARGIN_MM:.0f} mm for the hands, door {place.door_mm:.0f} mm",
            "another way in, or carry the tiers one by one",
        )  # fmt: skip
    if place.stairs and place.lift_mm is None:
        worst = max(ask.pieces, key=lambda piece: (piece.people, piece.mass_kg), default=None)
        if worst is not None and worst.people > 2:
            yield (
                "stairs", Severity.STOP, f"How does {worst.holds} get up the stairs?",
                "It is too heavy for two people without a trolley, and a trolley takes no stairs.",
                f"{worst.mass_kg:.1f} kg, {place.stairs} steps", "carry it tier by tier, or find a lift",
            )  # fmt: skip
        elif worst is not None and worst.people == 2:
            yield (
                "stairs", Severity.ASK, "Who is the second person on the stairs?",
                f"{_capital(worst.holds)} is carried by two.", f"{worst.mass_kg:.1f} kg, {place.stairs} steps",
                "bring a helper, or agree one with the venue",
            )  # fmt: skip
    if place.lift_mm is not None and widest is not None:
        yield from _lift(ask, widest)


def _lift(ask: HandoverAsk, widest: PieceToLoad) -> Iterator[Asked]:
    place = ask.place
    assert place.lift_mm is not None
    if widest.footprint_mm > min(place.lift_mm):
        yield (
            "lift_size", Severity.STOP if place.stairs else Severity.ASK,
            "Does the largest box stand level in the lift?", "It must not be tilted.",
            f"box {widest.footprint_mm:.0f} mm, cabin {place.lift_mm[0]:.0f} by {place.lift_mm[1]:.0f} mm",
            "carry the tiers one by one, or by the stairs",
        )  # fmt: skip
    if place.lift_bears_g is not None and (worst := max(piece.mass_kg for piece in ask.pieces)) * 1000 + 80_000 > (
        place.lift_bears_g
    ):
        yield (
            "lift_strength", Severity.ASK, "Does the lift carry the cake with somebody beside it?",
            "A lift that stops on the way keeps the cake in the warm.",
            f"cake {worst:.1f} kg and a person, lift {place.lift_bears_g / 1000:.0f} kg", "send the pieces one by one",
        )  # fmt: skip


def _meanwhile(ask: HandoverAsk) -> Iterator[Asked]:
    for one in ask.meanwhile:
        if one.cake_is_settled or one.ends <= ask.set_up_at or one.begins >= ask.cutting_at:
            continue
        yield (
            one.key, Severity.ASK, f"Where is the cake during {one.what}?",
            "People and furniture move where it stands, or its box is taken for another's.",
            f"{one.begins:%H:%M} to {one.ends:%H:%M}; the cake is there from {ask.set_up_at:%H:%M}",
            "set up after it, or have the cake kept apart, labelled and guarded",
        )  # fmt: skip


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
