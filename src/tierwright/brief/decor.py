"""What the finished cake is to wear: piping, textures, bands, drips, paint, leaf, flowers, colours, lettering."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from difflib import get_close_matches
from enum import StrEnum
from typing import Annotated, Any, Final

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema

from tierwright.brief.fields import Form, Key, Length, Mass, Share, Text
from tierwright.shapes import LARGEST_MM, SMALLEST_MM

TierNumber = Annotated[int, Field(ge=1, le=8)]
"""A tier by its number; 1 is the bottom."""
Pitch = Annotated[Length, Field(gt=0, le=400)]
Small = Annotated[Length, Field(gt=0, le=200)]
Seed = Annotated[int, Field(ge=0, le=2**31 - 1)]

_HEX: Final = re.compile(r"#(?:[0-9a-fA-F]{3}|[0-9a-fA-F]{6})")
_LAB: Final = re.compile(r"lab\s*\(?\s*(-?\d+(?:\.\d+)?)[\s,]+(-?\d+(?:\.\d+)?)[\s,]+(-?\d+(?:\.\d+)?)\s*\)?", re.I)


def _known_colour(text: str) -> str:
    """Refuse what begins as a colour and is none; anything else is the name of a mix of the maker's own."""
    plain = text.strip()
    expected = "a colour such as '#f4ead2' or 'lab 93 0 14', or the name of a recorded mix"
    if plain.startswith("#") and not _HEX.fullmatch(plain):
        raise ValueError(expected)
    if re.match(r"lab\b", plain, re.I):
        match = _LAB.fullmatch(plain)
        if match is None or not 0 <= float(match[1]) <= 100 or max(abs(float(match[2])), abs(float(match[3]))) > 128:
            raise ValueError(expected)
    return plain


Colour = Annotated[
    str,
    Field(min_length=1, max_length=80),
    AfterValidator(_known_colour),
    WithJsonSchema(
        {
            "type": "string",
            "maxLength": 80,
            "description": "A colour such as '#f4ead2' or 'lab 93 0 14', or the name of a recorded mix.",
        }
    ),
]


class BorderPlace(StrEnum):
    """Where a piped row runs on its tier."""

    BASE = "base"  # round the foot, on the board or on the tier below
    TOP = "top edge"
    SIDE = "side"  # a row round the side at a height


class BorderKind(StrEnum):
    """What is piped in a row."""

    SHELL = "shell"
    BEAD = "bead"
    ROPE = "rope"
    LINE = "line"
    ROSETTE = "rosette"
    SWAG = "swag"  # a line that hangs from point to point


def _open_if_close(value: Any) -> Any:
    """Take ``close`` for a pitch that the size of the pieces settles."""
    return None if isinstance(value, str) and value.strip().casefold() == "close" else value


class Border(Form):
    """
    A piped row round a tier.

    ``tip`` is the opening of the tip. ``pitch`` is the distance from middle to middle, or ``close`` to let the pieces
    touch; it is changed by as little as makes the row close. ``drop`` is how far a swag hangs. Without a ``formula``
    the row is piped of the tier's own coat. ``ten_weigh`` is what ten pieces of the maker's own piping weigh.
    """

    tier: TierNumber
    where: BorderPlace = BorderPlace.BASE
    kind: BorderKind = BorderKind.SHELL
    tip: Annotated[Length, Field(ge=0.5, le=30)]
    pitch: Annotated[Pitch | None, BeforeValidator(_open_if_close)] = None
    height: Annotated[Length, Field(ge=0, le=600)] | None = None
    drop: Small | None = None
    formula: Key | None = None
    ten_weigh: Annotated[Mass, Field(gt=0, le=2000)] | None = None


class TextureKind(StrEnum):
    """How the coat of a tier is worked."""

    SMOOTH = "smooth"
    COMBED = "combed"
    STRIPED = "striped"  # grooves filled with a second coat, then scraped flush
    SPREAD = "spread"  # strokes of a palette knife left to stand


class Texture(Form):
    """
    How the coat of one tier is worked: depth of the grooves, their distance, and for stripes the second coat.

    A ``striped`` tier wears level rings; ``upright`` stripes run from foot to edge and are counted round the tier.
    ``groove`` is the breadth of one groove or filled stripe.
    """

    tier: TierNumber
    kind: TextureKind
    depth: Annotated[Length, Field(gt=0, le=15)] | None = None
    pitch: Annotated[Length, Field(ge=1, le=200)] | None = None
    groove: Annotated[Length, Field(gt=0, le=200)] | None = None
    upright: bool = False
    formula: Key | None = None


