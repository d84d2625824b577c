"""The colour wanted for a coat, from the maker's own recorded mixes: what to stir in, and how near it comes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from tierwright.brief.colours import ColourBook, ColourSort
from tierwright.brief.decor import CoatColour
from tierwright.errors import MissingData
from tierwright.finish.colour import Lab, White, hex_of_lab, read_colour, to_d65
from tierwright.finish.colour_cautions import colour_cautions
from tierwright.finish.colour_mixing import Dose, MixModel, OwnColour, RecordedMix, learn_mixes
from tierwright.finish.colour_wish import CLOSE_ENOUGH, ColouredBatch, ColourMatch, nearest_mix, portion_out
from tierwright.finish.model import SHEET, Surface
from tierwright.working import Basis, Caution, Figure, Given, Notes, Question, Severity, Source

LEAST_BATCH_G: Final = 20.0
KUBELKA_MUNK: Final = Source(
    basis=Basis.MAKER_RECORD,
    text="recorded mixes, through Kubelka and Munk's two constants (1931) and CIEDE2000 (CIE 142-2001)",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedTint:
    """
    The colour of one coat.

    Attributes
    ----------
    tier, wanted
        Which tier, and the wish in the brief's words.
    base
        Key of the coat's formula.
    wish
        The wished colour.
    match
        The nearest that the recorded mixes come.
    batch
        What goes into what is made for the tier.
    names
        Names of the colours in it, by key.
    hue
        The colour to be expected, ``#rrggbb``.
    """

    tier: int
    wanted: str
    base: str
    wish: Lab
    match: ColourMatch
    batch: ColouredBatch
    names: tuple[tuple[str, str], ...]
    hue: str


def colours_of(book: ColourBook) -> tuple[OwnColour, ...]:
    """Translate the maker's shelf of colours."""
    return tuple(
        OwnColour(
            key=entry.key, name=entry.name, drop_g=entry.drop or 0.0, opaque=entry.sort is ColourSort.WHITE
        )
        for entry in book.own
    )  # fmt: skip


def mixes_of(book: ColourBook) -> tuple[RecordedMix, ...]:
    """Translate the maker's recorded mixes; drops become grams, and what an instrument read becomes D65."""
    drops = {entry.key: entry.drop or 0.0 for entry in book.own}
    found: list[RecordedMix] = []
    for mix in book.mixes:
        seen = read_colour(mix.seen)
        assert seen is not None  # checked when the book was read
        found.append(
            RecordedMix(
                name=mix.name,
                base=mix.base,
                doses=tuple(
                    Dose(
                        colour=dose.colour,
                        g_per_100g=dose.amount * drops[dose.colour] if dose.unit == "drop" else dose.amount,
                    )
                    for dose in mix.doses
                ),
                seen=to_d65(seen, White(mix.light)),
            )
        )
    return tuple(found)


def wished(words: str, book: ColourBook) -> Lab | None:
    """Return a wished colour: by its numbers, else as the recorded mix of that name was measured; None if unknown."""
    plain = read_colour(words)
    if plain is not None:
        return plain
    known = {mix.name.casefold(): mix for mix in mixes_of(book)}
    found = known.get(words.strip().casefold())
    return None if found is None else found.seen


def from_plants(keys: Collection[str], book: ColourBook) -> bool:
    """Whether any of these colours comes from plants."""
    return any(entry.sort is ColourSort.PLANT for entry in book.own if entry.key in keys)


