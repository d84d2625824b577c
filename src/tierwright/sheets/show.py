"""How figures, ranges, questions and hazards are put into words for a printed sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from tierwright.sheets.page import Json
from tierwright.units import INCH_MM, Display, LengthUnit, MassUnit, TemperatureUnit, show_plain
from tierwright.working import Caution, Estimate, Figure, Given, Question, Severity

SEVERITY_WORDS: Final[dict[Severity, tuple[str, str]]] = {
    Severity.DANGER: ("danger", "Somebody could be hurt"),
    Severity.STOP: ("stop", "Must change"),
    Severity.ASK: ("ask", "To be asked"),
    Severity.NOTE: ("note", "Worth knowing"),
}
"""The mark and the words of each severity."""

SHEET_WORDS: Final[dict[str, str]] = {
    "tiers": "Tiers and portions",
    "formulas": "Formulas",
    "bakes": "Bakes",
    "syrups": "Syrups and foams",
    "coats": "Coats and fillings",
    "supports": "Boards and supports",
    "flowers": "Flowers and finish",
    "keeping": "Keeping",
    "labels": "Labels",
    "buying": "Buying",
    "price": "Price",
    "road": "Road",
    "table": "Table and cutting",
    "handover": "Handover",
}
"""Titles of the sheets of work, in the order in which they are printed."""

_LITTLE: Final = frozenset(
    {"a", "an", "and", "at", "by", "for", "in", "into", "it", "its", "of", "on", "or", "the", "to", "with"}
)
_ENDING: Final = re.compile(r"(?<=\w{3})(?:ing|ed|s)$")

_POWERS: Final = (("m2", "m²"), ("m3", "m³"), ("g/cm3", "g/cm³"))


def shown(display: Display, value: float | str, unit: str) -> str:
    """Return a figure's value in the maker's units; a word stays a word."""
    if isinstance(value, str):
        return f"{value} {unit}".strip()
    if unit in ("mm2", "cm2"):
        mm2 = value if unit == "mm2" else value * 100
        if display.length is LengthUnit.INCH:
            return f"{show_plain(round(mm2 / INCH_MM**2, 1))} sq in"
        return f"{mm2 / 100:.0f} cm²"
    text = display.show(value, unit)
    for plain, raised in _POWERS:
        text = text.replace(plain, raised)
    return text


def spread(display: Display, low: float | None, high: float | None, unit: str) -> str:
    """
    Return a likely range in words, or nothing where there is none.

    Kitchens that print both kinds of units read the range in metric: doubled, it would hide the number it belongs to.
    """
    if low is None or high is None or low == high:
        return ""
    if display.mass is MassUnit.BOTH:
        display = replace(display, mass=MassUnit.METRIC)
    if display.temperature is TemperatureUnit.BOTH:
        display = replace(display, temperature=TemperatureUnit.C)
    first, last = shown(display, low, unit), shown(display, high, unit)
    if first == last:
        return ""
    # The unit is said once where both ends have the same one and stand as a plain number before it.
    head, _, tail = first.rpartition(" ")
    if tail and last.endswith(f" {tail}") and _plain(head) and _plain(last.rpartition(" ")[0]):
        return f"{head} to {last}"
    return f"{first} to {last}"


def _plain(text: str) -> bool:
    return text.replace(".", "", 1).replace("-", "", 1).isdigit()


def estimate_range(display: Display, estimate: Estimate, unit: str) -> str:
    """Return the likely range of an estimate in words, or nothing where it is exact."""
    return spread(display, estimate.low, estimate.high, unit)


def figure_words(display: Display, figure: Figure) -> dict[str, Json]:
    """Return a figure as the working prints it."""
    return {
        "label": figure.label,
        "value": shown(display, figure.value, figure.unit),
        "range": spread(display, figure.low, figure.high, figure.unit),
        "equation": figure.equation,
        "inputs": "; ".join(given_words(display, given) for given in figure.inputs),
        "source": str(figure.source),
    }


def given_words(display: Display, given: Given) -> str:
    """Return one input of a figure, such as ``rise = 1.4``."""
    return f"{given.name} = {shown(display, given.value, given.unit)}"


def question_words(question: Question) -> dict[str, Json]:
    """Return an open question as the cover prints it."""
    return {
        "text": question.text,
        "reason": question.reason,
        "figure": question.figure,
        "change": question.change,
    }


def by_severity(questions: Iterable[Question]) -> list[Question]:
    """Return questions, the most serious first, otherwise in the order in which they came."""
    return sorted(questions, key=lambda question: -question.severity)


def caution_words(caution: Caution, *, with_step: bool = True) -> dict[str, Json]:
    """Return a hazard as a sheet prints it; ``with_step`` says its step, which goes without saying at the step."""
    return {
        "step": caution.step if with_step else "",
        "text": caution.text,
        "reason": caution.reason,
        "source": str(caution.source),
    }


def steps_with_cautions(steps: Sequence[str], cautions: Iterable[Caution]) -> tuple[list[Json], list[Json]]:
    """
    Put each hazard at the first step that has all the words of its own, and return the steps and the hazards left over.

    Parameters
    ----------
    steps
        The steps of a sheet, in words.
    cautions
        The hazards of that sheet.
    """
    at: dict[int, list[Json]] = {}
    left: list[Json] = []
    for caution in cautions:
        wanted = stems(caution.step)
        place = next((i for i, step in enumerate(steps) if wanted and wanted <= stems(step)), None)
        if place is None:
            left.append(caution_words(caution))
        else:
            at.setdefault(place, []).append(caution_words(caution, with_step=False))
    return [{"text": step, "cautions": at.get(i, [])} for i, step in enumerate(steps)], left


def stems(text: str) -> frozenset[str]:
    """Return the words that tell a step apart, without their endings: ``boiling the sugar`` is boil and sugar."""
    words = re.findall(r"\w+", text.casefold())
    return frozenset(_ENDING.sub("", word) for word in words if word not in _LITTLE)


def of_sheet(cautions: Iterable[Caution], *sheets: str) -> list[Caution]:
    """Return the hazards of some sheets of work."""
    return [caution for caution in cautions if caution.sheet in sheets]


def count_of(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun."""
    return f"{number} {one if number == 1 else many or one + 's'}"
