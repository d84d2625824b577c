"""The sheets of keeping: temperature line, card for the venue, log to fill by hand, and what is in every slice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import pairwise

from tierwright.dossier import Dossier
from tierwright.dossier.keeping_slices import SliceTrace, slices_of
from tierwright.keeping import Keeping, Safety, Trace, Yielding, plot_line
from tierwright.sheets.naming import Words, moment
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import caution_words, of_sheet
from tierwright.units import Display, show_minutes
from tierwright.working import Caution

WIDTH_MM = 176.0
PANELS_MM = 132.0
LOG_LINES = 6


def line_page(keeping: Keeping, *, cutting: datetime, cautions: Iterable[Caution] = (), display: Display) -> Page:
    """
    Return the sheet of the temperature line.

    Parameters
    ----------
    keeping
        The answer.
    cutting
        When the cake is cut.
    cautions
        All hazards; those of keeping are printed here.
    display
        The maker's units.
    """
    panel = min(40.0, PANELS_MM / max(len(keeping.lines), 1) - 5.0)
    drawn = plot_line(keeping, cutting=cutting, width_mm=WIDTH_MM, panel_mm=panel, prefix="keeping", display=display)
    data: dict[str, Json] = {
        "title": "Keeping",
        "cautions": [caution_words(one) for one in of_sheet(cautions, "keeping")],
        "line": picture(drawn),
        "moments": [
            [one.step, _clock(one.first), _clock(one.last), one.why] for one in keeping.moments
        ],
        "layers": [
            [
                times.name,
                *(
                    "" if hours is None else show_minutes(60.0 * hours)
                    for hours in (times.to_fill_h, times.to_chill_h, times.to_freeze_h, times.to_thaw_h)
                ),
            ]
            for times in keeping.layers
        ],
        "order": [[*row] for row in order_rows(keeping)],
        "changes": [[one.title, "passes" if one.passes else "fails", one.detail] for one in keeping.changes],
        "components": [[*component_cells(one)] for one in keeping.safety],
        "keepsakes": [
            {"title": f"Keeping the {one.tier} tier: {one.keepable.value}", "why": one.because, "steps": [*one.steps]}
            for one in keeping.keepsakes
        ],
        "soft": [[*row] for row in soft_rows(keeping, display)],
    }  # fmt: skip
    return Page(template="keeping", sheet="keeping", data=data)


def soft_rows(keeping: Keeping, display: Display) -> list[tuple[str, str, str, str]]:
    """Return what gives way in a soft batch: the tier, what, from which temperature, and when."""
    return [
        (soft.name, limit.what.value, display.show_temperature(limit.at_c.low), _hour(keeping, limit.could_h))
        for soft in keeping.softness
        for limit in soft.limits
        if limit.at_c is not None
    ]


def component_cells(one: Safety) -> tuple[str, str, str, str]:
    """Return what is said of one component: its name, how it stands, its water activity, how long it keeps."""
    places = ((one.room_days, "room"), (one.fridge_days, "fridge"), (one.freezer_days, "freezer"))
    return (
        one.name,
        one.standing.value,
        f"{one.water_activity.value:.2f}{'' if one.aw_is_measured else ', estimated'}",
        ", ".join(f"{days:.0f} d {place}" for days, place in places if days),
    )


def order_rows(keeping: Keeping) -> list[tuple[str, str, str]]:
    """Return the order of work where allergens ask for one: what is made, what goes before it, what it holds itself."""
    if not any(step.clean_before or step.box_before or step.warns for step in keeping.order_of_work):
        return []
    return [
        (
            step.name,
            "; ".join(
                words
                for words in (
                    "box what is made" if step.box_before else "",
                    f"clean down of {', '.join(one.value for one in step.clean_before)}" if step.clean_before else "",
                )
                if words
            ),
            f"holds, or may hold, {', '.join(one.value for one in step.warns)} itself" if step.warns else "",
        )
        for step in keeping.order_of_work
    ]


def card_page(keeping: Keeping, *, cautions: Iterable[Caution] = (), display: Display) -> Page:
    """
    Return the card that stays with the cake: when it comes out, is cut, is thrown away.

    Parameters
    ----------
    keeping
        The answer.
    cautions
        All hazards; those of the table are printed here.
    display
        The maker's units.
    """
    card = keeping.card
    facts = [
        ["out of the cold", moment(card.out_of_cold_at)],
        ["set up", moment(card.set_up_at)],
        ["cut", moment(card.cut_at)],
        ["eat by", moment(card.eat_by)],
        ["throw away by", "no time set: nothing in it needs control" if card.throw_away_by is None
         else moment(card.throw_away_by)],
    ]  # fmt: skip
    warm = min(
        (
            one.at_c.low
            for soft in keeping.softness
            for one in soft.limits
            if one.at_c and one.what is not Yielding.ROAD
        ),
        default=None,
    )
    data: dict[str, Json] = {
        "title": "Keep and serve",
        "facts": [[*pair] for pair in facts],
        "only_if": card.only_if,
        "after": card.after,
        "where": "Stand it in shade, out of the draught, away from windows and lamps."
        + ("" if warm is None else f" Coat or filling may give way from {display.show_temperature(warm)}."),
        "remove": [one.removal for one in keeping.flowers if one.removal],
        "cautions": [caution_words(one) for one in of_sheet(cautions, "table") if one.key.startswith("keeping.")],
    }
    return Page(template="serve", sheet="keep and serve", data=data)


def log_page(keeping: Keeping) -> Page:
    """Return the safety log: a line for every place of the cake's life and probe, to be filled by hand."""
    stays = [*keeping.stays]
    rows: list[list[str]] = [
        [_clock(before.ends), f"{before.name} to {after.name}"] for before, after in pairwise(stays)
    ]
    rows += [[_clock(keeping.card.cut_at), "cut"], [_clock(keeping.card.throw_away_by), "thrown away"]]
    data: dict[str, Json] = {
        "title": "Safety log",
        "rows": [[*row] for row in rows],
        "blank": LOG_LINES,
        "tiers": [*(line.name for line in keeping.lines), *(one.line.name for one in keeping.aside)],
        "rules": [
            f"{reading.title} ({reading.source.text})"
            for reading in dict.fromkeys(reading for clock in keeping.clocks[:1] for reading in clock.readings)
        ],
    }
    return Page(template="safetylog", sheet="safety log", data=data)