def work_tints(
    wishes: Sequence[CoatColour], surfaces: Sequence[Surface], base_g: dict[int, float], book: ColourBook
) -> tuple[tuple[WorkedTint, ...], Notes]:
    """
    Work the colour of every coat that a colour is wanted for.

    Parameters
    ----------
    wishes
        What is asked for.
    surfaces
        The coated tiers.
    base_g
        Coat that is made for each tier. [g]
    book
        The maker's colours and recorded mixes.
    """
    tiers = {surface.tier: surface for surface in surfaces}
    own, mixes = colours_of(book), mixes_of(book)
    made: list[WorkedTint] = []
    questions: list[Question] = []
    for wish in wishes:
        surface = tiers.get(wish.tier)
        grams = base_g.get(wish.tier, 0.0)
        if surface is None or not surface.coat or grams < LEAST_BATCH_G:
            questions.append(_ask(wish, "Which coat is it that is coloured?", "The tier has none.", "another tier"))
            continue
        lab = wished(wish.wanted, book)
        if lab is None:
            reason = "It is neither a colour by its numbers nor the name of a recorded mix."
            questions.append(
                _ask(wish, f"Which colour is {wish.wanted}?", reason, "such as #f4ead2, or record the mix")
            )
            continue
        try:
            model = learn_mixes(surface.coat, own, mixes)
        except MissingData as error:
            text = f"How is the coat of the {surface.name} tier coloured to {wish.wanted}?"
            questions.append(_ask(wish, text, f"{error}.", "measure the bare coat and a few mixes of it, once"))
            continue
        tint = _tint(wish, surface, lab, model, book, grams)
        made.append(tint)
        if not tint.match.reached:
            questions.append(
                _ask(
                    wish,
                    f"Will the nearest colour do for the {surface.name} tier?",
                    "The recorded colours do not reach the wish.",
                    "agree on the nearest, or record mixes of another colour or larger doses",
                    f"CIEDE2000 {tint.match.delta_e:.1f}; {CLOSE_ENOUGH:g} counts as reached",
                )
            )
    notes = Notes(figures=tuple(_figures(made)), questions=tuple(questions), cautions=_cautions(made, book))
    return tuple(made), notes


def _tint(wish: CoatColour, surface: Surface, lab: Lab, model: MixModel, book: ColourBook, grams: float) -> WorkedTint:
    match = nearest_mix(model, lab)
    batch = portion_out(model, match, grams, scale_step_g=book.scale_step)
    named = {entry.key: entry.name for entry in book.own}
    return WorkedTint(
        tier=surface.tier,
        wanted=wish.wanted,
        base=surface.coat,
        wish=lab,
        match=match,
        batch=batch,
        names=tuple((portion.colour, named[portion.colour]) for portion in batch.portions),
        hue=hex_of_lab(batch.predicted),
    )


def _ask(wish: CoatColour, text: str, reason: str, change: str, figure: str = "") -> Question:
    return Question(
        key=f"tier.{wish.tier}.finish.colour", severity=Severity.ASK, sheet=SHEET, text=text, reason=reason,
        figure=figure, change=change,
    )  # fmt: skip


def _figures(made: Iterable[WorkedTint]) -> Iterable[Figure]:
    for tint in made:
        error = tint.match.mean_error
        yield Figure(
            key=f"tier.{tint.tier}.finish.colour_apart",
            label=f"Coat of tier {tint.tier}: colour expected from the wish (CIEDE2000)",
            value=tint.batch.delta_e,
            high=None if error is None else tint.batch.delta_e + error,
            low=None if error is None else max(0.0, tint.batch.delta_e - error),
            equation="nearest mix within the recorded doses; Kubelka-Munk over sixteen wavelengths, then CIEDE2000",
            inputs=(
                Given(name="wish", value=tint.wish.describe()),
                Given(name="expected", value=tint.batch.predicted.describe()),
                Given(name="base", value=tint.batch.base_g, unit="g"),
                *(Given(name=dict(tint.names)[one.colour], value=one.g, unit="g") for one in tint.batch.portions),
                Given(name="mean miss on mixes left out", value="not known" if error is None else f"{error:.1f}"),
            ),
            source=KUBELKA_MUNK,
            sheet=SHEET,
        )


def _cautions(made: Sequence[WorkedTint], book: ColourBook) -> tuple[Caution, ...]:
    used = {portion.colour for tint in made for portion in tint.batch.portions}
    return colour_cautions(tuple(tint.wish for tint in made), from_plants=from_plants(used, book))
