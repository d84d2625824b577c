"""The forms of the finish: piping, worked coats, bands, drips, paint and leaf, flowers, colours, lettering."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import Any, Final

from django.utils.translation import gettext_lazy as _

from tierwright.brief.decor import (
    Arrangement,
    BandKind,
    BorderKind,
    BorderPlace,
    FlowerPlace,
    FlowerState,
    LeafMetal,
    LetterPlace,
    LetterStyle,
    PaintWay,
    TextureKind,
)
from tierwright.web.sheet import Box, Field, Part, Rows, Words

UNSAID: Final[tuple[str, Words]] = ("", "\N{EN DASH}")
PIECES: Final = (
    (BorderKind.SHELL, _("shells")),
    (BorderKind.BEAD, _("beads")),
    (BorderKind.ROPE, _("a rope")),
    (BorderKind.LINE, _("a line")),
    (BorderKind.ROSETTE, _("rosettes")),
    (BorderKind.SWAG, _("swags")),
)
PLACES: Final = (
    (BorderPlace.BASE, _("round the foot")),
    (BorderPlace.TOP, _("on the top edge")),
    (BorderPlace.SIDE, _("round the side, at a height")),
)
TEXTURES: Final = (
    (TextureKind.SMOOTH, _("smooth")),
    (TextureKind.COMBED, _("combed")),
    (TextureKind.STRIPED, _("striped with a second coat")),
    (TextureKind.SPREAD, _("strokes of a palette knife")),
)
BANDS: Final = (
    (BandKind.STENCIL, _("stencilled")),
    (BandKind.PASTE, _("rolled paste")),
    (BandKind.PRINTED, _("printed, edible")),
    (BandKind.RIBBON, _("ribbon, taken off to cut")),
)
WAYS: Final = (
    (PaintWay.BRUSHED, _("with a brush")),
    (PaintWay.AIRBRUSHED, _("sprayed")),
    (PaintWay.DUSTED, _("dusted, dry")),
)
METALS: Final = ((LeafMetal.GOLD, _("gold")), (LeafMetal.SILVER, _("silver")))
STATES: Final = (
    (FlowerState.FRESH, _("fresh")),
    (FlowerState.PRESSED, _("pressed")),
    (FlowerState.SUGARED, _("sugared")),
    (FlowerState.SUGAR_MADE, _("made of sugar")),
)
GROUNDS: Final = (
    (FlowerPlace.TOP, _("on the top that shows")),
    (FlowerPlace.SIDE, _("on the side")),
    (FlowerPlace.BASE, _("round the foot")),
)
ARRANGEMENTS: Final = (
    (Arrangement.SCATTER, _("scattered")),
    (Arrangement.CRESCENT, _("in a crescent")),
    (Arrangement.RING, _("in a ring")),
    (Arrangement.CASCADE, _("falling from the top edge")),
)
WRITTEN: Final = (
    (LetterPlace.BOARD, _("round the board")),
    (LetterPlace.BAND, _("round the side")),
    (LetterPlace.TOP, _("on the top")),
)
CUTS: Final = (
    (LetterStyle.UPRIGHT, _("upright")),
    (LetterStyle.ITALIC, _("italic")),
    (LetterStyle.BOLD, _("bold")),
    (LetterStyle.SCRIPT, _("script")),
)
ON: Final = _("On tier number, 1 at the bottom")


def _choices(pairs: Iterable[tuple[StrEnum, Words]]) -> tuple[tuple[str, Words], ...]:
    return (UNSAID, *((str(value), words) for value, words in pairs))


def _tier() -> Field:
    return Field(path="tier", label=ON, box=Box.WHOLE)


def _pick(path: str, label: Words, pairs: Iterable[tuple[StrEnum, Words]]) -> Field:
    return Field(path=path, label=label, box=Box.CHOICE, choices=_choices(pairs))


def _part(key: str, title: Words, row: Words, most: int, *fields: Field, hint: Words = "", path: str = "") -> Part:
    rows = Rows(path=f"decor.{path or key}", label=title, row=row, most=most, fields=fields)
    return Part(key=key, title=title, hint=hint, items=(rows,))


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms, what may be piped and poured being the commission's own formulas."""
    formulas = [entry for entry in brief.get("formulas", []) if isinstance(entry, dict)]
    named = tuple((str(one.get("key", "")), str(one.get("name", ""))) for one in formulas)
    known = {key for key, _name in named}
    used = {str(row["formula"]) for row in _rows(brief) if row.get("formula")}
    made = (UNSAID, *named, *((key, key) for key in sorted(used - known)))

    def of(label: Words) -> Field:
        return Field(path="formula", label=label, box=Box.CHOICE, choices=made)

    colour = Field(path="colour", label=_("Colour"), hint=_("such as #f4ead2 or lab 93 0 14; empty: its own"))
    foot = Field(path="foot", label=_("Begins above the foot"), hint=_("such as 15 mm"))
    return (
        _part(
            "borders", _("Piped rows"), _("Row"), 30,
            _tier(),
            _pick("kind", _("Pipe"), PIECES),
            _pick("where", _("Where"), PLACES),
            Field(path="tip", label=_("Opening of the tip"), hint=_("such as 8 mm")),
            Field(path="pitch", label=_("From middle to middle"), hint=_("empty: close; changed until it closes")),
            Field(path="height", label=_("Height over the foot, for a row on the side")),
            Field(path="drop", label=_("How far a swag hangs"), hint=_("empty: a quarter of its span")),
            of(_("Piped of; empty: the tier's own coat")),
            Field(path="ten_weigh", label=_("Ten of your own weigh"), hint=_("such as 9 g; goes before the table")),
        ),
        _part(
            "textures", _("Worked coats"), _("Coat"), 8,
            _tier(),
            _pick("kind", _("The coat is"), TEXTURES),
            Field(path="depth", label=_("Grooves are deep"), hint=_("such as 4 mm")),
            Field(path="pitch", label=_("From groove to groove"), hint=_("such as 6 mm")),
            Field(path="groove", label=_("A groove or stripe is wide")),
            Field(path="upright", label=_("They run from foot to edge"), box=Box.TICK),
            of(_("Second coat, in the stripes")),
        ),
        _part(
            "bands", _("Bands and stencils"), _("Band"), 20,
            _tier(),
            _pick("kind", _("The band is"), BANDS),
            Field(path="height", label=_("High"), hint=_("such as 40 mm")),
            foot,
            Field(path="repeat", label=_("One repeat, about"), hint=_("it is changed until whole ones close")),
            Field(path="measured", label=_("Measured round the coated tier"), hint=_("by tape, halfway up the band")),
            Field(path="overlap", label=_("Ends lap by")),
            Field(path="thickness", label=_("Thick")),
            Field(path="open_share", label=_("Cut-out share of a stencil"), hint=_("such as 35 %")),
            of(_("Made of; a stencil without: the tier's own coat")),
            Field(path="motif", label=_("Pattern, in words")),
            colour,
            hint=_("Templates at full size are in the printed sheets."),
        ),
        _part(
            "drips", _("Drips"), _("Drips"), 8,
            _tier(),
            of(_("Glaze")),
            Field(path="count", label=_("How many"), box=Box.WHOLE, hint=_("or how far apart")),
            Field(path="spacing", label=_("How far apart"), hint=_("such as 25 mm")),
            Field(path="longest", label=_("The longest"), hint=_("such as 40 mm")),
            Field(path="width", label=_("Wide")),
            Field(path="flood", label=_("The top is covered too"), box=Box.TICK),
            colour,
        ),
        _part(
            "painted", _("Painted, sprayed or dusted"), _("Area"), 20,
            _tier(),
            Field(path="share", label=_("Share of side and top"), hint=_("such as 10 %")),
            _pick("way", _("How"), WAYS),
            Field(path="layers", label=_("Layers"), box=Box.WHOLE),
            Field(path="product", label=_("What the packet calls it")),
            colour,
        ),
        _part(
            "leaf", _("Gold and silver leaf"), _("Leaf"), 20,
            _tier(),
            Field(path="share", label=_("Share of the side"), hint=_("such as 5 %")),
            _pick("metal", _("Metal"), METALS),
            Field(path="sheet", label=_("Side of one leaf"), hint=_("such as 80 mm")),
            Field(path="label", label=_("What the packet says"), hint=_("such as E 175")),
        ),
        _part(
            "groups", _("Flowers"), _("Flowers"), 40,
            _tier(),
            Field(path="species", label=_("Which"), hint=_("by its botanical name, if you can")),
            _pick("state", _("They are"), STATES),
            Field(path="diameter", label=_("Across"), hint=_("such as 25 mm")),
            Field(path="count", label=_("How many"), box=Box.WHOLE, hint=_("or the share that they cover")),
            Field(path="coverage", label=_("Share covered"), hint=_("such as 20 %")),
            _pick("where", _("Where"), GROUNDS),
            _pick("arrangement", _("Laid"), ARRANGEMENTS),
            Field(path="keep_off_cuts", label=_("Kept off the cuts"), box=Box.TICK),
            Field(path="wired", label=_("On a wire or stem, in a pick"), box=Box.TICK),
            Field(path="seed", label=_("Throw"), box=Box.WHOLE, hint=_("another number lays them anew")),
            colour,
            path="flowers",
        ),
        _part(
            "colours", _("Colour of a coat"), _("Colour"), 8,
            _tier(),
            Field(path="wanted", label=_("Wanted"), hint=_("such as #f4ead2, lab 93 0 14, or a recorded mix")),
        ),
        _part(
            "lettering", _("Lettering"), _("Words"), 10,
            _tier(),
            Field(path="text", label=_("Words")),
            _pick("place", _("Where"), WRITTEN),
            Field(path="height", label=_("Height of a capital"), hint=_("such as 12 mm")),
            foot,
            _pick("style", _("Letters"), CUTS),
            colour,
            Field(path="ground", label=_("Colour behind them")),
            of(_("Piped of")),
            Field(path="tip", label=_("Opening of the tip"), hint=_("such as 2 mm")),
        ),
        _part(
            "carved", _("Carved tiers"), _("Tier"), 8,
            _tier(),
            Field(path="top_width", label=_("Width of the bare cake at its top"), hint=_("such as 18 cm")),
            hint=_("Portions and masses stay those of the straight tier."),
        ),
    )  # fmt: skip


def _rows(brief: dict[str, Any]) -> list[dict[str, Any]]:
    decor = brief.get("decor") or {}
    lists = [rows for rows in decor.values() if isinstance(rows, list)] if isinstance(decor, dict) else []
    return [row for rows in lists for row in rows if isinstance(row, dict)]
