"""The coating sheet: what each tier takes of every filling and coat, what to make of it, and the sheets to roll."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tierwright.coating.model import CoatedTier, Coating, Part, PartMass, RolledSheet
from tierwright.dossier import Dossier
from tierwright.sheets.naming import Words, outline_words
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import caution_words, estimate_range, of_sheet, shown
from tierwright.units import Display
from tierwright.working import Caution, Estimate

_NOT_MADE_HERE = (Part.SPONGE, Part.BOARD, Part.FOAM)


def page(
    coating: Coating,
    *,
    tier_names: Mapping[int, str],
    formulas: Mapping[str, str] | None = None,
    boards: Mapping[str, str] | None = None,
    cautions: Iterable[Caution] = (),
    display: Display,
) -> Page:
    """
    Return the coating sheet.

    Parameters
    ----------
    coating
        What is on every tier.
    tier_names
        Names of the tiers by number.
    formulas
        Names of formulas and bought coats by key.
    boards
        Names of boards by key.
    cautions
        All hazards; those of coats are printed here.
    display
        The maker's units.
    """
    formulas, boards = formulas or {}, boards or {}
    cakes: Sequence[tuple[str, CoatedTier]] = [
        *((f"{tier_names.get(tier.number, str(tier.number)).capitalize()} tier", tier) for tier in coating.tiers),
        *(
            (f"Kitchen cake {i + 1}" if len(coating.kitchen_cakes) > 1 else "Kitchen cake", cake)
            for i, cake in enumerate(coating.kitchen_cakes)
        ),
    ]
    data: dict[str, Json] = {
        "title": "Fillings and coats",
        "cautions": [caution_words(caution) for caution in of_sheet(cautions, "coats")],
        "needs": [
            {
                "formula": formulas.get(need.formula, need.formula),
                "part": need.part.value,
                "amount": display.show_mass(need.grams.value),
                "range": estimate_range(display, need.grams, "g"),
            }
            for need in coating.needs
        ],
        "tiers": [_tier(name, tier, formulas, boards, display) for name, tier in cakes],
    }
    return Page(template="coats", sheet="fillings and coats", data=data)


def _tier(
    name: str, tier: CoatedTier, formulas: Mapping[str, str], boards: Mapping[str, str], display: Display
) -> dict[str, Json]:
    size = outline_words(tier.finished_outline, display)
    facts = [
        ["style", f"{tier.style.value}, {tier.finish.value}"],
        ["side to cover", shown(display, tier.side_mm2, "mm2")],
        ["top to cover", shown(display, tier.top_mm2, "mm2")],
        ["top edge", display.show_length(tier.edge_mm)],
        ["board", boards.get(tier.board, tier.board) or "none"],
        [
            "finished",
            f"{size}, {display.show_length(tier.finished_height_mm)} high",
        ],
        ["weight", _with_range(tier.mass_g, "g", display)],
    ]
    return {
        "title": name,
        "facts": [list(pair) for pair in facts],
        "parts": [_part(part, formulas, display) for part in tier.parts if part.part not in _NOT_MADE_HERE],
        "sheets": [_sheet(sheet, display) for sheet in tier.sheets],
    }


def _part(part: PartMass, formulas: Mapping[str, str], display: Display) -> dict[str, Json]:
    thick = part.thickness_mm.value
    return {
        "part": part.part.value,
        "formula": formulas.get(part.formula, part.formula),
        # Coats are a few millimetres: whole millimetres would hide a third of them.
        "thickness": f"{thick:.1f} mm" if 0 < thick < 10 else display.show_length(thick) if thick else "",
        "on_cake": display.show_mass(part.on_cake_g.value),
        "make": display.show_mass(part.to_make_g.value),
        "range": estimate_range(display, part.to_make_g, "g"),
    }


def _sheet(sheet: RolledSheet, display: Display) -> dict[str, Json]:
    size = f"{display.show_length(sheet.width_mm)} × {display.show_length(sheet.length_mm)}"
    return {
        "sheet": f"{sheet.use}: {size}",
        "thickness": f"{sheet.thickness_mm:.1f} mm",
        "roll": display.show_mass(sheet.roll_out_g.value),
        "trim": display.show_mass(sheet.trim_g.value),
        "back": display.show_mass(sheet.knead_back_g.value),
    }


def _with_range(estimate: Estimate, unit: str, display: Display) -> str:
    span = estimate_range(display, estimate, unit)
    value = shown(display, estimate.value, unit)
    return f"{value}, likely {span}" if span else value


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the coating sheet of a dossier."""
    return (
        page(
            dossier.coating,
            tier_names=words.tiers,
            formulas=words.formulas,
            boards=words.boards,
            cautions=dossier.notes.cautions,
            display=words.display,
        ),
    )