def slices_page(slices: Sequence[SliceTrace]) -> Page:
    """
    Return the sheet that traces every slice to its last sub-ingredient.

    Parameters
    ----------
    slices
        One for each make-up.
    """
    traced = {part.name: part.traces for one in slices for part in one.parts}
    data: dict[str, Json] = {
        "title": "What is in a slice",
        "slices": [
            [" and ".join(one.tiers), "; ".join(f"{part.name} ({' and '.join(part.what)})" for part in one.parts)]
            for one in slices
        ],
        "parts": [{"title": name, "rows": [[*row] for row in trace_rows(traces)]} for name, traces in traced.items()],
    }
    return Page(template="slices", sheet="slices", data=data)


def trace_rows(traces: Iterable[Trace]) -> list[tuple[str, str, str]]:
    """Return a row for every ingredient and sub-ingredient: its name, set in by depth, what it holds, what to ask."""
    rows: list[tuple[str, str, str]] = []
    for one in traces:
        # The formula itself is the heading; a step down is an em space, which no reader takes for a dash.
        name = "\N{EM SPACE}" * (len(one.path) - 2) + one.path[-1]
        ask = ", ".join(allergen.value for allergen in one.unknown)
        rows.append(
            (
                name,
                ", ".join(allergen.value for allergen in one.contains),
                f"read the packet{': ' + ask if ask else ''}" if one.must_ask else ask,
            )
        )
    return rows


def _clock(at: datetime | None) -> str:
    return "" if at is None else f"{at:%a %H:%M}"


def _hour(keeping: Keeping, hours: float | None) -> str:
    return "not as planned" if hours is None else _clock(keeping.at(hours))


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the sheets of keeping of a dossier; none where its line could not be computed."""
    keeping = dossier.keeping
    if keeping is None:
        return ()
    cautions = dossier.notes.cautions
    return (
        line_page(keeping, cutting=dossier.commission.cutting_at, cautions=cautions, display=words.display),
        card_page(keeping, cautions=cautions, display=words.display),
        log_page(keeping),
        slices_page(slices_of(dossier)),
    )
