"""Words on the cake or its board: where they stand, whether a tip can write them, and whether they can be read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, pi, sin
from typing import Final

from tierwright.brief.decor import Lettering, LetterPlace
from tierwright.errors import OutOfRange, UnknownName
from tierwright.finish.colour import Contrast, Lab, contrast, lab_of_hex
from tierwright.finish.lettering import (
    Reads,
    Written,
    size_for_capital,
    write_on_arc,
    write_straight,
)
from tierwright.finish.lettering_faces import FaceStyle
from tierwright.finish.model import SHEET, DecorMass, Placed, Point3, Surface
from tierwright.finish.piping import line_of
from tierwright.finish.stuff import Stuff
from tierwright.finish.tables import amount, time_of
from tierwright.ranges import times, with_losses
from tierwright.shapes import Shape
from tierwright.working import Basis, Estimate, Figure, Given, Notes, Question, Severity, Source

DARK: Final = "#3a2418"
BOARD: Final = "#f7f4ec"
"""Colour of letters, and of a covered board, of which nobody has said one. For drawing and contrast alone."""
MARGIN_MM: Final = 2.0
"""Room kept on either side of letters on a board. [mm] Common practice."""
THICK_MM: Final = 1.5
LINE: Final = Source(
    basis=Basis.FROM_MEMORY,
    text="a line laid at the speed at which it leaves the tip, as for piped rows; see lettering",
)
WCAG: Final = Source(basis=Basis.PUBLISHED, text="W3C, WCAG 2.2 (2023), contrast ratio and large scale")


@dataclass(frozen=True, slots=True, kw_only=True)
class Inscription:
    """
    Words as they stand.

    Attributes
    ----------
    number
        Place in the brief, from 1.
    tier, place
        Which tier, and where on it.
    written
        Letters and outlines; on a board about the middle of the cake, else about the middle of the front.
    foot_mm
        How far the feet of the letters stand over the tier's foot, for a band. [mm]
    contrast
        Against the ground.
    tip_mm, least_mm
        Opening of the tip, and the least height of a capital whose gaps it leaves open; 0 where no tip is named. [mm]
    colour
        ``#rrggbb``.
    radius_mm
        Of the line on which they stand round a board; 0 for a straight one. [mm]
    mass
        What they are piped of, with the tier that they stand on or beside; None where no tip is named.
    """

    number: int
    tier: int
    place: LetterPlace
    written: Written
    foot_mm: float
    contrast: Contrast
    tip_mm: float
    least_mm: float
    colour: str
    radius_mm: float = 0.0
    mass: DecorMass | None = None

    @property
    def minutes(self) -> Estimate:
        """Hands' time to write it. [min]"""
        return time_of("letters").minutes * len([one for one in self.written.letters if one.letter.strip()])


# A change of the hour or of the guests leaves the words as they are: the same line is set once.
_on_arc = lru_cache(maxsize=64)(write_on_arc)
_straight = lru_cache(maxsize=64)(write_straight)


def inscribe(
    asked: Sequence[Lettering], surfaces: Sequence[Surface], hues: Mapping[str, str], stuffs: Mapping[str, Stuff]
) -> tuple[tuple[Inscription, ...], Notes]:
    """
    Lay out all words.

    Parameters
    ----------
    asked
        What is to be written.
    surfaces
        The coated tiers.
    hues
        Colours of the brief by its words, ``#rrggbb``.
    stuffs
        What they may be piped of, by its key.
    """
    tiers = {surface.tier: surface for surface in surfaces}
    made: list[Inscription] = []
    questions: list[Question] = []
    for number, one in enumerate(asked, start=1):
        surface = tiers.get(one.tier)
        if surface is None:
            questions.append(_stop(number, one, f"The cake has no tier {one.tier}.", "another tier"))
            continue
        try:
            made.append(_written(number, one, surface, hues, stuffs))
        except (OutOfRange, UnknownName) as error:
            questions.append(_stop(number, one, f"{error}.", "fewer or smaller letters, or another place"))
            continue
        if one.tip and made[-1].mass is None:
            questions.append(_no_stuff(number, one))
    questions += list(_doubts(made))
    return tuple(made), Notes(figures=tuple(_figures(made)), questions=tuple(questions))


