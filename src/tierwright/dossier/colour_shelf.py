"""From the kitchen's colour book to what the mixing of colours takes."""

from __future__ import annotations

from tierwright.brief.colours import ColourBook, ColourSort, MixEntry
from tierwright.finish.colour import Lab, White, read_colour, to_d65
from tierwright.finish.colour_mixing import Dose, MixModel, OwnColour, RecordedMix, learn_mixes


def shelf_of(book: ColourBook) -> tuple[tuple[OwnColour, ...], tuple[RecordedMix, ...]]:
    """
    Return the maker's colours and recorded mixes as ``learn_mixes`` takes them.

    Drops become grams by the mass of a drop; colours measured under D50 are brought to D65.
    """
    drops = {entry.key: entry.drop or 0.0 for entry in book.own}
    own = tuple(
        OwnColour(key=entry.key, name=entry.name, drop_g=entry.drop or 0.0, opaque=entry.sort is ColourSort.WHITE)
        for entry in book.own
    )
    mixes = tuple(
        RecordedMix(
            name=mix.name,
            base=mix.base,
            doses=tuple(
                Dose(
                    colour=dose.colour,
                    g_per_100g=dose.amount * (drops[dose.colour] if dose.unit == "drop" else 1.0),
                )
                for dose in mix.doses
            ),
            seen=_seen(mix),
        )
        for mix in book.mixes
    )
    return own, mixes


def mix_model(book: ColourBook, base: str) -> MixModel:
    """
    Return what the recorded mixes of one base say; worked once for as long as the book stands.

    Raises
    ------
    MissingData
        No mix of this base is recorded, or the bare base is not.
    """
    return learn_mixes(base, *shelf_of(book))


def named_colour(book: ColourBook, text: str) -> Lab | None:
    """Return a colour as a brief gives it: by number, or by the name of a recorded mix; None for an unknown name."""
    seen = read_colour(text)
    if seen is not None:
        return seen
    name = text.strip().casefold()
    return next((_seen(mix) for mix in book.mixes if mix.name.casefold() == name), None)


def from_plants(book: ColourBook, keys: tuple[str, ...]) -> bool:
    """Whether any of these colours comes from plants."""
    return any(entry.sort is ColourSort.PLANT for entry in book.own if entry.key in keys)


def _seen(mix: MixEntry) -> Lab:
    lab = read_colour(mix.seen)
    assert lab is not None  # the brief holds no mix of which no colour was measured
    return to_d65(lab, White(mix.light))