class BandKind(StrEnum):
    """What goes round a tier at a height."""

    STENCIL = "stencil"  # a pattern spread through a cut sheet
    PASTE = "paste"  # rolled paste, cut to a template
    PRINTED = "printed"  # an edible printed sheet
    RIBBON = "ribbon"  # not food


class Band(Form):
    """
    A band or stencil round a tier.

    ``repeat`` is the length wanted for one repeat of its pattern, measured on the coated tier; it is changed by as
    little as makes whole repeats close. ``foot`` is how far above the tier's foot the band begins. ``open_share`` is
    the cut-out share of a stencil. ``measured`` is how far it is round the coated tier halfway up the band, by tape.
    """

    tier: TierNumber
    kind: BandKind = BandKind.STENCIL
    height: Annotated[Length, Field(ge=2, le=600)]
    foot: Annotated[Length, Field(ge=0, le=600)] = 0.0
    repeat: Annotated[Length, Field(ge=5, le=2000)] | None = None
    thickness: Annotated[Length, Field(gt=0, le=10)] | None = None
    open_share: Annotated[Share, Field(gt=0, le=1)] | None = None
    overlap: Annotated[Length, Field(ge=0, le=60)] = 0.0
    measured: Annotated[Length, Field(ge=60, le=5000)] | None = None
    formula: Key | None = None
    motif: Text | None = None
    colour: Colour | None = None


class Drip(Form):
    """
    Drips over the top edge of a tier: how many or how far apart, how long at most, how wide.

    ``flood`` also covers the top that shows.
    """

    tier: TierNumber
    formula: Key
    count: Annotated[int, Field(ge=1, le=400)] | None = None
    spacing: Annotated[Length, Field(ge=5, le=400)] | None = None
    longest: Annotated[Length, Field(ge=3, le=600)]
    width: Annotated[Length, Field(ge=2, le=40)] = 8.0
    flood: bool = False
    colour: Colour | None = None
    seed: Seed = 1


class PaintWay(StrEnum):
    """How colour is laid on."""

    BRUSHED = "brushed"
    AIRBRUSHED = "airbrushed"
    DUSTED = "dusted"  # dry, with a brush


class Painted(Form):
    """A share of a tier's side and top that shows, coloured after it is coated."""

    tier: TierNumber
    share: Annotated[Share, Field(gt=0, le=1)]
    way: PaintWay = PaintWay.BRUSHED
    layers: Annotated[int, Field(ge=1, le=8)] = 1
    colour: Colour | None = None
    product: Text | None = None


class LeafMetal(StrEnum):
    """The metal of a leaf."""

    GOLD = "gold"
    SILVER = "silver"


class Leaf(Form):
    """
    Metal leaf on a share of a tier's side.

    ``label`` is what its packet says, such as ``E175`` or ``for food``; without it the leaf is not taken for food.
    """

    tier: TierNumber
    share: Annotated[Share, Field(gt=0, le=1)]
    metal: LeafMetal = LeafMetal.GOLD
    sheet: Annotated[Length, Field(ge=10, le=200)] = 80.0
    label: Text | None = None


class FlowerState(StrEnum):
    """How a flower comes to the cake."""

    FRESH = "fresh"
    PRESSED = "pressed"
    SUGARED = "sugared"
    SUGAR_MADE = "sugar-made"


class FlowerPlace(StrEnum):
    """Where flowers lie on their tier."""

    TOP = "top"  # what shows of it
    SIDE = "side"
    BASE = "base"  # round the foot, on what shows of the board or the tier below


class Arrangement(StrEnum):
    """How flowers lie."""

    SCATTER = "scatter"
    CRESCENT = "crescent"
    RING = "ring"
    CASCADE = "cascade"  # from the top edge down the side


class FlowerGroup(Form):
    """
    Flowers of one kind and size on one tier, by number or by the share of the surface that they cover.

    ``species`` is a common or botanical name. ``keep_off_cuts`` keeps them off the lines on which the tier is cut.
    """

    species: Text
    state: FlowerState = FlowerState.FRESH
    diameter: Annotated[Length, Field(ge=3, le=200)]
    tier: TierNumber
    where: FlowerPlace = FlowerPlace.TOP
    coverage: Annotated[Share, Field(gt=0, le=0.9)] | None = None
    count: Annotated[int, Field(ge=1, le=500)] | None = None
    arrangement: Arrangement = Arrangement.SCATTER
    keep_off_cuts: bool = False
    wired: bool = False
    colour: Colour | None = None
    seed: Seed = 1


class CoatColour(Form):
    """The colour wanted for the coat of one tier."""

    tier: TierNumber
    wanted: Colour


class LetterPlace(StrEnum):
    """Where words are written."""

    BOARD = "board"  # round what shows of the base board
    BAND = "band"  # round the side of a tier
    TOP = "top"