def _written(
    number: int, one: Lettering, surface: Surface, hues: Mapping[str, str], stuffs: Mapping[str, Stuff]
) -> Inscription:
    style = FaceStyle(one.style.value)
    size = size_for_capital(one.height, style)
    foot = one.foot if one.foot is not None else max(0.0, (surface.height_mm - one.height) / 2)
    radius = 0.0
    ground = hues.get(one.ground or "", BOARD if one.place is LetterPlace.BOARD else surface.colour)
    match one.place:
        case LetterPlace.BAND:
            if foot + one.height > surface.height_mm:
                raise OutOfRange("upper edge of the letters", foot + one.height, 0.0, surface.height_mm, "mm", one.text)
            written = _straight(one.text, size_mm=size, style=style, fit_mm=surface.side.length_at(foot) / 2)
        case LetterPlace.TOP:
            if surface.above is not None:
                raise OutOfRange("height of letters on a top that carries a tier", one.height, 0.0, 0.0, "mm", one.text)
            fit = 1.6 * min(surface.top.outline.extent_mm) / 2
            written = _straight(one.text, size_mm=size, style=style, fit_mm=fit, middle_mm=(0.0, -one.height / 2))
        case LetterPlace.BOARD:
            written, radius = _on_board(one, surface, size, style)
    colour = hues.get(one.colour or "", DARK)
    return Inscription(
        number=number,
        tier=0 if one.place is LetterPlace.BOARD else surface.tier,
        place=one.place,
        written=written,
        foot_mm=foot if one.place is LetterPlace.BAND else 0.0,
        contrast=contrast(_lab(colour), _lab(ground), size_mm=max(1.0, written.size_mm)),
        tip_mm=one.tip or 0.0,
        least_mm=0.0 if one.tip is None else written.capital_mm * one.tip / written.narrowest_mm,
        colour=colour,
        radius_mm=radius,
        mass=_mass(written, one.tip, surface, stuffs.get(one.formula or surface.coat)),
    )


def _mass(written: Written, tip_mm: float | None, surface: Surface, stuff: Stuff | None) -> DecorMass | None:
    """Weigh what is piped: every stroke one line of the tip."""
    if tip_mm is None or stuff is None:
        return None
    volume, height = line_of(tip_mm, written.stroke_mm)
    on_cake = times(volume, stuff.density_g_per_ml)
    return DecorMass(
        tier=surface.tier,
        part="piping",
        formula=stuff.key,
        volume_ml=volume,
        on_cake_g=on_cake,
        to_make_g=with_losses(on_cake, amount("bowl_loss").value, amount("bag_loss").value),
        thickness_mm=height,
    )


def _on_board(one: Lettering, surface: Surface, size_mm: float, style: FaceStyle) -> tuple[Written, float]:
    """Return words on the board, and the radius of their line; 0 where it is straight. [mm]"""
    if surface.ground is None:
        raise OutOfRange("breadth of the board that shows", 0.0, one.height, 500.0, "mm", one.text)
    room = surface.ledge_mm - 2 * MARGIN_MM
    if one.height > room:
        raise OutOfRange("height of a capital on the board", one.height, 0.0, max(0.0, room), "mm", one.text)
    inner = surface.foot.reach_mm + surface.ledge_mm / 2
    if surface.foot.outline.shape is Shape.ROUND and surface.ground.outline.shape is Shape.ROUND:
        # Read along the near edge: the feet of the letters lie outward.
        radius = inner + one.height / 2
        return _on_arc(
            one.text, size_mm=size_mm, radius_mm=radius, style=style, reads=Reads.INWARD, most_deg=150.0
        ), radius
    half = min(surface.ground.outline.extent_mm) / 2
    front = surface.foot.outline.extent_mm[1] / 2 + surface.foot.by_mm
    board = surface.ground.outline.extent_mm
    return _straight(
        one.text, size_mm=size_mm, style=style, fit_mm=0.9 * board[0],
        middle_mm=(0.0, -(front + max(0.0, half - front) / 2) - one.height / 2),
    ), 0.0  # fmt: skip


def _lab(hue: str) -> Lab:
    return lab_of_hex(hue)


def letter_parts(inscriptions: Sequence[Inscription], surfaces: Sequence[Surface]) -> tuple[Placed, ...]:
    """Return every letter as a placed thing, at the left end of its foot; it is as high as a capital."""
    tiers = {surface.tier: surface for surface in surfaces}
    found: list[Placed] = []
    for words in inscriptions:
        for letter in words.written.letters:
            if not letter.letter.strip():
                continue
            x, y = letter.at_mm
            turn = letter.turn_deg * pi / 180
            if words.place is LetterPlace.BAND:
                surface = tiers[words.tier]
                whole = surface.foot.path.length_mm
                s = whole / 2 + x * whole / surface.side.length_at(words.foot_mm)
                at, out = surface.at(s, words.foot_mm)
                run = surface.foot.path.spot(s).along
                along: Point3 = (run[0], run[1], 0.0)
            else:
                level = tiers[words.tier].top_mm if words.tier else 0.0
                at, out, along = (x, y, level), (0.0, 0.0, 1.0), (cos(turn), sin(turn), 0.0)
            found.append(
                Placed(
                    what="letter", tier=words.tier, at_mm=at, out=out, along=along,
                    size_mm=(letter.advance_mm, words.written.capital_mm, THICK_MM), colour=words.colour,
                    detail=letter.letter,
                )
            )  # fmt: skip
    return tuple(found)


