"""Mixing sheets: what to weigh for each bowl in the order of mixing, the method, and what goes into each pan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tierwright.coating.model import Need
from tierwright.dossier import Dossier
from tierwright.formula import Batch, FormulaWork, Mix, MixPart, PanFill
from tierwright.sheets.naming import Words, outline_words, said
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import count_of, estimate_range, of_sheet, steps_with_cautions
from tierwright.units import Display, show_plain
from tierwright.working import Caution

FILL_HEADS = ("filled", "pan", "from mix", "batter, and likely range", "depth of batter")


def pages(
    works: Iterable[FormulaWork],
    *,
    needs: Sequence[Need] = (),
    pans: Mapping[str, str] | None = None,
    uses: Mapping[str, str] | None = None,
    cautions: Iterable[Caution] = (),
    display: Display,
) -> tuple[Page, ...]:
    """
    Return one mixing sheet for each formula that is made.

    Parameters
    ----------
    works
        The formulas, worked through; those without a batch are not made and have no sheet.
    needs
        What the coats and fillings take of each formula.
    pans
        Names of pans by key.
    uses
        Names of pan jobs by key, such as ``bottom tier`` for ``tier.1``.
    cautions
        All hazards; those of formulas and syrups are printed here.
    display
        The maker's units.
    """
    mine = of_sheet(cautions, "formulas", "syrups")
    return tuple(
        _page(work, work.batch, needs, pans or {}, uses or {}, mine, display)
        for work in works
        if work.batch is not None
    )


def _page(
    work: FormulaWork,
    batch: Batch,
    needs: Sequence[Need],
    pans: Mapping[str, str],
    uses: Mapping[str, str],
    cautions: Sequence[Caution],
    display: Display,
) -> Page:
    text = work.formula.text
    here = [caution for caution in cautions if _concerns(caution, text.key)]
    steps, left = steps_with_cautions(text.method, here)
    facts = [
        ["kind", text.kind.value],
        ["to make", display.show_mass(batch.make_g)],
        ["needed", display.show_mass(batch.need_g.value)],
        ["likely range of the need", estimate_range(display, batch.need_g, "g") or "exact"],
        ["times the formula as written", show_plain(round(batch.scale, 3))],
        ["bowls", str(len(batch.mixes))],
    ]
    if text.made_for:
        facts.append(["written for", text.made_for])
    if batch.spare_g >= 1:
        facts.append(["made beyond need and loss", display.show_mass(batch.spare_g)])
    data: dict[str, Json] = {
        "title": f"Mixing: {text.name}",
        "cautions": left,
        "facts": [list(pair) for pair in facts],
        "mixes": [_mix(alike, len(batch.mixes), display) for alike in _alike(batch.mixes)],
        "steps": steps,
        "fill_title": said("Into the pans", display.english),
        "fill_heads": [said(head, display.english) for head in FILL_HEADS],
        "fills": _fills(batch.fills, pans, uses, display),
        "goes": [
            {
                "use": need.part.value,
                "make": display.show_mass(need.grams.value),
                "range": estimate_range(display, need.grams, "g"),
            }
            for need in needs
            if need.formula == text.key
        ],
        "notes": [_remark(line.number, remark) for line in work.formula.lines for remark in line.remarks],
    }
    return Page(template="mixing", sheet=f"mixing: {text.name}", data=data)


def _concerns(caution: Caution, formula: str) -> bool:
    """Whether a hazard is this formula's (``formula.<key>.<hazard>``) or every bowl's (any other key)."""
    return not caution.key.startswith("formula.") or caution.key.startswith(f"formula.{formula}.")


def _remark(number: int, remark: str) -> str:
    return f"Line {number}: {remark}"


def _alike(mixes: Sequence[Mix]) -> list[list[Mix]]:
    """Put neighbours with the same bowl and the same weights together: they share a table, with a box for each."""
    groups: list[list[Mix]] = []
    for mix in mixes:
        if groups and (groups[-1][0].bowl, groups[-1][0].parts) == (mix.bowl, mix.parts):
            groups[-1].append(mix)
        else:
            groups.append([mix])
    return groups


def _mix(alike: Sequence[Mix], of: int, display: Display) -> dict[str, Json]:
    mix = alike[0]
    about = [f"{display.show_mass(mix.mass_g)}, about {display.show_volume(mix.volume_ml)} when mixed"]
    if mix.bowl:
        about.insert(0, mix.bowl)
    if len(alike) > 1:
        title = f"Mixes {mix.number} to {alike[-1].number} of {of}, alike"
        about.append(f"weigh this {len(alike)} times, one box for each")
    else:
        title = f"Mix {mix.number} of {of}" if of > 1 else "The mix"
    return {
        "title": title,
        "about": "; ".join(about),
        "ticks": len(alike),
        "parts": [_part(part, display) for part in mix.parts],
        "total": display.show_mass(mix.mass_g),
    }


def _part(part: MixPart, display: Display) -> dict[str, Json]:
    notes = [part.note] if part.note else []
    if part.count:
        notes.insert(0, f"{show_plain(round(part.count, 2))} in number")
    return {"weight": display.show_mass(part.grams), "label": part.label, "note": "; ".join(notes)}


def _fills(fills: Sequence[PanFill], pans: Mapping[str, str], uses: Mapping[str, str], display: Display) -> list[Json]:
    """Return the pans with what goes in each; like pans from one mix share a line."""
    groups: dict[tuple[str, int, float], list[PanFill]] = {}
    for fill in fills:
        groups.setdefault((fill.job, fill.mix, round(fill.batter_g.value, 1)), []).append(fill)
    rows: list[Json] = []
    for members in groups.values():
        first = members[0]
        pan = pans.get(first.pan, outline_words(first.outline, display))
        layers = [str(fill.number) for fill in members]
        which = f"layer {layers[0]}" if len(layers) == 1 else f"layers {', '.join(layers)}"
        rows.append(
            {
                "pan": f"{uses.get(first.job, first.job)}, {which}: {pan}",
                "mix": str(first.mix),
                "batter": display.show_mass(first.batter_g.value) + (" each" if len(members) > 1 else ""),
                "range": estimate_range(display, first.batter_g, "g"),
                "depth": display.show_length(first.fill_mm),
            }
        )
    return rows


def bowls(works: Iterable[FormulaWork]) -> str:
    """Return the number of bowlfuls in words."""
    return count_of(sum(len(work.batch.mixes) for work in works if work.batch is not None), "bowlful")


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the mixing sheets of a dossier."""
    return pages(
        dossier.formulas.works,
        needs=dossier.coating.needs,
        pans=words.pans,
        uses=words.uses,
        cautions=dossier.notes.cautions,
        display=words.display,
    )
