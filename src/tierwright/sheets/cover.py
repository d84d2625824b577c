"""The cover: the drawing, the key facts, what is still open, and every hazard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tierwright.dossier import Dossier
from tierwright.drawings import Drawing, section
from tierwright.sheets.naming import Words, moment
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import SEVERITY_WORDS, SHEET_WORDS, by_severity, caution_words, question_words, spread
from tierwright.units import FOOT_M, Display, LengthUnit
from tierwright.working import Caution, Estimate, Question, Severity


def page(
    title: str,
    facts: Sequence[tuple[str, str]],
    drawing: Drawing,
    questions: Iterable[Question],
    cautions: Iterable[Caution],
) -> Page:
    """
    Return the cover.

    Parameters
    ----------
    title
        The commission.
    facts
        Names and values in words, in the order in which they are read.
    drawing
        The section of the cake.
    questions
        What is open; the most serious is printed first.
    cautions
        Every hazard, in the order of the sheets of work.
    """
    order = list(SHEET_WORDS)
    ranked = sorted(cautions, key=lambda c: order.index(c.sheet) if c.sheet in order else len(order))
    said: list[Json] = []
    # The same hazard of two formulas is said once here; on the sheets it stands at each.
    once = {(caution.sheet, caution.step, caution.text): caution for caution in reversed(ranked)}
    for caution in reversed(once.values()):
        words = caution_words(caution)
        sheet = SHEET_WORDS.get(caution.sheet, caution.sheet).casefold()
        said.append({**words, "step": f"{sheet}, {caution.step}" if caution.step else sheet})
    data: dict[str, Json] = {
        "title": title,
        "facts": [[name, value] for name, value in facts],
        "drawing": picture(drawing),
        "questions": _grouped(by_severity(questions)),
        "cautions": said,
    }
    return Page(template="cover", sheet="cover", data=data)


def _grouped(questions: Sequence[Question]) -> list[Json]:
    """Return questions under a title for each severity, in the order given."""
    groups: dict[Severity, list[Json]] = {}
    for question in questions:
        groups.setdefault(question.severity, []).append(question_words(question))
    return [
        {"severity": SEVERITY_WORDS[severity][0], "word": SEVERITY_WORDS[severity][1], "rows": rows}
        for severity, rows in groups.items()
    ]


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the cover of a dossier."""
    drawing = section(
        dossier.sizing.stack,
        dossier.coating,
        base=words.base,
        names=words.drawn,
        bars=words.bars,
        display=words.display,
    )
    notes = dossier.notes
    return (page(dossier.commission.title, facts(dossier, words), drawing, notes.questions, notes.cautions),)


def facts(dossier: Dossier, words: Words) -> list[tuple[str, str]]:
    """Return the key facts of a dossier, in the order in which a maker asks for them."""
    commission, kitchen, stack = dossier.commission, dossier.kitchen, dossier.sizing.stack
    guests, venue, travel, show = commission.guests, commission.venue, commission.travel, words.display
    rows = [
        ("cutting", moment(commission.cutting_at)),
        ("handover", moment(commission.handover_at)),
        ("guests", _guests(guests.invited, guests.attending)),
        ("portions", f"{stack.portions}, chance of running short {stack.shortage_risk * 100:.1f} %"),
        ("tiers", _tiers(dossier, words)),
        ("kitchen", f"{kitchen.name}, {_height(kitchen.altitude, show)} above the sea"),
        ("venue", f"{venue.name}, {_height(venue.altitude, show)}, {'outdoors' if venue.outdoors else 'indoors'}"),
        ("at the venue", _span(venue.temperature, show)),
        ("travel", f"{show.show(travel.minutes, 'min')}, {travel.surface.value} road"),
    ]
    rows += [("diet", f"{diet.count} × {diet.diet} ({diet.reason.value})") for diet in commission.diets]
    rows += [("allergy", f"{a.count} × {a.allergen} ({a.severity.value})") for a in commission.allergies]
    return rows


def _guests(invited: int, attending: Estimate | None) -> str:
    if attending is None:
        return f"{invited} invited"
    come = (
        f"{attending.low:.0f} to {attending.high:.0f}" if attending.high > attending.low else f"{attending.value:.0f}"
    )
    return f"{invited} invited, {come} expected"


def _tiers(dossier: Dossier, words: Words) -> str:
    stack = dossier.sizing.stack
    sizes = ", ".join(words.display.show_length(tier.outline.width_mm) for tier in stack.tiers)
    extra = sum(cake.count for cake in stack.kitchen_cakes)
    return sizes + (f", and {extra} kitchen cake{'s' if extra != 1 else ''}" if extra else "")


def _height(altitude_m: float, display: Display) -> str:
    feet = f"{altitude_m / FOOT_M:.0f} ft"
    return feet if display.length is LengthUnit.INCH else f"{altitude_m:.0f} m"


def _span(temperature: Estimate, display: Display) -> str:
    return spread(display, temperature.low, temperature.high, "C") or display.show_temperature(temperature.value)