def _figures(made: Sequence[Inscription]) -> Iterable[Figure]:
    for words in made:
        yield Figure(
            key=f"finish.lettering.{words.number}.contrast",
            label=f"Contrast of \N{LEFT DOUBLE QUOTATION MARK}{words.written.text}\N{RIGHT DOUBLE QUOTATION MARK}",
            value=words.contrast.ratio,
            equation="(lighter luminance + 0.05) / (darker + 0.05)",
            inputs=(
                Given(name="needed at this size and distance", value=words.contrast.needed),
                Given(name="capital", value=words.written.capital_mm, unit="mm"),
                Given(name="length of the words", value=words.written.length_mm, unit="mm"),
            ),
            source=WCAG,
            sheet=SHEET,
        )
        if words.mass is not None:
            grams = words.mass.on_cake_g
            yield Figure(
                key=f"finish.lettering.{words.number}.g",
                label=f"Mass of \N{LEFT DOUBLE QUOTATION MARK}{words.written.text}\N{RIGHT DOUBLE QUOTATION MARK}",
                value=grams.value,
                low=grams.low,
                high=grams.high,
                unit="g",
                equation="breadth^2 x height ratio x fill x length of all strokes x density; a stroke of area A and "
                "outline P is as long as the larger root of t^2 - P/2 t + A",
                inputs=(
                    Given(name="length of all strokes", value=words.written.stroke_mm, unit="mm"),
                    Given(name="opening of the tip", value=words.tip_mm, unit="mm"),
                    Given(name="volume", value=words.mass.volume_ml.value, unit="ml"),
                ),
                source=LINE,
                sheet=SHEET,
            )


def _doubts(made: Sequence[Inscription]) -> Iterable[Question]:
    for words in made:
        if not words.contrast.reads:
            yield Question(
                key=f"finish.lettering.{words.number}.contrast",
                severity=Severity.ASK,
                sheet=SHEET,
                text=f"Will \N{LEFT DOUBLE QUOTATION MARK}{words.written.text}\N{RIGHT DOUBLE QUOTATION MARK} be read?",
                reason="Its colour is too near that of what is behind it.",
                figure=f"contrast {words.contrast.ratio:.1f}, {words.contrast.needed:.1f} needed",
                change="a darker or lighter colour, or larger letters",
            )
        if words.tip_mm and not words.written.takes(words.tip_mm):
            yield Question(
                key=f"finish.lettering.{words.number}.tip",
                severity=Severity.ASK,
                sheet=SHEET,
                text=f"Which tip writes \N{LEFT DOUBLE QUOTATION MARK}{words.written.text}"
                "\N{RIGHT DOUBLE QUOTATION MARK}?",
                reason="With this one the gaps in the letters close.",
                figure=f"{words.tip_mm:g} mm opening, {words.written.narrowest_mm:.1f} mm narrowest gap",
                change=f"a tip of {words.written.narrowest_mm:.1f} mm, or capitals of {words.least_mm:.0f} mm",
            )


def _no_stuff(number: int, one: Lettering) -> Question:
    return Question(
        key=f"finish.lettering.{number}.formula",
        severity=Severity.ASK,
        sheet=SHEET,
        text=f"What is \N{LEFT DOUBLE QUOTATION MARK}{one.text}\N{RIGHT DOUBLE QUOTATION MARK} piped of?",
        reason="Nothing is known of it that could be piped, so it has not been weighed.",
        change="name a formula",
    )


def _stop(number: int, one: Lettering, reason: str, change: str) -> Question:
    return Question(
        key=f"finish.lettering.{number}",
        severity=Severity.STOP,
        sheet=SHEET,
        text=f"Where is \N{LEFT DOUBLE QUOTATION MARK}{one.text}\N{RIGHT DOUBLE QUOTATION MARK} to stand?",
        reason=reason.replace("..", "."),
        change=change,
    )
