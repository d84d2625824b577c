"""The maker's own colours, and the mixes of them that were made, measured and written down."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from difflib import get_close_matches
from enum import StrEnum
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, BeforeValidator, Field, PlainSerializer, WithJsonSchema

from tierwright.brief.decor import Colour
from tierwright.brief.fields import Form, Key, Mass, Minutes, Text

_DOSE: Final = re.compile(r"(\d+(?:[.,]\d+)?)\s*(drops?|mg|g)\s+(?:of\s+)?([a-z0-9][a-z0-9-]{0,59})", re.I)


class ColourSort(StrEnum):
    """What a colour comes as; it decides how it shifts, and whether it hides what is under it."""

    PASTE = "paste"  # thick, in water or glycerine
    LIQUID = "liquid"
    POWDER = "powder"
    OIL = "oil"  # for chocolate and fat
    PLANT = "plant"  # pressed or dried from plants
    WHITE = "white"  # whitens and covers


class MeasuredBy(StrEnum):
    """How the colour of a mix was measured."""

    GREY_CARD = "grey card"  # read off a photograph that was balanced on a grey card beside the mix
    INSTRUMENT = "instrument"


class ColourEntry(Form):
    """
    A colour on the shelf.

    ``drop`` is the mass of one drop, weighed by counting twenty; without it the colour is weighed. ``label`` is what
    the packet says it is fit for.
    """

    key: Key
    name: Text
    sort: ColourSort = ColourSort.PASTE
    drop: Annotated[Mass, Field(ge=0.002, le=1)] | None = None
    label: Text | None = None


class DoseEntry(Form):
    """So much of one colour in 100 g of base, in drops or grams."""

    amount: Annotated[float, Field(gt=0, le=200)]
    unit: Literal["drop", "g"]
    colour: Key


def _read_dose(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    match = _DOSE.fullmatch(value.strip())
    if match is None:
        raise ValueError("an amount in 100 g of base and a colour's key, such as '3 drops rose' or '0.2 g marigold'")
    amount = float(match[1].replace(",", "."))
    unit = match[2].lower()
    return DoseEntry(
        amount=amount / 1000 if unit == "mg" else amount,
        unit="g" if unit in ("g", "mg") else "drop",
        colour=match[3].lower(),
    )


def _write_dose(dose: DoseEntry) -> str:
    unit = dose.unit if dose.unit == "g" or dose.amount == 1 else "drops"
    return f"{dose.amount:g} {unit} {dose.colour}"


DoseText = Annotated[
    DoseEntry,
    BeforeValidator(_read_dose),
    PlainSerializer(_write_dose, return_type=str),
    WithJsonSchema({"type": "string", "description": "What went into 100 g of base, such as '3 drops rose'."}),
]


def _is_measured(text: str) -> str:
    if not text.lower().startswith(("#", "lab")):
        raise ValueError("a measured colour such as '#f4ead2' or 'lab 93 0 14'")
    return text


class MixEntry(Form):
    """
    A mix that was made and measured.

    ``base`` is the key of the coat's formula; a base by itself is a mix without doses, and has to be among them.
    ``stood`` is how long it stood before it was measured; ``light`` is the white that an instrument's CIELAB refers to.
    """

    name: Text
    base: Key
    doses: tuple[DoseText, ...] = Field(default=(), max_length=8)
    seen: Annotated[Colour, AfterValidator(_is_measured)]
    measured: MeasuredBy = MeasuredBy.GREY_CARD
    light: Literal["D65", "D50"] = "D65"
    stood: Annotated[Minutes, Field(ge=0, le=20_160)] | None = None


class ColourBook(Form):
    """The maker's colours and recorded mixes; ``scale_step`` is the finest step of the scale that weighs colours."""

    own: tuple[ColourEntry, ...] = Field(default=(), max_length=60)
    mixes: tuple[MixEntry, ...] = Field(default=(), max_length=400)
    scale_step: Annotated[Mass, Field(ge=0.001, le=5)] = 0.1


def check_colours(book: ColourBook, report: Callable[..., None]) -> None:
    """
    Report every contradiction in a colour book.

    Parameters
    ----------
    book
        Colours and mixes.
    report
        Called with the place, what was found, what was expected, and the nearest that would work.
    """
    shelf = {entry.key: entry for entry in book.own}
    for what, names in (("own", [entry.key for entry in book.own]), ("mixes", [mix.name for mix in book.mixes])):
        for name, times in Counter(names).items():
            if times > 1:
                report(f"colours.{what}", f"{name!r} {times} times", "each once")
    for position, mix in enumerate(book.mixes, start=1):
        where = f"colours.mixes[{position}]"
        for number, dose in enumerate(mix.doses, start=1):
            entry = shelf.get(dose.colour)
            if entry is None:
                near = get_close_matches(dose.colour, list(shelf), n=1, cutoff=0.3)
                report(
                    f"{where}.doses[{number}]", repr(dose.colour), "the key of one of the own colours", "".join(near)
                )
            elif dose.unit == "drop" and entry.drop is None:
                report(
                    f"{where}.doses[{number}]",
                    f"drops of {dose.colour!r}, of which no drop was weighed",
                    "grams, or the mass of a drop with the colour",
                    f"drop = '0.04 g' with {dose.colour!r}",
                )
        if mix.light == "D50" and mix.seen.startswith("#"):
            report(f"{where}.light", "D50 with a screen's colour", "D50 with a 'lab' colour alone", "D65")
