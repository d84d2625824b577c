"""The papers that go along: two pages for the venue, the loading list with the repair kit, and what is signed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from hashlib import sha256
from typing import Final
from zoneinfo import ZoneInfo

from tierwright.brief import Commission
from tierwright.brief.venue_file import CallFor
from tierwright.dossier import Dossier, to_json
from tierwright.drawings import Drawing, cutting_guide, front, rows_of
from tierwright.handover import Box, Handover, Spare
from tierwright.label import Labels, Presence, card_of, diet_words
from tierwright.sheets.naming import Words, moment, outline_words
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import caution_words, count_of
from tierwright.sizing import Cutting, KitchenCake, Tier
from tierwright.units import Display, MassUnit
from tierwright.words import CutPattern
from tierwright.working import Caution

PICTURE_MM: Final = (104.0, 62.0)
"""Width and height of the picture on the first page. [mm]"""
PICTURE_SAID: Final = "The finished cake, from the front and a little above."
GUIDES_MM: Final = {1: (80.0, 76.0), 2: (80.0, 72.0), 3: (56.0, 62.0), 4: (42.0, 50.0)}
SMALL_GUIDE_MM: Final = (33.0, 42.0)
"""Width and height of a cutting guide on the second page, by how many there are; small from five on. [mm]"""
MOST_IN_A_ROW: Final = 5
LONGEST: Final = 220
"""A venue manager reads so much of one remark; the whole of it stands in the venue file. [characters] Chosen by us."""
MARK_LENGTH: Final = 12
POUND_G: Final = 453.59237
WHOLE: Final = "whole cake"


def mark_of(dossier: Dossier) -> str:
    """Return twelve signs that stand for the exact content of a dossier: another gram gives another mark."""
    return sha256(to_json(dossier)).hexdigest()[:MARK_LENGTH]


def venue_pages(dossier: Dossier, words: Words, drawn: Drawing | None = None) -> tuple[Page, Page]:
    """
    Return the two pages for the venue.

    Parameters
    ----------
    dossier
        The commission, worked through.
    words
        Its words and units.
    drawn
        A picture of the finished cake; None takes the front view.

    Returns
    -------
    pages
        Each is set to fit one page of paper.
    """
    return _keep_and_count(dossier, words, drawn), _part_and_cut(dossier, words)


def _keep_and_count(dossier: Dossier, words: Words, drawn: Drawing | None) -> Page:
    commission, found = dossier.commission, dossier.handover
    if drawn is None:
        drawn = front(
            dossier.sizing.stack,
            dossier.coating,
            base=words.base,
            names=words.drawn,
            bars=words.bars,
            display=words.display,
            width_mm=PICTURE_MM[0],
            height_mm=PICTURE_MM[1],
            prefix="venue-front",
        )
    data: dict[str, Json] = {
        "title": "Handover: keep it, count it",
        "lead": commission.title,
        "picture": picture(drawn),
        "times": [[name, at] for name, at in _times(dossier)],
        "only_if": "" if dossier.keeping is None else dossier.keeping.card.only_if,
        "calls": [[name, what, phone] for name, what, phone in calls(commission)],
        "where": [*_where(dossier, words.display)],
        "rows": [*count_rows(found)],
        # What the brief wishes for in words of its own has nowhere been counted: whoever sets it counts it in.
        "by_hand": [_short(f"{wish}: all of it that is not food") for wish in commission.cake.decoration],
        "sum": str(found.pieces_out),
        "count_cautions": _cautions(found, "count_out"),
        "cautions": _cautions(found, "cold"),
    }
    return Page(template="venue_keep", sheet="for the venue, page 1", data=data)


def count_rows(found: Handover) -> list[dict[str, Json]]:
    """Return the count as the card prints it, a row for each line, the top tier first."""
    return [
        {
            "tier": f"{line.tier_name} tier" if line.tier else WHOLE,
            "kind": line.kind.value,
            "what": line.what,
            "where": line.where,
            "count": str(line.count),
            "back": line.comes_back,
        }
        for line in found.counted
    ]


def _part_and_cut(dossier: Dossier, words: Words) -> Page:
    found, stack = dossier.handover, dossier.sizing.stack
    cakes: list[tuple[str, str, Tier | KitchenCake, int]] = [
        (f"{tier.name.capitalize()} tier", f"hand-{tier.number}", tier, 1) for tier in reversed(stack.tiers)
    ]
    cakes += [
        ("Kitchen cake" if len(stack.kitchen_cakes) == 1 else f"Kitchen cake {number}", f"hand-k{number}", cake,
         cake.count)
        for number, cake in enumerate(stack.kitchen_cakes, start=1)
    ]  # fmt: skip
    # What is kept is not cut here: it has no guide.
    cut = [
        (title, prefix, cake, cake.cutting, count)
        for title, prefix, cake, count in cakes
        if cake.cutting and not (isinstance(cake, Tier) and cake.keepsake)
    ]
    first = found.first_cut
    data: dict[str, Json] = {
        "title": "Handover: take it apart, cut it, serve it",
        "lead": dossier.commission.title,
        "steps": [*found.dismantling],
        "knife": [*found.knife],
        "first": "" if first is None else first.words,
        "promise": _promise(dossier),
        "rule": _one_rule([cutting for *_, cutting, _ in cut]),
        "columns": min(MOST_IN_A_ROW, max(1, len(cut))),
        "guides": [
            _guide(title, prefix, cake, cutting, count, words, GUIDES_MM.get(len(cut), SMALL_GUIDE_MM))
            for title, prefix, cake, cutting, count in cut
        ],
        "allergens": [*_allergens(dossier.labels)],
        "unread": len(dossier.labels.whole.blocks),
        "kept": [*_kept(dossier)],
        "hired": [
            f"{count_of(one.count, one.what)}" + ("" if one.back_on is None else f", back on {one.back_on:%A} "
            f"{one.back_on.day} {one.back_on:%B}" + ("" if one.back_by is None else f" by {one.back_by:%H:%M}"))
            for one in dossier.commission.handing_over.hired
        ],
        "cut_cautions": _cautions(found, "knife", "lifting"),
        "serve_cautions": _cautions(found, "allergens"),
    }  # fmt: skip
    return Page(template="venue_cut", sheet="for the venue, page 2", data=data)


def _cautions(found: Handover, *keys: str) -> list[Json]:
    wanted = [f"handover.{key}" for key in keys]
    return [caution_words(caution, with_step=False) for caution in found.notes.cautions if caution.key in wanted]


def _times(dossier: Dossier) -> list[tuple[str, str]]:
    commission, keeping = dossier.commission, dossier.keeping
    zone = ZoneInfo(commission.day.timezone)

    def said(at: datetime) -> str:
        local = at.astimezone(zone)
        return moment(local) if local.date() != commission.day.day else f"{local:%H:%M}"

    rows = [("on", f"{commission.day.day:%A} {commission.day.day.day} {commission.day.day:%B %Y}")]
    card = None if keeping is None else keeping.card
    collected = commission.travel.collected_by_client
    if card is not None:
        rows.append(("out of the maker's cold" if not collected else "out of the cold", said(card.out_of_cold_at)))
        if not collected:
            rows.append(("set up from", said(card.set_up_at)))
    rows.append(("handed over", said(commission.handover_at)))
    last = dossier.handover.last_set_up
    if last is not None and not collected:
        rows.append(("set up at the latest", said(last)))
    rows.append(("cut", said(commission.cutting_at)))
    if card is not None:
        rows.append(("eat by", said(card.eat_by)))
        rows.append(
            ("throw away by", "no time set: nothing in it needs control")
            if card.throw_away_by is None
            else ("throw away by", said(card.throw_away_by))
        )
        rows.append(("what is left", card.after))
    return rows


def calls(commission: Commission) -> list[tuple[str, str, str]]:
    """Return whom to call: name, what about, number; those of the cake first."""
    file = commission.venue.file
    order = list(CallFor)
    people = sorted(file.contacts, key=lambda one: order.index(one.calls))
    rows = [(one.name, one.calls.value, one.phone or "number: ................") for one in people]
    if commission.venue.contact and not any(commission.venue.contact in one.name for one in file.contacts):
        rows.append((_short(commission.venue.contact), "the venue", ""))
    return rows


def _where(dossier: Dossier, display: Display) -> list[str]:
    commission = dossier.commission
    venue, file, work = commission.venue, commission.venue.file, dossier.support
    said = [file.place, f"Table: {venue.table}" if venue.table else ""]
    if work is not None:
        mass = heavy(work.found.carrying.whole.mass_g.high, display)
        wide = display.show_length(work.ask.base.outline.largest_mm)
        bears = "" if file.table.bears is None else f"; the table is said to carry {heavy(file.table.bears, display)}"
        said.append(f"The cake weighs up to {mass} and stands on a board {wide} wide{bears}.")
    light = "in the shade, " if venue.sun.value != "none" or venue.outdoors else ""
    said.append(f"Stand it level, {light}out of the draught, away from windows, lamps and heaters, where nobody leans.")
    if file.cold_store:
        said.append("Until it is set up its boxes stay closed in the cold store.")
    if file.room_turn is not None:
        turn = file.room_turn
        cake = f": {turn.cake}" if turn.cake else ""
        said.append(f"While the room is turned, {turn.begins:%H:%M} to {turn.ends:%H:%M}{cake}")
    others = [one for one in file.other_events if one.cake is not False]
    if others:
        names = "; ".join(one.what for one in others)
        said.append(f"Not the cake of: {names}. It stays labelled with its own name.")
    return [_short(line) for line in said if line]


def heavy(grams: float, display: Display) -> str:
    """Return a mass that people lift, in kilograms, and in pounds beside it where those are read. [g]"""
    digits = 0 if grams >= 20_000 else 1
    kilograms = f"{grams / 1000:.{digits}f}\N{NO-BREAK SPACE}kg"
    return kilograms if display.mass is MassUnit.METRIC else f"{kilograms} ({grams / POUND_G:.0f}\N{NO-BREAK SPACE}lb)"


def _short(text: str) -> str:
    plain = " ".join(text.split())
    if len(plain) <= LONGEST:
        return plain
    return plain[: LONGEST - 1].rsplit(" ", 1)[0] + " …"


def _promise(dossier: Dossier) -> str:
    stack = dossier.sizing.stack
    parts = [
        f"{tier.name} {tier.cutting.portions}"
        for tier in reversed(stack.tiers)
        if tier.cutting is not None and not tier.keepsake
    ]
    parts += [
        f"kitchen cake {cake.cutting.portions}" if cake.count == 1
        else f"{cake.count} kitchen cakes {cake.count * cake.cutting.portions}"
        for cake in stack.kitchen_cakes
    ]  # fmt: skip
    return f"{stack.portions} portions are promised: {', '.join(parts)}."


def _one_rule(cuttings: Sequence[Cutting]) -> str:
    rules = {cutting.rule for cutting in cuttings}
    return rules.pop() if len(rules) == 1 else ""


def _guide(
    title: str,
    prefix: str,
    cake: Tier | KitchenCake,
    cutting: Cutting,
    count: int,
    words: Words,
    room_mm: tuple[float, float],
) -> dict[str, Json]:
    wide, high = room_mm
    drawn = cutting_guide(
        cutting, cake.outline, display=words.display, width_mm=wide, height_mm=high, prefix=prefix, title=title
    )
    flavour = words.flavours[cake.flavour] if 0 <= cake.flavour < len(words.flavours) else ""
    pieces = [row.pieces for row in rows_of(cutting, cake.outline) if row.pieces]
    from_where = {CutPattern.RINGS: "from the outside in", CutPattern.WEDGES: "all round"}
    each = from_where.get(cutting.pattern, "row by row from the front")
    return {
        "title": title + (f" × {count}" if count > 1 else ""),
        "flavour": flavour,
        "cake": outline_words(cake.outline, words.display),
        "portions": f"{cutting.portions} portions, in {cutting.pattern.value}",
        "rows": f"{each}: {', '.join(str(count) for count in pieces)}" if len(pieces) > 1 else "",
        "drawing": picture(drawn),
    }


def _allergens(labels: Labels) -> Iterable[dict[str, Json]]:
    card = card_of(labels.units, labels.jurisdiction)
    by_key = {label.key: label for label in labels.units}
    # From the top down, as the cake is taken apart; kitchen cakes come last.
    tiers = [row for row in card.rows if row.key.startswith("tier.")]
    for row in (*reversed(tiers), *(row for row in card.rows if row not in tiers)):
        named = dict(zip(card.columns, row.marks, strict=True))

        def of(*marks: Presence, named: dict[str, Presence] = named) -> str:
            return ", ".join(word for word, mark in named.items() if mark in marks)

        unknown = of(Presence.SUSPECTED, Presence.UNREAD)
        # Where nothing but what is in it is known, a list of all the others hides more than it says.
        all_open = Presence.NOT_DECLARED not in row.marks and Presence.MAY not in row.marks
        yield {
            "name": row.name,
            "food": row.food_name,
            "contains": of(Presence.PRESENT),
            "may": of(Presence.MAY),
            "ask": f"every other one of the {len(card.columns)} on the card" if unknown and all_open else unknown,
            "diet": diet_words(by_key[row.key]),
        }


def _kept(dossier: Dossier) -> Iterable[str]:
    if dossier.keeping is None:
        return
    for one in dossier.keeping.keepsakes:
        within = f" At its best within {one.best_within_days} days frozen." if one.best_within_days else ""
        yield f"The {one.tier} tier is kept: {one.keepable.value}. {' '.join(one.steps[:3])}{within}"


def loading_page(dossier: Dossier, words: Words) -> Page:
    """Return the loading list and the repair kit."""
    found, display = dossier.handover, words.display
    kit = found.kit
    data: dict[str, Json] = {
        "title": "Loading and repair kit",
        "cautions": _cautions(found, "lifting", "cold"),
        "boxes": [_box(box, display) for box in found.boxes],
        "hired": [f"{one.count} × {one.what}" for one in dossier.commission.handing_over.hired],
        "way": [[name, value] for name, value in _way(dossier.commission, display)],
        "spares": [[_amount(spare, display), spare.what, spare.why] for spare in kit.spares],
        "tools": [[tool.what, tool.why] for tool in kit.tools],
        "weight": display.show_mass(kit.mass_g),
        "carry": [*found.carry_rules],
    }
    return Page(template="loading", sheet="loading and repair kit", data=data)


def _box(box: Box, display: Display) -> dict[str, Json]:
    piece = box.piece
    side, high = display.show_length(box.inside_mm), display.show_length(box.inside_height_mm)
    return {
        "holds": piece.holds[:1].upper() + piece.holds[1:],
        "side": f"{side} each way",
        "high": f"{high} high",
        "mass": heavy(1000.0 * piece.mass_kg, display),
        "limit": heavy(1000.0 * piece.limit_kg, display) if piece.limit_kg else "",
        "people": "trolley" if piece.people > 2 else count_of(piece.people, "person", "people"),
        "where": piece.where,
        "how": piece.how,
    }


def _amount(spare: Spare, display: Display) -> str:
    return display.show_mass(spare.grams) if spare.grams else f"{spare.pieces} ×"


def _way(commission: Commission, display: Display) -> Iterable[tuple[str, str]]:
    venue, file = commission.venue, commission.venue.file
    if commission.travel.collected_by_client:
        return
    if venue.access is not None:
        yield "the venue is open to the maker", f"{venue.access.opens:%H:%M} to {venue.access.closes:%H:%M}"
    if file.unload:
        yield "unloading", _short(file.unload)
    if file.door is not None:
        yield "narrowest door", display.show_length(file.door)
    yield "stairs", f"{venue.stairs} steps" if venue.stairs else "none"
    if file.lift is not None:
        yield "lift", f"{display.show_length(file.lift.width)} × {display.show_length(file.lift.depth)}"


def signing_page(dossier: Dossier, words: Words) -> Page:  # noqa: ARG001 (every sheet takes the words)
    """Return the paper that is signed: the set-up record, or the release where the client collects."""
    found, commission = dossier.handover, dossier.commission
    collected = commission.travel.collected_by_client
    receiver = commission.handing_over.collector if collected else commission.venue.file.receiver
    data: dict[str, Json] = {
        "title": "Release on collection" if collected else "Set-up record",
        "facts": [
            ["commission", commission.title],
            ["planned handover", moment(commission.handover_at)],
            ["taken over by", receiver or "........................................"],
            ["mark of the dossier", mark_of(dossier)],
        ],
        "seen": [
            "on the board and level",
            "coat whole on every side",
            "decoration in its place",
            f"count of {found.pieces_out} pieces shown",
            "allergen card and keeping card handed over",
            "photographs taken from all sides",
        ],
        "carry": [*found.carry_rules],
        "says": [*found.taken_over],
        "probes": ["middle of the bottom tier", "under its coat", "air where it stands"],
        "collected": collected,
        "vehicle": _short(commission.handing_over.vehicle) if collected else "",
    }
    return Page(template="signing", sheet="release" if collected else "set-up record", data=data)


def hazards(dossier: Dossier) -> tuple[Caution, ...]:
    """Return the hazards of the handover."""
    return dossier.handover.notes.cautions


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the papers of a dossier that go along with the cake."""
    return (
        loading_page(dossier, words),
        *venue_pages(dossier, words),
        signing_page(dossier, words),
    )
