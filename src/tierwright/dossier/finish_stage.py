"""From coated tiers to everything the finished cake wears, and back into what it weighs and takes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot
from typing import Final

from shapely.geometry import LinearRing
from shapely.geometry import Point as Dot

from tierwright.brief import Commission, Kitchen
from tierwright.brief.colours import ColourBook
from tierwright.brief.decor import (
    BorderPlace,
    CoatColour,
    Decor,
    FlowerGroup,
    FlowerPlace,
    LetterPlace,
    TextureKind,
)
from tierwright.coating import CoatedTier, Coating, Need, Part, PartMass, density
from tierwright.dossier.coating_stage import named_spread
from tierwright.errors import MissingData, OutOfRange, UnknownName
from tierwright.finish import (
    DecorMass,
    Flowers,
    Inscription,
    Order,
    Placed,
    Stuff,
    Surface,
    Ware,
    Work,
    WorkedTint,
    flower_notes,
    flower_parts,
    inscribe,
    lay_flowers,
    letter_parts,
    natural_colour,
    notes_of,
    scene_parts,
    surfaces_of,
    work_finish,
    work_tints,
)
from tierwright.finish.colour import hex_of_lab, read_colour
from tierwright.finish.placement import KeepOff
from tierwright.larder import board
from tierwright.shapes import Point
from tierwright.sizing import Sizing, Tier
from tierwright.working import NOTHING, Estimate, Notes, Question, Severity

PARTS: Final = {"piping": Part.PIPING, "stripes": Part.STRIPES, "band": Part.BAND, "drip": Part.DRIP}
ROOM_HUMIDITY: Final = 0.5
RIM_MM: Final = 1.0
"""Edges of slices nearer to the rim than this are the rim. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishWork:
    """
    What the finished cake wears.

    Attributes
    ----------
    surfaces
        Every coated tier as it stands, bottom first.
    work
        Everything piped, spread, dripped, painted and gilded.
    flowers
        Every flower where it lies, with what to have and to make.
    tints
        Coats that are coloured.
    inscriptions
        Words on the cake and its board.
    """

    surfaces: tuple[Surface, ...]
    work: Work
    flowers: Flowers
    tints: tuple[WorkedTint, ...] = ()
    inscriptions: tuple[Inscription, ...] = ()

    @property
    def wares(self) -> tuple[Ware, ...]:
        """What is bought by the piece."""
        return (*self.work.wares, *self.flowers.wares)

    @property
    def masses(self) -> tuple[DecorMass, ...]:
        """What it takes of formulas and bought coats, tier by tier."""
        return (*self.work.masses, *(words.mass for words in self.inscriptions if words.mass is not None))

    @property
    def minutes(self) -> Estimate:
        """Hands' time just before the day, flowers laid and words written; what is made ahead is left out. [min]"""
        result = self.work.minutes + self.flowers.laying_min
        for words in self.inscriptions:
            result = result + words.minutes
        return result

    @property
    def picks(self) -> tuple[tuple[int, str, int], ...]:
        """What has to be counted out before the cake is cut: tier number, what, how many."""
        removed = () if self.flowers.order is None else self.flowers.order.removed
        return tuple((thing.tier, thing.what, thing.count) for thing in (*self.work.inedibles, *removed))

    @property
    def decoration_g(self) -> dict[int, Estimate]:
        """Mass of what is bought and laid on, by tier; what is made of formulas is weighed with them. [g]"""
        grams = dict(self.flowers.decoration_g)
        for ware in self.wares:
            if ware.grams.value > 0:
                grams[ware.tier] = grams.get(ware.tier, NOTHING) + ware.grams
        return grams

    def parts(self) -> tuple[Placed, ...]:
        """Return everything that lies on the cake, for whoever draws it."""
        return (
            *scene_parts(self.work, self.surfaces),
            *letter_parts(self.inscriptions, self.surfaces),
            *flower_parts(self.flowers),
        )