class LetterStyle(StrEnum):
    """The cut of the letters."""

    UPRIGHT = "upright"
    ITALIC = "italic"
    BOLD = "bold"
    SCRIPT = "script"


class Lettering(Form):
    """Words on the cake or its board. ``height`` is that of a capital; ``foot`` is where a band of letters begins."""

    text: Annotated[str, Field(min_length=1, max_length=120)]
    place: LetterPlace = LetterPlace.BOARD
    tier: TierNumber = 1
    height: Annotated[Length, Field(ge=3, le=150)]
    foot: Annotated[Length, Field(ge=0, le=600)] | None = None
    style: LetterStyle = LetterStyle.UPRIGHT
    colour: Colour | None = None
    ground: Colour | None = None
    formula: Key | None = None
    tip: Annotated[Length, Field(ge=0.5, le=10)] | None = None


class Carved(Form):
    """A tier carved narrower towards its top: ``top_width`` is measured as the tier's width is, before coating."""

    tier: TierNumber
    top_width: Annotated[Length, Field(ge=SMALLEST_MM, le=LARGEST_MM)]


class Decor(Form):
    """Everything that the cake is to wear; what is left out is not there."""

    carved: tuple[Carved, ...] = Field(default=(), max_length=8)
    borders: tuple[Border, ...] = Field(default=(), max_length=30)
    textures: tuple[Texture, ...] = Field(default=(), max_length=8)
    bands: tuple[Band, ...] = Field(default=(), max_length=20)
    drips: tuple[Drip, ...] = Field(default=(), max_length=8)
    painted: tuple[Painted, ...] = Field(default=(), max_length=20)
    leaf: tuple[Leaf, ...] = Field(default=(), max_length=20)
    flowers: tuple[FlowerGroup, ...] = Field(default=(), max_length=40)
    colours: tuple[CoatColour, ...] = Field(default=(), max_length=8)
    lettering: tuple[Lettering, ...] = Field(default=(), max_length=10)

    @property
    def is_plain(self) -> bool:
        """Whether nothing at all is asked for."""
        return all(not getattr(self, name) for name in type(self).model_fields)


def check_decor(
    decor: Decor,
    formulas: Iterable[str],
    known: Callable[[str], bool],
    report: Callable[..., None],
) -> None:
    """
    Report every contradiction in a decor.

    A tier that the cake does not have is no contradiction but an open question: the number of tiers may change.

    Parameters
    ----------
    decor
        What is asked for.
    formulas
        Keys of the commission's formulas.
    known
        Whether a key that is no formula's names a bought ingredient.
    report
        Called with the place, what was found, what was expected, and the nearest that would work.
    """
    keys = tuple(formulas)
    for name in type(decor).model_fields:
        for position, entry in enumerate(getattr(decor, name), start=1):
            where = f"decor.{name}[{position}]"
            key = getattr(entry, "formula", None)
            if key is not None and key not in keys and not known(key):
                near = get_close_matches(key, keys, n=1, cutoff=0.3)
                expected = "the key of a formula or a bought ingredient's name"
                report(f"{where}.formula", repr(key), expected, "".join(near))
    for name in ("carved", "textures", "colours"):
        seen: set[int] = set()
        for position, entry in enumerate(getattr(decor, name), start=1):
            if entry.tier in seen:
                report(f"decor.{name}[{position}].tier", f"tier {entry.tier} again", "each tier once")
            seen.add(entry.tier)
    for position, border in enumerate(decor.borders, start=1):
        if border.where is BorderPlace.SIDE and border.height is None:
            report(
                f"decor.borders[{position}].height", "nothing", "how far above the tier's foot the row runs", "20 mm"
            )
        if border.where is not BorderPlace.SIDE and border.height is not None:
            report(f"decor.borders[{position}].height", "a height", "a height for a row on the side alone")
    for position, drip in enumerate(decor.drips, start=1):
        if (drip.count is None) == (drip.spacing is None):
            report(f"decor.drips[{position}]", "both or neither of count and spacing", "one of them", "spacing 25 mm")
    for position, texture in enumerate(decor.textures, start=1):
        if texture.kind is TextureKind.STRIPED and texture.formula is None:
            report(f"decor.textures[{position}].formula", "nothing", "the formula of the second coat in the stripes")
        if None not in (texture.groove, texture.pitch) and texture.groove >= texture.pitch:  # type: ignore[operator]
            report(f"decor.textures[{position}].groove", f"{texture.groove:g} mm", "less than the pitch")
    for position, group in enumerate(decor.flowers, start=1):
        if (group.coverage is None) == (group.count is None):
            report(f"decor.flowers[{position}]", "both or neither of coverage and count", "one of them", "count 7")
