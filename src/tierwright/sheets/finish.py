"""The finish sheet: piping, worked coats, bands, drips, paint and leaf by tier, and band templates at full size."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from tierwright.brief.decor import BandKind, BorderKind, LetterPlace, PaintWay, TextureKind
from tierwright.dossier import Dossier, FinishWork
from tierwright.drawings import INK_ON_PAPER, Ink
from tierwright.finish import (
    PipedRow,
    Surface,
    TemplateSheet,
    Work,
    WorkedBand,
    WorkedDrip,
    WorkedLeaf,
    WorkedPaint,
    WorkedTexture,
    lettering_card,
    template_sheets,
)
from tierwright.sheets.finish_drawing import from_above, unrolled_side
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page, Paper, picture
from tierwright.sheets.show import count_of, estimate_range, of_sheet, shown, steps_with_cautions
from tierwright.units import Display
from tierwright.words import listed
from tierwright.working import NOTHING, Caution, Estimate

TEMPLATE_PAPER: Final = {Paper.A4: "a4", Paper.LETTER: "letter"}
PIECE_HEADS: Final = ("piped", "where", "tip", "how many", "apart", "of", "in the bag")
CUT_OUT: Final = frozenset({BandKind.STENCIL, BandKind.PASTE, BandKind.PRINTED})
"""Bands for which a template at full size is of use. A ribbon is cut to its length."""
NAMES: Final = {
    BandKind.STENCIL: "stencil",
    BandKind.PASTE: "band of paste",
    BandKind.PRINTED: "printed band",
    BandKind.RIBBON: "ribbon",
}


def page(
    finish: FinishWork,
    *,
    formulas: Mapping[str, str],
    display: Display,
    paper: Paper,
    cautions: Iterable[Caution] = (),
    ink: Ink = INK_ON_PAPER,
    templates: bool = True,
) -> Page:
    """
    Return the finish sheet.

    Parameters
    ----------
    finish
        What the finished cake wears.
    formulas
        Names of formulas and bought coats by key.
    display
        The maker's units.
    paper
        Paper of the templates: they only measure true on the paper they were drawn for.
    cautions
        All hazards; those of the finish are printed here, at their steps.
    ink
        What the drawings are drawn with.
    templates
        Whether the templates at full size are wanted; they are of no use on a screen.
    """
    work = finish.work
    steps, left = steps_with_cautions(_steps(work), list({c.text: c for c in of_sheet(cautions, "flowers")}.values()))
    data: dict[str, Json] = {
        "title": "Flowers and finish",
        "cautions": left,
        "words": "",
        "ready": _ready(finish, formulas, display),
        "steps": steps,
        "tiers": [
            _tier(surface, finish, formulas, display, ink)
            for surface in reversed(finish.surfaces)
            if wears(surface, finish)
        ],
        "more": [*_flowers(finish, display, ink), *_colours(finish, formulas), *_letters(finish, display)],
        "time": _time(finish),
        "templates": _at_full_size(sheets_of(finish, paper) if templates else ()),
    }
    return Page(template="finish", sheet="flowers and finish", data=data)


def templates_page(sheets: tuple[TemplateSheet, ...]) -> Page:
    """Return templates at full size by themselves; at least one."""
    data: dict[str, Json] = {"title": "Templates at full size", "templates": _at_full_size(sheets)}
    return Page(template="finish_templates", sheet="templates", data=data)


def _at_full_size(sheets: tuple[TemplateSheet, ...]) -> list[Json]:
    return [
        {"svg": sheet.svg, "width_mm": sheet.width_mm, "height_mm": sheet.height_mm, "alt": sheet.alt}
        for sheet in sheets
    ]


def sheets_of(finish: FinishWork, paper: Paper) -> tuple[TemplateSheet, ...]:
    """Return the templates of all bands, and the cards for all words, at full size, sheet by sheet."""
    names = {surface.tier: surface.name for surface in finish.surfaces}
    found: list[TemplateSheet] = []
    for number, band in enumerate(finish.work.bands, start=1):
        if band.kind not in CUT_OUT:
            continue
        name = f"{NAMES[band.kind]} for the {names[band.tier]} tier"
        closed = (
            ""
            if band.repeats is None
            else f", {band.repeats.count} repeats of {band.round_mm / band.repeats.count:.1f} mm halfway up"
        )
        title = f"{name[:1].upper()}{name[1:]}: {band.round_mm:.1f} mm round{closed}"
        alt = f"Template of the {name}, full size, laid flat: {band.height_mm:g} mm high{closed}."
        found += template_sheets(band.template, key=f"band-{number}", title=title, alt=alt, paper=TEMPLATE_PAPER[paper])
    for words in finish.inscriptions:
        where = {LetterPlace.BOARD: "board", LetterPlace.TOP: "top"}.get(words.place)
        where = where or f"{names[words.tier]} tier, its foot {words.foot_mm:.1f} mm up"
        text = f"\N{LEFT DOUBLE QUOTATION MARK}{words.written.text}\N{RIGHT DOUBLE QUOTATION MARK}"
        tip = f", tip {words.tip_mm:g} mm" if words.tip_mm else ""
        title = f"{text} on the {where}: {words.written.length_mm:.1f} mm long{tip}"
        alt = f"Card for {text}, full size: capitals {words.written.capital_mm:.1f} mm high, on the {where}."
        found += template_sheets(
            lettering_card(words, finish.surfaces), key=f"words-{words.number}", title=title, alt=alt,
            paper=TEMPLATE_PAPER[paper],
        )  # fmt: skip
    return tuple(found)


def wears(surface: Surface, finish: FinishWork) -> bool:
    """Whether a tier wears more than its coat on its side, its foot or its edge."""
    work = finish.work
    tiers = {row.tier for row in work.rows} | {band.tier for band in work.bands} | {drip.tier for drip in work.drips}
    tiers |= {paint.tier for paint in work.painted} | {leaf.tier for leaf in work.leaf}
    tiers |= {one.tier for one in finish.flowers.on_sides}
    tiers |= {texture.tier for texture in work.textures if texture.grooves is not None}
    return surface.tier in tiers


def _mass(estimate: Estimate, display: Display) -> list[Json]:
    return [display.show_mass(estimate.value), estimate_range(display, estimate, "g")]


def _ready(finish: FinishWork, formulas: Mapping[str, str], display: Display) -> list[Json]:
    work = finish.work
    made: dict[str, tuple[Estimate, list[str]]] = {}
    for mass in finish.masses:
        grams, uses = made.get(mass.formula, (NOTHING, []))
        made[mass.formula] = (grams + mass.to_make_g, [*uses, mass.part])
    rows: list[Json] = [
        [formulas.get(key, key), _mass(grams, display), listed(uses)] for key, (grams, uses) in made.items()
    ]
    rows += [[ware.name, str(ware.count), "to lay on" if ware.is_food else "taken off to cut"] for ware in finish.wares]
    rows += [
        [f"colour, {paint.product or paint.way.value}", _amount(paint.colour_ml, "ml"), "painting"]
        for paint in work.painted
    ]
    return rows


def _amount(estimate: Estimate, unit: str) -> list[Json]:
    return [f"{estimate.value:.3g} {unit}", f"{estimate.low:.2g} to {estimate.high:.2g} {unit}"]


def _time(finish: FinishWork) -> str:
    time = finish.minutes
    if time.value == 0:
        return ""
    return (
        f"Hands' time for all of it: about {time.value:.0f} min, likely {time.low:.0f} to {time.high:.0f}. "
        "Write down what it took; the next one is reckoned with it."
    )


def _steps(work: Work) -> list[str]:
    steps: list[str] = []
    kinds = {texture.kind for texture in work.textures}
    if TextureKind.COMBED in kinds:
        steps.append(
            "Comb each coat in a few turns of the table, the last without a stop; what comes off is used again."
        )
    if TextureKind.STRIPED in kinds:
        steps.append("Groove the cold coat, fill the grooves with the second one, chill, and scrape level.")
    if TextureKind.SPREAD in kinds:
        steps.append("Draw the strokes of the palette knife from the foot up, all one way.")
    if work.drips:
        steps.append(
            "Chill the cake until the coat is firm. Pouring the drips: from a bottle or spoon, one after the other."
        )
    if any(band.kind in CUT_OUT for band in work.bands):
        steps.append(
            "Measure round the coated tier with a tape, halfway up the band. Where it differs from the list, write the "
            "measure into the brief: the repeats are closed on it anew."
        )
        steps.append("Print the templates at 100 %, measure both rules, cut them out and try them round the cold tier.")
    if any(band.kind is BandKind.STENCIL for band in work.bands):
        steps.append("Hold the stencil tight on the cold coat, spread and scrape once, peel it off, wipe it, go on.")
    if work.painted or work.leaf:
        steps.append("Painting, dusting and gilding: on a dry, set coat, with clean dry brushes kept for food.")
    if work.rows:
        steps.append(
            "Mark where the pieces begin by the list, then pipe each row from the back, upper rows before lower ones."
        )
    if work.inedibles:
        steps.append("Before handing over, count what is not food and write it on the cutting guide.")
    return steps


def _tier(
    surface: Surface, finish: FinishWork, formulas: Mapping[str, str], display: Display, ink: Ink
) -> dict[str, Json]:
    on, work = surface.tier, finish.work
    side = surface.side
    facts: list[Json] = [
        ["round the foot", display.show_length(side.foot.length_mm)],
        ["height that shows", display.show_length(surface.height_mm)],
        ["side", shown(display, surface.side_mm2, "mm2")],
        ["top that shows", shown(display, surface.top_mm2, "mm2")],
    ]
    if not side.is_straight:
        facts.append(["round the top", display.show_length(side.length_at(side.height_mm))])
    return {
        "title": f"{surface.name.capitalize()} tier",
        "facts": facts,
        "drawing": picture(unrolled_side(surface, finish, display=display, ink=ink, prefix=f"side-{on}")),
        "piping": [_row(row, formulas, display) for row in work.rows if row.tier == on],
        "bands": [_band(band, display) for band in work.bands if band.tier == on],
        "others": [
            *(_texture(one, formulas, display) for one in work.textures if one.tier == on and one.grooves is not None),
            *(_drip(one, formulas, display) for one in work.drips if one.tier == on),
            *(_paint(one, display) for one in work.painted if one.tier == on),
            *(_leaf(one, display) for one in work.leaf if one.tier == on),
        ],
    }


def _flowers(finish: FinishWork, display: Display, ink: Ink) -> list[Json]:
    order = finish.flowers.order
    if order is None:
        return []
    names = {surface.tier: surface.name for surface in finish.surfaces}
    rows: list[Json] = [
        [
            line.sort.describe(),
            f"{names[line.sort.tier]}, {line.sort.where}",
            str(line.on_cake),
            str(line.spares),
            str(line.picks) if line.picks else "none",
            "may be eaten" if line.sort.is_food and not line.sort.is_removed else "taken off to cut",
        ]
        for line in order.lines
    ]
    remarks: list[Json] = [
        f"{step.text}: about {step.hands_min.value:.0f} min"
        + (f", {_wait(step.wait_h)} before they are laid" if step.wait_h.high > 0 else "")
        + "."
        for step in order.steps
    ]
    remarks.append(f"Chance that any of them runs short: {100 * order.chance_short:.0f} %.")
    return [
        {
            "title": "Flowers",
            "facts": [],
            "drawings": [picture(from_above(finish, display=display, ink=ink, prefix="flowers"))],
            "heads": ["flowers", "where", "on the cake", "spares", "picks", "food"],
            "rows": rows,
            "remarks": remarks,
        }
    ]


def _wait(hours: Estimate) -> str:
    if hours.low >= 48:
        return f"{hours.low / 24:.0f} to {hours.high / 24:.0f} days"
    return f"{hours.low:.0f} to {hours.high:.0f} h"


def _colours(finish: FinishWork, formulas: Mapping[str, str]) -> list[Json]:
    names = {surface.tier: surface.name for surface in finish.surfaces}
    found: list[Json] = []
    for tint in finish.tints:
        named = dict(tint.names)
        rows: list[Json] = [
            [
                named[one.colour],
                f"{one.drops} drop{'s' if one.drops != 1 else ''}" if one.drops else f"{one.g:.2f} g",
                f"{100 * one.g / tint.batch.base_g:.3f} g in 100 g",
            ]
            for one in tint.batch.portions
        ]
        error = tint.match.mean_error
        found.append(
            {
                "title": f"Colour of the {names[tint.tier]} tier",
                "facts": [
                    ["wanted", f"{tint.wanted} ({tint.wish.describe()})"],
                    ["expected", f"{tint.hue} ({tint.batch.predicted.describe()})"],
                    ["into", f"{tint.batch.base_g:.0f} g of {formulas.get(tint.base, tint.base)}"],
                    ["apart", f"CIEDE2000 {tint.batch.delta_e:.1f}; 2 is seen side by side"],
                    ["the mixes foretell", "not tested yet" if error is None else f"within {error:.1f} on the whole"],
                ],
                "drawings": [],
                "heads": ["colour", "stir in", "which is"],
                "rows": rows,
                "remarks": [] if rows else ["The bare coat is the nearest."],
            }
        )
    return found


def _letters(finish: FinishWork, display: Display) -> list[Json]:
    found: list[Json] = []
    for words in finish.inscriptions:
        written = words.written
        facts: list[Json] = [
            ["where", {"board": "round the board", "band": "round the side", "top": "on the top"}[words.place.value]],
            ["height of a capital", f"{written.capital_mm:.1f} mm"],
            ["length of the words", display.show_length(written.length_mm)],
            ["narrowest gap", f"{written.narrowest_mm:.1f} mm"],
            ["contrast", f"{words.contrast.ratio:.1f}; {words.contrast.needed:.1f} is enough to read it"],
        ]
        if words.tip_mm:
            facts.append(["tip", f"{words.tip_mm:g} mm"])
        if words.mass is not None:
            grams = words.mass.on_cake_g
            weighs = f"{grams.value:.1f} g, likely {grams.low:.1f} to {grams.high:.1f} g"
            facts.append(["in one line of", f"{written.stroke_mm / 1000:.2f} m; it weighs {weighs}"])
        found.append(
            {
                "title": f"\N{LEFT DOUBLE QUOTATION MARK}{written.text}\N{RIGHT DOUBLE QUOTATION MARK}",
                "facts": facts,
                "drawings": [],
                "heads": [],
                "rows": [],
                "remarks": [],
            }
        )
    return found


def _row(row: PipedRow, formulas: Mapping[str, str], display: Display) -> list[Json]:
    pitches = sorted({round(pitch, 1) for pitch in row.pieces.pitches_mm})
    where = row.where.value + (f", {display.show_length(row.up_mm)} up" if row.where.value == "side" else "")
    count = {BorderKind.LINE: "1", BorderKind.ROPE: f"{row.pieces.count} turns"}.get(row.kind, str(row.pieces.count))
    pitch = "" if row.kind is BorderKind.LINE else " and ".join(f"{one:.1f} mm" for one in pitches)
    if row.kind is BorderKind.SWAG:
        pitch += f", hang {row.drop_mm:.0f} mm"
    return [
        row.kind.value if row.kind in (BorderKind.LINE, BorderKind.ROPE) else f"{row.kind.value}s",
        where,
        f"{row.tip_mm:g} mm",
        count,
        pitch,
        formulas.get(row.formula, row.formula),
        _mass(row.mass.to_make_g, display),
    ]


def _band(band: WorkedBand, display: Display) -> list[Json]:
    repeats = "" if band.repeats is None else f"{band.repeats.count} × {band.round_mm / band.repeats.count:.1f} mm"
    takes: Json = ""
    if band.mass is not None:
        takes = _mass(band.mass.to_make_g, display)
    elif band.ware is not None:
        takes = f"{band.ware.count} × {band.ware.name}"
    name = NAMES[band.kind] + (f": {band.motif}" if band.motif else "")
    return [
        name,
        display.show_length(band.foot_mm) if band.foot_mm else "at the foot",
        display.show_length(band.height_mm),
        f"{band.round_mm:.1f} mm",
        repeats,
        takes,
    ]


def _texture(texture: WorkedTexture, formulas: Mapping[str, str], display: Display) -> list[Json]:
    assert texture.grooves is not None
    pitch = texture.grooves.length_mm / texture.grooves.count
    run = "upright" if texture.is_upright else "level"
    how = (
        f"{texture.grooves.count} {run}, every {pitch:.1f} mm, {texture.depth_mm:g} mm deep; "
        f"{texture.valley_mm:.1f} mm of coat under them"
    )
    if texture.mass is None:
        return [f"{texture.kind.value} coat", how, f"{display.show_mass(texture.removed_g.value)} comes off"]
    return [
        "stripes", f"{how}; filled with {formulas.get(texture.mass.formula, texture.mass.formula)}",
        _mass(texture.mass.to_make_g, display),
    ]  # fmt: skip


def _drip(drip: WorkedDrip, formulas: Mapping[str, str], display: Display) -> list[Json]:
    pitch = drip.drips.length_mm / drip.drips.count
    warm = "" if drip.pour is None else (
        f", poured at {display.show_temperature(drip.pour.at_c.low)} to {display.show_temperature(drip.pour.at_c.high)}"
    )  # fmt: skip
    how = (
        f"{drip.drips.count}, every {pitch:.1f} mm, {min(drip.lengths_mm):.0f} to {max(drip.lengths_mm):.0f} mm long, "
        f"of {formulas.get(drip.formula, drip.formula)}{warm}"
    )
    return ["drips", how, _mass(drip.mass.to_make_g, display)]


def _paint(paint: WorkedPaint, display: Display) -> list[Json]:
    how = f"{shown(display, paint.area_mm2, 'mm2')} in {paint.layers} layer{'s' if paint.layers > 1 else ''}"
    if paint.way is not PaintWay.DUSTED:
        how += f", drying {paint.dry_min.low:.0f} to {paint.dry_min.high:.0f} min"
    return [f"{paint.way.value} colour", how, _amount(paint.colour_ml, "ml")]


def _leaf(leaf: WorkedLeaf, display: Display) -> list[Json]:
    how = f"{shown(display, leaf.area_mm2, 'mm2')}; packet says: {leaf.label or 'not read'}"
    return [
        f"{leaf.metal.value} leaf",
        how,
        f"{count_of(round(leaf.sheets.value), 'leaf', 'leaves')} of {leaf.sheet_mm:g} mm",
    ]


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the finish sheet of a dossier; none where the cake wears nothing but its coat."""
    finish = dossier.finish
    if finish is None or dossier.commission.decor.is_plain:
        return ()
    return (
        page(
            finish,
            formulas=words.formulas,
            display=words.display,
            paper=words.paper,
            cautions=dossier.notes.cautions,
        ),
    )