def finish_tiers(
    commission: Commission, kitchen: Kitchen, sizing: Sizing, coating: Coating
) -> tuple[FinishWork | None, Coating, Notes]:
    """
    Run the finish stage for a coated stack.

    Parameters
    ----------
    commission, kitchen, sizing, coating
        The stages so far.

    Returns
    -------
    finish
        None where the tiers cannot be laid out as asked.
    coating
        With what the finish adds: its parts on the tiers, its needs among the formulas.
    notes
        Figures, questions, cautions and assumptions.
    """
    decor = commission.decor
    hues = _hues(decor)
    try:
        surfaces = surfaces_of(
            sizing.stack.tiers,
            coating.tiers,
            base=board(coating.base_board).outline if coating.base_board else None,
            boards=[board(tier.board) if tier.board else None for tier in coating.tiers],
            top_widths_mm={carved.tier: carved.top_width for carved in decor.carved},
            kinds={sheet.key: sheet.kind for sheet in commission.formulas},
            colours={wish.tier: hues[wish.wanted] for wish in decor.colours if wish.wanted in hues},
        )
    except OutOfRange as error:
        return None, coating, Notes(questions=(_refused(error),))
    tints, tint_notes = _tints(decor.colours, surfaces, tuple(_coat_made_g(coating).items()), kitchen.colours)
    hue = {tint.tier: tint.hue for tint in tints}
    # What is drawn is the colour that the mix will come to, not the wish.
    surfaces = tuple(replace(one, colour=hue.get(one.tier, one.colour)) for one in surfaces)
    order = Order(
        decor=decor,
        surfaces=surfaces,
        stuffs=_stuffs(commission, surfaces),
        coat_mm={surface.tier: surface.foot.by_mm for surface in surfaces},
        hues=hues,
    )
    work = work_finish(order)
    humidity = commission.venue.humidity
    inscriptions, word_notes = inscribe(decor.lettering, surfaces, hues, order.stuffs)
    flowers = _laid(
        decor.flowers,
        surfaces,
        tuple((tier.number, _cuts(tier)) for tier in sizing.stack.tiers if any(g.keep_off_cuts for g in decor.flowers)),
        tuple(_rims(work).items()),
        tuple(hues.items()),
        _written_on_board(inscriptions),
        ROOM_HUMIDITY if humidity is None else min(humidity.value, 0.9),
        kitchen.room,
    )
    finish = FinishWork(surfaces=surfaces, work=work, flowers=flowers, tints=tints, inscriptions=inscriptions)
    notes = notes_of(order, work, commission.jurisdiction.value) + flower_notes(flowers) + tint_notes + word_notes
    return finish, dressed(coating, work, finish.masses), notes


@lru_cache(maxsize=64)
def _tints(
    wishes: tuple[CoatColour, ...],
    surfaces: tuple[Surface, ...],
    base_g: tuple[tuple[int, float], ...],
    book: ColourBook,
) -> tuple[tuple[WorkedTint, ...], Notes]:
    """Mix the colours of the coats; another version of a commission with the same coats is not worked again."""
    return work_tints(wishes, surfaces, dict(base_g), book)


@lru_cache(maxsize=64)
def _laid(
    groups: tuple[FlowerGroup, ...],
    surfaces: tuple[Surface, ...],
    cuts: tuple[tuple[int, tuple[tuple[Point, Point], ...]], ...],
    rims_mm: tuple[tuple[tuple[int, FlowerPlace], float], ...],
    hues: tuple[tuple[str, str], ...],
    letters: tuple[KeepOff, ...],
    humidity_share: float,
    room_c: float,
) -> Flowers:
    """Lay the flowers; another version of a commission with the same tiers and groups is not worked again."""
    return lay_flowers(
        groups,
        surfaces,
        cuts=dict(cuts),
        rims_mm=dict(rims_mm),
        hues=dict(hues),
        kept={(0, FlowerPlace.TOP.value): letters},
        humidity_share=humidity_share,
        room_c=room_c,
    )


def _written_on_board(inscriptions: tuple[Inscription, ...]) -> tuple[KeepOff, ...]:
    """Keep flowers off the letters round the board."""
    return tuple(
        KeepOff(
            name="letter",
            points_mm=(letter.at_mm,),
            clearance_mm=max(letter.advance_mm, words.written.capital_mm),
        )
        for words in inscriptions
        if words.place is LetterPlace.BOARD
        for letter in words.written.letters
    )


