"""What the finish has to say beside its numbers: figures, questions, cautions and assumptions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from tierwright.brief.decor import (
    BandKind,
    Border,
    BorderKind,
    BorderPlace,
    Decor,
    PaintWay,
    TextureKind,
)
from tierwright.finish.answer import Order, Work
from tierwright.finish.bands import WorkedBand
from tierwright.finish.drips import WorkedDrip
from tierwright.finish.model import SHEET, Surface
from tierwright.finish.painting import WorkedLeaf, WorkedPaint
from tierwright.finish.piping import PipedRow
from tierwright.finish.tables import amount, pieces
from tierwright.finish.textures import WorkedTexture
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Estimate,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

DUSTS: Final = Source(
    basis=Basis.PUBLISHED, text="FDA, Some Decorative Glitters and Dusts Promoted for Use on Foods May Be Unsafe, 2018"
)
METALS: Final = Source(
    basis=Basis.FROM_MEMORY,
    text="Regulation (EC) No 1333/2008, annex II: gold E 175 and silver E 174 for the outside of confectionery and "
    "cakes; neither is a listed colour in 21 CFR 73",
)
UNROLLING: Final = Source(basis=Basis.PUBLISHED, text="Machinery's Handbook, development of cylinder and cone frustum")
E_NUMBERS: Final = {"gold": "175", "silver": "174"}
NO_FOOD: Final = (
    "non-toxic",
    "nontoxic",
    "non toxic",
    "decoration only",
    "decorative",
    "craft",
    "not food",
    "imitation",
)
FOOD: Final = ("edible", "food", "e1", "e 1")
BARE_MM: Final = 1.5
"""Coat under which the crumb shows through. [mm] Common practice: that of a crumb coat."""
WARM_C: Final = 25.0
"""From here a glaze has been heated. [C]"""
US: Final = "US"


def notes_of(order: Order, work: Work, jurisdiction: str) -> Notes:
    """
    Return everything that the finish has to say.

    Parameters
    ----------
    order, work
        What was asked, and the answer.
    jurisdiction
        Whose food law applies: ``US``, ``EU``, ``UK``, ``CA`` or ``AU-NZ``.
    """
    tiers = {surface.tier: surface for surface in order.surfaces}
    return Notes(
        figures=tuple(_figures(work, tiers)),
        questions=(*work.refused, *_questions(order, work, tiers, jurisdiction)),
        cautions=tuple(_cautions(work)),
        assumptions=tuple(_assumptions(order.decor, work)),
    )


# --- figures ---------------------------------------------------------------------------------------------------------


def _figures(work: Work, tiers: Mapping[int, Surface]) -> Iterable[Figure]:
    for number, row in enumerate(work.rows, start=1):
        yield from _row_figures(number, row, tiers[row.tier])
    for texture in work.textures:
        if texture.kind is not TextureKind.SMOOTH:
            yield _texture_figure(texture, tiers[texture.tier])
    for number, band in enumerate(work.bands, start=1):
        yield from _band_figures(number, band, tiers[band.tier])
    for drip in work.drips:
        yield _mass_figure(
            f"tier.{drip.tier}.finish.drip_g",
            f"Glaze on the {tiers[drip.tier].name} tier",
            drip.mass.on_cake_g,
            "half an oval cord pi/4 w t (L - B/2) and half an ellipsoid at its end for each drip, and the flooded top "
            "times its depth; times density",
            (
                Given(name="drips", value=float(drip.drips.count)),
                Given(name="together long", value=sum(drip.lengths_mm), unit="mm"),
                Given(name="wide", value=drip.width_mm, unit="mm"),
                Given(name="thick", value=drip.thickness_mm.value, unit="mm"),
                Given(name="top flooded", value=drip.flood_mm2, unit="mm2"),
            ),
            amount("drip_thickness_mm").source,
        )
    for number, paint in enumerate(work.painted, start=1):
        yield Figure.of(
            paint.colour_ml,
            key=f"tier.{paint.tier}.finish.painted.{number}_ml",
            label=f"Colour {paint.way.value} on the {tiers[paint.tier].name} tier",
            unit="ml",
            equation="area x layers x colour for one layer",
            inputs=(
                Given(name="area", value=paint.area_mm2, unit="mm2"),
                Given(name="layers", value=float(paint.layers)),
            ),
            source=amount(f"{paint.way.value}_ml_per_m2").source,
            sheet=SHEET,
        )
    for number, leaf in enumerate(work.leaf, start=1):
        yield Figure.of(
            leaf.sheets,
            key=f"tier.{leaf.tier}.finish.leaf.{number}_sheets",
            label=f"Leaves of {leaf.metal.value} on the {tiers[leaf.tier].name} tier",
            unit="",
            equation="area / (side - lap)^2 / (1 - waste), rounded up",
            inputs=(
                Given(name="area", value=leaf.area_mm2, unit="mm2"),
                Given(name="side of a leaf", value=leaf.sheet_mm, unit="mm"),
                Given(name="lap", value=amount("leaf_overlap_mm").value.value, unit="mm"),
                Given(name="waste", value=100 * amount("leaf_waste").value.value, unit="%"),
            ),
            source=amount("leaf_waste").source,
            sheet=SHEET,
        )
    if work.labour:
        yield Figure.of(
            work.minutes,
            key="finish.minutes",
            label="Hands' time for piping, bands, drips, paint and leaf",
            unit="min",
            equation="sum over all jobs of count x time for one",
            inputs=tuple(
                Given(name=f"{job.label}: {job.count:.4g} x", value=job.minutes_each.value, unit="min")
                for job in work.labour
            ),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        )


def _mass_figure(
    key: str, label: str, grams: Estimate, equation: str, inputs: tuple[Given, ...], source: Source
) -> Figure:
    return Figure.of(
        grams, key=key, label=label, unit="g", equation=equation, inputs=inputs, source=source, sheet=SHEET
    )


def _row_figures(number: int, row: PipedRow, surface: Surface) -> Iterable[Figure]:
    key = f"tier.{row.tier}.finish.row.{number}"
    name = f"{row.kind.value}s at the {row.where.value} of the {surface.name} tier"
    pitch = row.pieces.length_mm / row.pieces.count
    yield Figure(
        key=f"{key}.count",
        label=f"Number of {name}",
        value=float(row.pieces.count),
        equation="length of the row / wished distance, rounded to the whole number whose distance comes nearest, "
        "from corner to corner where the tier has corners",
        inputs=(
            Given(name="length of the row", value=row.pieces.length_mm, unit="mm"),
            Given(name="distance wished for", value=row.pieces.wanted_mm, unit="mm"),
            Given(name="distance that closes", value=pitch, unit="mm"),
        ),
        source=ARITHMETIC,
        sheet=SHEET,
    )
    running = row.kind in (BorderKind.LINE, BorderKind.ROPE, BorderKind.SWAG)
    equation = "ten pieces weighed / 10 x pieces" if row.by_weighing else (
        "breadth^2 x height ratio x fill x length of the line x density"
        if running
        else "breadth^3 x height ratio x length ratio x fill x pieces x density"
    )  # fmt: skip
    yield _mass_figure(
        f"{key}.g",
        f"Mass of the {name}",
        row.mass.on_cake_g,
        equation,
        (
            Given(name="opening of the tip", value=row.tip_mm, unit="mm"),
            Given(name="breadth", value=row.width_mm.value, unit="mm"),
            Given(name="height", value=row.height_mm.value, unit="mm"),
            Given(name="volume", value=row.mass.volume_ml.value, unit="ml"),
        ),
        Source(basis=Basis.MAKER_RECORD) if row.by_weighing else pieces()[row.kind.value].source,
    )


def _texture_figure(texture: WorkedTexture, surface: Surface) -> Figure:
    return Figure(
        key=f"tier.{texture.tier}.finish.valley_mm",
        label=f"Coat left in the grooves of the {surface.name} tier",
        value=texture.valley_mm,
        unit="mm",
        equation="ridge - depth; ridge = mean + f x depth x breadth / distance (striped: ridge = mean), f = 1/2 "
        "for a V or a wave and 1 for a square groove",
        inputs=(
            Given(name="mean thickness of the coat", value=texture.mean_mm, unit="mm"),
            Given(name="depth", value=texture.depth_mm, unit="mm"),
            Given(name="breadth", value=texture.groove_mm, unit="mm"),
            Given(name="ridge", value=texture.ridge_mm, unit="mm"),
            Given(name="comes off", value=texture.removed_g.value, unit="g"),
        ),
        source=ARITHMETIC,
        sheet=SHEET,
    )


def _band_figures(number: int, band: WorkedBand, surface: Surface) -> Iterable[Figure]:
    key = f"tier.{band.tier}.finish.band.{number}"
    name = f"{band.kind.value} on the {surface.name} tier"
    if band.repeats is not None:
        yield Figure(
            key=f"{key}.repeat_mm",
            label=f"One repeat of the {name}",
            value=band.round_mm / band.repeats.count,
            unit="mm",
            equation="length once round, halfway up the band / whole repeats",
            inputs=(
                Given(name="length once round", value=band.round_mm, unit="mm"),
                Given(name="wished for", value=band.repeats.wanted_mm, unit="mm"),
                Given(name="repeats", value=float(band.repeats.count)),
            ),
            source=UNROLLING,
            sheet=SHEET,
        )
    if band.mass is not None:
        yield _mass_figure(
            f"{key}.g",
            f"Mass of the {name}",
            band.mass.on_cake_g,
            "area x (cut-out share of a stencil) x thickness x density",
            (
                Given(name="area", value=band.area_mm2, unit="mm2"),
                Given(name="thickness", value=band.mass.thickness_mm.value, unit="mm"),
            ),
            UNROLLING,
        )


# --- questions -------------------------------------------------------------------------------------------------------


def _ask(
    key: str, text: str, reason: str, *, change: str = "", figure: str = "", severity: Severity = Severity.ASK
) -> Question:
    return Question(key=key, severity=severity, sheet=SHEET, text=text, reason=reason, figure=figure, change=change)


def _questions(order: Order, work: Work, tiers: Mapping[int, Surface], jurisdiction: str) -> Iterable[Question]:
    for number, row in enumerate(work.rows, start=1):
        yield from _row_questions(number, row, tiers[row.tier])
    for texture in work.textures:
        if texture.kind is not TextureKind.SMOOTH and texture.mean_mm > 0 and texture.valley_mm < BARE_MM:
            yield _ask(
                f"tier.{texture.tier}.finish.comb",
                f"Is the cake meant to show in the grooves of the {tiers[texture.tier].name} tier?",
                "The comb cuts down to the crumb coat.",
                figure=f"{max(0.0, texture.valley_mm):.1f} mm of coat left",
                change="a shallower comb, or a thicker coat",
            )
    for number, band in enumerate(work.bands, start=1):
        if band.kind is BandKind.PRINTED:
            yield _ask(
                f"tier.{band.tier}.finish.band.{number}.label",
                f"What is in the printed band on the {tiers[band.tier].name} tier?",
                "It is food: its ingredients and allergens belong on the label, and its packet has not been read.",
                change="enter what its packet says",
            )
    for drip in work.drips:
        yield from _drip_questions(drip, tiers[drip.tier])
    for number, paint in enumerate(work.painted, start=1):
        yield from _product_question(
            f"tier.{paint.tier}.finish.painted.{number}", f"the colour on the {tiers[paint.tier].name} tier", paint
        )
    for number, leaf in enumerate(work.leaf, start=1):
        yield from _leaf_questions(number, leaf, tiers[leaf.tier], jurisdiction)
    for carved in order.decor.carved:
        surface = tiers.get(carved.tier)
        if surface is not None and surface.top_scale < 1:
            k = surface.top_scale
            yield _ask(
                f"tier.{carved.tier}.finish.carved",
                f"May the {surface.name} tier be carved, though its portions are reckoned for straight sides?",
                "What is carved off is lost to the portions; fillings, coats and masses stand as for a straight tier, "
                "which is the safe side for the supports.",
                figure=f"{1 - (1 + k + k * k) / 3:.0%} of the tier is carved off",
                change="a wider tier, or more portions elsewhere",
            )


def _row_questions(number: int, row: PipedRow, surface: Surface) -> Iterable[Question]:
    key, breadth = f"tier.{row.tier}.finish.row.{number}", row.width_mm.value
    room = {BorderPlace.BASE: surface.ledge_mm, BorderPlace.TOP: surface.shelf_mm}.get(row.where)
    if room is not None and surface.ground is not None and breadth > room:
        where = "what the tier stands on" if row.where is BorderPlace.BASE else "the top round the tier above"
        yield _ask(
            f"{key}.room",
            f"Are the {row.kind.value}s on the {surface.name} tier meant to reach over the edge?",
            f"They are broader than {where}.",
            figure=f"{breadth:.0f} mm broad on {room:.0f} mm",
            change=f"a tip with an opening of {room / pieces()[row.kind.value].width.value:.0f} mm",
        )


def _drip_questions(drip: WorkedDrip, surface: Surface) -> Iterable[Question]:
    key = f"tier.{drip.tier}.finish.drip"
    if max(drip.lengths_mm) > surface.height_mm:
        yield _ask(
            f"{key}.long",
            f"Are the drips of the {surface.name} tier meant to reach its foot and pool there?",
            "The longest is longer than the side is high.",
            figure=f"{max(drip.lengths_mm):.0f} mm on {surface.height_mm:.0f} mm",
            change=f"drips of at most {surface.height_mm * 0.7:.0f} mm",
        )
    if drip.pour is None:
        yield _ask(
            f"{key}.warm",
            f"How warm is the glaze of the {surface.name} tier poured?",
            "The program has no pouring temperature for it.",
            change="test it on the wall of a cold bowl and write the temperature down",
        )


def label_reading(label: str, e_number: str = "") -> bool | None:
    """Whether what a packet says makes its content food: True, False, or None where it does not say so."""
    plain = label.casefold()
    if any(word in plain for word in NO_FOOD):
        return False
    if e_number and e_number in plain.replace(" ", ""):
        return True
    return True if any(word in plain for word in FOOD) else None


def _product_question(key: str, what: str, paint: WorkedPaint) -> Iterable[Question]:
    food = label_reading(paint.product)
    if food is False:
        yield _ask(
            f"{key}.food",
            f"What replaces {what}? \N{LEFT DOUBLE QUOTATION MARK}{paint.product}\N{RIGHT DOUBLE QUOTATION MARK} is "
            "not food.",
            "Non-toxic does not mean edible: such dusts and paints have poisoned people.",
            change="a colour sold as food, with a list of its ingredients",
            severity=Severity.DANGER,
        )
    elif food is None:
        yield _ask(
            f"{key}.food",
            f"Is {what} sold as food, and what is in it?",
            "Only a colour with a list of ingredients belongs on a cake; those also go on the label.",
            change="enter what its packet says",
        )


def _leaf_questions(number: int, leaf: WorkedLeaf, surface: Surface, jurisdiction: str) -> Iterable[Question]:
    key, metal = f"tier.{leaf.tier}.finish.leaf.{number}", leaf.metal.value
    food = label_reading(leaf.label, E_NUMBERS[metal])
    if food is False:
        yield _ask(
            f"{key}.food",
            f"What replaces the {metal} leaf on the {surface.name} tier? Its packet does not call it food.",
            "Imitation leaf is brass or aluminium and must not be eaten.",
            change=f"leaf sold as food, with E{E_NUMBERS[metal]} on the packet",
            severity=Severity.DANGER,
        )
    elif food is None:
        yield _ask(
            f"{key}.food",
            f"Does the packet of the {metal} leaf say that it is food?",
            f"Edible leaf is nearly pure metal and says so, as E{E_NUMBERS[metal]} or in words; imitation leaf is not "
            "food.",
            change="enter what its packet says",
        )
    if jurisdiction == US:
        yield _ask(
            f"{key}.law",
            f"Will the local authority accept {metal} leaf on food?",
            "The metal is not among the colours listed in 21 CFR 73; it is sold for the purpose all the same.",
            severity=Severity.NOTE,
        )


# --- cautions --------------------------------------------------------------------------------------------------------


def _cautions(work: Work) -> Iterable[Caution]:
    for drip in work.drips:
        if drip.pour is None or drip.pour.at_c.value < WARM_C:
            continue
        low, high = drip.pour.at_c.low, drip.pour.at_c.high
        yield Caution(
            key=f"finish.drip.{drip.tier}",
            sheet=SHEET,
            step="pouring the drips",
            text=f"Let the glaze cool to {low:.0f} to {high:.0f} C ({low * 1.8 + 32:.0f} to {high * 1.8 + 32:.0f} F) "
            "by a thermometer before it is poured, and try one drip at the back of the cold cake.",
            reason="Fresh from the pot it burns the hand and melts the coat off the side.",
            source=drip.pour.source,
        )
    if work.painted or work.leaf:
        yield Caution(
            key="finish.food_only",
            sheet=SHEET,
            step="painting, dusting and gilding",
            text="Only colours, dusts and leaf whose packet calls them food and lists what is in it; keep the packets.",
            reason="Non-toxic is not edible: craft dusts and imitation leaf have held copper, zinc and lead.",
            source=DUSTS if work.painted else METALS,
        )
    if any(paint.way is not PaintWay.DUSTED for paint in work.painted):
        yield Caution(
            key="finish.alcohol",
            sheet=SHEET,
            step="painting, dusting and gilding",
            text="Where colour is thinned with strong alcohol, keep it from flames and hot rings; spray only with a "
            "mask or an open window.",
            reason="Its vapour burns, and mist of any colour harms the lungs. What stays of the alcohol matters to "
            "guests who avoid it.",
            source=COMMON_PRACTICE,
        )
    if work.inedibles:
        yield Caution(
            key="finish.take_off",
            sheet=SHEET,
            step="handing over",
            text="Count ribbons and pins in, write them on the cutting guide, and tell whoever cuts to take them off "
            "first; never use pins.",
            reason="Somebody bites on what was left in.",
            source=COMMON_PRACTICE,
        )


# --- assumptions -----------------------------------------------------------------------------------------------------


def _assumptions(decor: Decor, work: Work) -> Iterable[Assumption]:
    for kind in dict.fromkeys(row.kind for row in work.rows if not row.by_weighing):
        piece = pieces()[kind.value]
        yield Assumption(
            key=f"finish.piping.{kind.value}",
            text=f"Breadth of a {piece.name} over the opening of its tip",
            value=f"{piece.width.value:g} ({piece.width.low:g} to {piece.width.high:g}) times",
            source=piece.source,
        )
    for key in dict.fromkeys(_used(decor, work)):
        usual = amount(key)
        of = usual.value
        factor, unit = (100.0, "%") if usual.unit == "1" else (1.0, usual.unit)
        yield Assumption(
            key=f"finish.{key}",
            text=usual.name[:1].upper() + usual.name[1:],
            value=f"{of.value * factor:g} {unit} ({of.low * factor:g} to {of.high * factor:g})",
            source=usual.source,
        )


def _used(decor: Decor, work: Work) -> Iterable[str]:
    """Return the keys of the usual amounts that stood in for something that nobody said."""
    if work.rows:
        yield from ("bowl_loss", "bag_loss")
    if any(_hangs_as_usual(border) for border in decor.borders):
        yield "swag_drop"
    for texture in decor.textures:
        stem = {TextureKind.COMBED: "comb", TextureKind.STRIPED: "stripe", TextureKind.SPREAD: "stroke"}.get(
            texture.kind
        )
        if stem is not None:
            yield from () if texture.depth is not None else (f"{stem}_depth_mm",)
            yield from () if texture.pitch is not None else (f"{stem}_pitch_mm",)
        if texture.kind is TextureKind.STRIPED:
            yield "stripe_loss"
    for band in decor.bands:
        if band.kind is BandKind.STENCIL:
            yield from () if band.thickness is not None else ("stencil_mm",)
            yield from () if band.open_share is not None else ("stencil_open",)
            yield "stencil_loss"
        elif band.kind is BandKind.PASTE:
            yield from () if band.thickness is not None else ("paste_mm",)
            yield "paste_loss"
        elif band.kind is BandKind.PRINTED:
            yield from ("printed_long_mm", "printed_wide_mm", "printed_g_per_cm2")
    if work.drips:
        yield from ("drip_thickness_mm", "drip_bulb", "cold_cake_c", "pour_loss")
        if any(drip.flood_mm2 > 0 for drip in work.drips):
            yield "flood_mm"
    for paint in work.painted:
        yield from (f"{paint.way.value}_ml_per_m2", f"{paint.way.value}_dry_min")
    if work.leaf:
        yield from ("leaf_overlap_mm", "leaf_waste")


def _hangs_as_usual(border: Border) -> bool:
    return border.kind is BorderKind.SWAG and border.drop is None
