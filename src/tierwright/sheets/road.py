"""The road sheet: how the cake is carried, what decides it, how it is loaded and lifted, and what may go wrong."""

from __future__ import annotations

from collections.abc import Iterable

from tierwright.dossier import Dossier, SupportWork
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import caution_words, count_of, estimate_range, of_sheet
from tierwright.sheets.supports import check_words
from tierwright.support import Change, LoadingStep, Piece
from tierwright.units import Display
from tierwright.working import Caution

MOST_CHANCES = 6
MOST_CHECKS = 6
LEAST_CHANCE = 0.0005


def page(work: SupportWork, *, display: Display, cautions: Iterable[Caution] = (), way: str = "") -> Page:
    """
    Return the road sheet.

    Parameters
    ----------
    work
        What support was asked, and its answer.
    display
        The maker's units.
    cautions
        All hazards; those of the road are printed here.
    way
        The way to the venue, in words.
    """
    found = work.found
    carrying = found.carrying
    names = {tier.number: tier.name for tier in work.ask.tiers}
    governing = carrying.governing
    facts = [
        ["the way", way],
        ["answer", carrying.answer.value],
        ["what decides", governing.label],
        ["it is asked for", f"{governing.utilisation:.2f} of what it stands" + ("" if governing.passes else ": fails")],
        ["leans", f"{1000 * found.lean:.1f} mm in a metre, at worst"],
    ]
    data: dict[str, Json] = {
        "title": "Road",
        "cautions": [caution_words(caution) for caution in of_sheet(cautions, "road")],
        "facts": [[*pair] for pair in facts if pair[1]],
        "words": carrying.words,
        "changes": [
            *_change("to carry it stacked", carrying.change),
            *_change("to carry it as answered", carrying.piece_change),
        ],
        "rod": carrying.rod_helps,
        "air": found.air.words,
        "pieces": [_piece(piece, names, display) for piece in carrying.pieces],
        "loading": [_loading(step, names, display) for step in found.loading],
        "lifts": [
            [
                _lifted(lift.what, names),
                f"{lift.mass_kg:.1f} kg",
                f"{lift.limit_kg:.1f} kg",
                f"{lift.index:.2f}",
                _people(lift.people),
            ]
            for lift in found.lifts
        ],
        "checks": [
            list(check_words(check))
            for check in sorted(carrying.whole.checks, key=lambda one: -one.utilisation)[:MOST_CHECKS]
        ],
        "trials": _trials(work),
    }
    return Page(template="road", sheet="road", data=data)


def _lifted(what: str, names: dict[int, str]) -> str:
    return next((name for number, name in names.items() if what == f"tier {number}"), what)


def _change(title: str, change: Change | None) -> list[Json]:
    if change is None:
        return []
    return [[title, change.do, f"{change.utilisation:.2f} of what it stands"]]


def _tiers(numbers: tuple[int, ...], names: dict[int, str]) -> str:
    if len(numbers) == len(names) and len(names) > 1:
        return "the whole stack"
    return ", ".join(names.get(number, str(number)) for number in numbers)


def _piece(piece: Piece, names: dict[int, str], display: Display) -> list[Json]:
    mass = display.show_mass(piece.mass_g.value)
    span = estimate_range(display, piece.mass_g, "g")
    return [
        _tiers(piece.tiers, names),
        mass,
        span,
        f"{display.show_length(piece.width_mm)} wide, {display.show_length(piece.height_mm)} high",
        display.show_length(piece.cg_mm),
        f"{piece.slides_at_g:.2f}",
        f"{piece.tips_at_g:.2f}",
    ]


def _loading(step: LoadingStep, names: dict[int, str], display: Display) -> dict[str, Json]:
    floor = display.show_length(step.footprint_mm)
    return {
        "piece": _tiers(step.tiers, names),
        "room": f"floor {floor} × {floor}, {display.show_length(step.height_mm)} high",
        "where": step.where,
        "how": step.how,
        "people": _people(step.people),
    }


def _people(number: int) -> str:
    return "trolley" if number > 2 else count_of(number, "person", "people")


def _trials(work: SupportWork) -> dict[str, Json] | None:
    trials = work.found.trials
    if trials is None:
        return None
    likely = [chance for chance in trials.chances if chance.chance >= LEAST_CHANCE][:MOST_CHANCES]
    return {
        "any": f"{100 * trials.any_failure:.1f} %",
        "count": f"{trials.trials}",
        "rows": [
            [chance.label, f"{100 * chance.chance:.1f} %", f"give or take {100 * chance.error:.1f}"]
            for chance in likely
        ],
        "care": [one.label for one in trials.sensitivities[:3] if abs(one.correlation) >= 0.1],
    }


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the road sheet of a dossier; none where nothing owned carries the tiers."""
    if dossier.support is None:
        return ()
    travel, display = dossier.commission.travel, words.display
    way = f"{display.show(travel.minutes, 'min')}, {travel.surface.value} road"
    if travel.grade:
        way += f", slopes up to {100 * travel.grade:.0f} %"
    return (page(dossier.support, display=display, cautions=dossier.notes.cautions, way=way),)