def _coat_made_g(coating: Coating) -> dict[int, float]:
    """Return what is made of each tier's coat, crumb coat and coat together. [g]"""
    return {
        tier.number: sum(part.to_make_g.value for part in tier.parts if part.part in (Part.COAT, Part.CRUMB_COAT))
        or sum(part.to_make_g.value for part in tier.parts if part.part is Part.ROLLED)
        for tier in coating.tiers
    }


def _cuts(tier: Tier) -> tuple[tuple[Point, Point], ...]:
    """Return the cuts through a tier: the edges of its slices that do not lie on its rim. [mm]"""
    if tier.cutting is None:
        return ()
    rim = LinearRing(tier.outline.polygon())
    found: dict[tuple[Point, Point], None] = {}
    for piece in tier.cutting.slices:
        for a, b in zip(piece.corners, (*piece.corners[1:], piece.corners[0]), strict=True):
            middle = Dot((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            if hypot(b[0] - a[0], b[1] - a[1]) > 0.1 and rim.distance(middle) > RIM_MM:
                found.setdefault((min(a, b), max(a, b)))
    return tuple(found)


def _rims(work: Work) -> dict[tuple[int, FlowerPlace], float]:
    """Return the breadth of the rows piped at the foot and on the top edge of each tier. [mm]"""
    places = {BorderPlace.BASE: FlowerPlace.BASE, BorderPlace.TOP: FlowerPlace.TOP}
    return {(row.tier, places[row.where]): row.width_mm.value for row in work.rows if row.where in places}


def worn_by(commission: Commission, sizing: Sizing, coating: Coating) -> dict[str, tuple[str, ...]]:
    """Return, by flavour, the formulas that are piped, spread or poured over its tiers."""
    worn: dict[str, dict[str, None]] = defaultdict(dict)
    for tier, coated in zip(sizing.stack.tiers, coating.tiers, strict=True):
        for part in coated.parts:
            if tier.flavour >= 0 and part.part in PARTS.values() and part.formula:
                worn[commission.cake.flavours[tier.flavour].name].setdefault(part.formula)
    return {name: tuple(keys) for name, keys in worn.items()}


def wares_needed(finish: FinishWork | None) -> tuple[Ware, ...]:
    """Return what the finish buys by the piece."""
    return () if finish is None else finish.wares


def decor_words(decor: Decor) -> tuple[str, ...]:
    """Say what a decor asks for in a few words each: for the offer, and for whoever reads it for hazards."""
    said: list[str] = []
    said += [f"piped {border.kind.value}s" for border in decor.borders]
    said += [f"{texture.kind.value} coat" for texture in decor.textures if texture.kind is not TextureKind.SMOOTH]
    said += [_band_words(band.kind.value, band.motif) for band in decor.bands]
    said += ["drips"] if decor.drips else []
    said += [f"{paint.way.value} colour" for paint in decor.painted]
    said += [f"{leaf.metal.value} leaf" for leaf in decor.leaf]
    said += [f"{group.state.value} {group.species}" for group in decor.flowers]
    said += ["lettering"] if decor.lettering else []
    return tuple(dict.fromkeys(said))


def _band_words(kind: str, motif: str | None) -> str:
    name = {"stencil": "stencilled band", "paste": "paste band", "printed": "printed band", "ribbon": "ribbon"}[kind]
    return f"{name} ({motif})" if motif else name


def dressed(coating: Coating, work: Work, added: Sequence[DecorMass]) -> Coating:
    """
    Return the coating with what the finish adds to it.

    Every tier gains what is ``added``: its piping, lettering, stripes, bands and drips as parts, so that whatever
    stands, keeps, is declared or priced counts them; stripes take the place of the coat that was combed out for them.
    """
    masses: dict[int, list[DecorMass]] = defaultdict(list)
    for mass in added:
        masses[mass.tier].append(mass)
    if not masses:
        return coating
    removed = {texture.tier: texture.removed_g for texture in work.textures if texture.mass is not None}
    tiers = tuple(
        _dress(tier, masses.get(tier.number, []), removed.get(tier.number, NOTHING)) for tier in coating.tiers
    )
    return replace(coating, tiers=tiers, needs=_needs(coating.needs, added))


def _dress(tier: CoatedTier, added: Sequence[DecorMass], removed: Estimate) -> CoatedTier:
    if not added:
        return tier
    parts = list(tier.parts)
    coat = next((i for i, part in enumerate(parts) if part.part is Part.COAT), None)
    if removed.value > 0 and coat is not None:
        # What is combed out of the coat goes back into its bowl: it still has to be made.
        parts[coat] = replace(parts[coat], on_cake_g=_less(parts[coat].on_cake_g, removed))
    parts += [
        PartMass(
            part=PARTS[mass.part],
            formula=mass.formula,
            on_cake_g=mass.on_cake_g,
            to_make_g=mass.to_make_g,
            volume_ml=mass.volume_ml,
            thickness_mm=mass.thickness_mm,
        )
        for mass in added
    ]
    total = NOTHING
    for part in parts:
        total = total + part.on_cake_g
    return replace(tier, parts=tuple(parts), mass_g=total)


def _less(whole: Estimate, part: Estimate) -> Estimate:
    """Take a part out of a whole that it was measured in: both miss the same way."""
    share = 1 - min(1.0, part.value / whole.value) if whole.value > 0 else 0.0
    return whole * share


def _needs(needs: Iterable[Need], masses: Iterable[DecorMass]) -> tuple[Need, ...]:
    by_formula = {need.formula: need for need in needs}
    for mass in masses:
        known = by_formula.get(mass.formula)
        if known is None:
            by_formula[mass.formula] = Need(formula=mass.formula, part=PARTS[mass.part], grams=mass.to_make_g)
        else:
            by_formula[mass.formula] = replace(known, grams=known.grams + mass.to_make_g)
    return tuple(by_formula.values())


def _stuffs(commission: Commission, surfaces: Sequence[Surface]) -> dict[str, Stuff]:
    """Describe everything that the finish may be made of; what nobody can describe is left out, and asked about."""
    decor = commission.decor
    named = [border.formula for border in decor.borders] + [texture.formula for texture in decor.textures]
    named += [band.formula for band in decor.bands] + [drip.formula for drip in decor.drips]
    named += [words.formula for words in decor.lettering]
    keys = [surface.coat for surface in surfaces if surface.coat] + [key for key in named if key is not None]
    found: dict[str, Stuff] = {}
    for key in dict.fromkeys(keys):
        try:
            spread = named_spread(commission, key, f"decor.{key}")
        except (MissingData, UnknownName):
            continue
        sheet = commission.formula(key)
        found[key] = Stuff(
            key=spread.formula,
            name=sheet.name if sheet is not None else key.replace("-", " ").replace("_", " "),
            kind=spread.kind,
            density_g_per_ml=density(spread.kind, spread.measured_g_per_ml),
            colour=natural_colour(sheet.kind if sheet is not None else None),
        )
    return found


@lru_cache(maxsize=256)
def _hex(words: str) -> str:
    lab = read_colour(words)
    return "" if lab is None else hex_of_lab(lab)


def _hues(decor: Decor) -> Mapping[str, str]:
    """Return the colours of a brief that can be drawn, by the brief's words."""
    named = [band.colour for band in decor.bands] + [drip.colour for drip in decor.drips]
    named += [paint.colour for paint in decor.painted] + [wish.wanted for wish in decor.colours]
    named += [group.colour for group in decor.flowers]
    named += [words for one in decor.lettering for words in (one.colour, one.ground)]
    return {words: _hex(words) for words in named if words and _hex(words)}


def _refused(error: OutOfRange) -> Question:
    return Question(
        key="finish.refused",
        severity=Severity.STOP,
        sheet="flowers",
        text="How is the tier to be carved?",
        reason=f"{error}.",
        figure=f"{error.value:.4g} {error.unit}",
        change=f"from {error.low:.4g} to {error.high:.4g} {error.unit}",
    )
