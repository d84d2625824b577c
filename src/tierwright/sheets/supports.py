"""The support sheet: what to cut and where it stands in each tier, the boards, and templates at full size."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from tierwright.dossier import Dossier, SupportWork
from tierwright.drawings import INK_ON_PAPER, Drawing, Ink, Mark, deflected_board, plan
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page, Paper, picture
from tierwright.sheets.show import count_of, estimate_range, of_sheet, steps_with_cautions
from tierwright.support import BoardAnswer, Check, Level, StackedTier, template_sheets
from tierwright.units import Display, LengthUnit
from tierwright.working import Caution, Estimate

TEMPLATE_PAPER = {Paper.A4: "a4", Paper.LETTER: "letter"}


def page(
    work: SupportWork,
    *,
    display: Display,
    paper: Paper,
    cautions: Iterable[Caution] = (),
    ink: Ink = INK_ON_PAPER,
    templates: bool = True,
) -> Page:
    """
    Return the support sheet, with one template page at full size for each sheet of paper that a tier needs.

    Parameters
    ----------
    work
        What support was asked, and its answer.
    display
        The maker's units.
    paper
        Paper of the templates: they only measure true on the paper they were drawn for.
    cautions
        All hazards; those of the supports are printed here, at their steps.
    ink
        What the drawings are drawn with.
    templates
        Whether the templates at full size are wanted; they are of no use on a screen.
    """
    tiers = {tier.number: tier for tier in work.ask.tiers}
    levels = [level for level in work.found.levels if level.count]
    # Every tier says the same of cutting; said once it is read.
    said = {caution.text: caution for caution in of_sheet(cautions, "supports")}
    steps, left = steps_with_cautions(_steps(levels, tiers), said.values())
    inches = display.length is LengthUnit.INCH
    data: dict[str, Json] = {
        "title": "Boards and supports",
        "cautions": left,
        "words": _words(work, tiers),
        "cuts": _cuts(levels, tiers, display),
        "steps": steps if levels else [],
        "levels": [_level(level, tiers, display, ink) for level in work.found.levels],
        "base": _base(work, display),
        "templates": [
            {"svg": sheet.svg, "width_mm": sheet.width_mm, "height_mm": sheet.height_mm, "alt": sheet.alt}
            for level in (levels if templates else ())
            for sheet in template_sheets(
                level, tiers[level.tier], tiers[level.carries], paper=TEMPLATE_PAPER[paper], inches=inches
            )
        ],
    }
    return Page(template="supports", sheet="boards and supports", data=data)


def length_words(mm: float, display: Display) -> str:
    """Return a length to be cut or kept: to half a millimetre always, and in inches beside it where those are read."""
    exact = f"{round(2 * mm) / 2:g} mm"
    return f"{exact} ({display.show_length(mm)})" if display.length is LengthUnit.INCH else exact


def check_words(check: Check) -> list[str]:
    """Return one check as a row: what, asked, stood, and how much of it is used."""
    unit = check.unit
    used = f"{100 * check.utilisation:.0f} %"
    verdict = "holds" if check.passes else "FAILS"
    return [check.label, _amount(check.demand, unit), _amount(check.capacity, unit), used, verdict]


def _amount(value: float, unit: str) -> str:
    # Three figures say all that such a check knows.
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    return f"{value:.{digits}f} {unit}".strip()


def _words(work: SupportWork, tiers: dict[int, StackedTier]) -> str:
    if len(tiers) == 1:
        return "One tier: nothing stands on it, so nothing stands in it."
    bare = [tiers[level.tier].name for level in work.found.levels if not level.count]
    if bare:
        return f"No supports in {', '.join(bare)}: the cake carries what stands on it by itself."
    return ""


def _cuts(levels: Sequence[Level], tiers: dict[int, StackedTier], display: Display) -> list[Json]:
    return [
        [
            tiers[level.tier].name,
            level.stock.name,
            str(level.count),
            length_words(level.cut_mm, display),
            f"{level.tolerance_mm:.1f} mm",
        ]
        for level in levels
    ]


def _steps(levels: Sequence[Level], tiers: dict[int, StackedTier]) -> list[str]:
    if not levels:
        return []
    steps = [
        "Let the filled tiers stand until they have settled, then measure each finished tier where its supports go. "
        "Where it differs from the list above, write down what was measured, at the lowest place: that goes.",
        "Cut one support of a tier, mark the others against it and cut them square; sand and wipe the ends. Stand "
        "them side by side: none may differ by more than the list says.",
    ]
    for level in levels:
        order = ", ".join(str(place + 1) for place in level.order)
        steps.append(
            f"Lay the template on {tiers[level.tier].name}, prick the places through, lift it off, and press the "
            f"{count_of(level.count, 'support')} straight down to the board in the order {order}. "
            f"Set {tiers[level.carries].name} down on its own board, on all of them at once."
        )
    steps.append("Count what is left over and what went in; write both on the cutting guide for whoever cuts the cake.")
    return steps


def _level(level: Level, tiers: dict[int, StackedTier], display: Display, ink: Ink) -> dict[str, Json]:
    lower, upper = tiers[level.tier], tiers[level.carries]
    title = f"In {lower.name}, under {upper.name}"
    facts = [["carries", _with_range(level.load_g, display)]]
    drawings: list[Json] = []
    if level.count:
        facts += [
            ["supports", f"{level.count} of {level.stock.name}"],
            ["cut to", length_words(level.cut_mm, display)],
            ["equal within", f"{level.tolerance_mm:.1f} mm"],
            ["which tilts it", f"{1000 * level.tilt:.1f} mm in a metre"],
            ["middles", f"{length_words(level.ring_mm, display)} from the middle"],
            ["greatest force", f"{max(level.reactions_n):.1f} N at rest"],
        ]
        if level.by_hand:
            facts.append(["places", "set by hand"])
        drawings = [picture(plan_of(level, lower, upper, display, ink)), picture(_sag(level, upper, ink))]
    facts.append(["board above", _board_words(level.board)])
    remarks = [level.why[:1].upper() + level.why[1:] + "."]
    if level.fewer:
        remarks.append(level.fewer[:1].upper() + level.fewer[1:] + ".")
    if level.board.needed:
        remarks.append(f"The board under {upper.name} will not do: use {level.board.needed}.")
    if level.count and not level.by_hand and level.ring_mm > level.stiffest_ring_mm + 1.0:
        remarks.append(
            f"The board would sag least on a ring of {length_words(level.stiffest_ring_mm, display)}; the wider one "
            "keeps the tier from tipping."
        )
    return {
        "title": title,
        "facts": [list(pair) for pair in facts],
        "drawings": drawings,
        "checks": [list(check_words(check)) for check in (*level.checks, *level.board.checks)],
        "remarks": [*remarks],
    }


def plan_of(
    level: Level,
    lower: StackedTier,
    upper: StackedTier,
    display: Display,
    ink: Ink = INK_ON_PAPER,
    prefix: str = "supports",
) -> Drawing:
    """Draw the supports in one tier from above."""
    marks = [
        Mark(x_mm=x, y_mm=y, diameter_mm=level.stock.outer_mm, label=str(i))
        for i, (x, y) in enumerate(level.positions, start=1)
    ]
    return plan(
        lower.outline,
        above=upper.outline,
        marks=marks,
        display=display,
        ink=ink,
        prefix=f"{prefix}-{level.tier}",
        title=f"Supports in {lower.name}",
    )


def _sag(level: Level, upper: StackedTier, ink: Ink) -> Drawing:
    dx, dy = upper.offset_mm
    return deflected_board(
        level.board.deflected,
        [(x - dx, y - dy) for x, y in level.positions],
        sag_mm=level.board.sag_mm,
        ink=ink,
        prefix=f"sag-{level.carries}",
        title=f"The board under {upper.name}",
    )


def _board_words(board: BoardAnswer) -> str:
    sag = f", sags {board.sag_mm:.2f} mm of {board.limit_mm:.2f} mm allowed" if board.checks else ""
    return f"{board.material} {board.thickness_mm:g} mm{sag}"


def _base(work: SupportWork, display: Display) -> dict[str, Json]:
    base, board = work.found.base, work.ask.base
    wide, deep = board.outline.extent_mm
    size = display.show_length(wide) + ("" if abs(wide - deep) < 1 else f" × {display.show_length(deep)}")
    counts = Counter(thing.what for thing in work.found.inedibles if thing.tier == 0)
    return {
        "facts": [
            ["base board", f"{board.board.name}, {board.outline.shape.value} {size}"],
            ["carried by two edges", f"sags {base.sag_mm:.1f} mm of {base.limit_mm:.1f} mm allowed"],
            ["lies under the cake", ", ".join(f"{n} × {what}" for what, n in counts.items())],
        ],
        "checks": [list(check_words(check)) for check in base.checks],
        "needed": f"For carrying by its edges it will not do: use {base.needed}, or slide it and carry it with the "
        "hands under the middle."
        if base.needed
        else "",
    }


def _with_range(estimate: Estimate, display: Display) -> str:
    span = estimate_range(display, estimate, "g")
    value = display.show_mass(estimate.value)
    return f"{value}, likely {span}" if span else value


def of(dossier: Dossier, words: Words) -> tuple[Page, ...]:
    """Return the support sheet of a dossier; none where nothing owned carries the tiers."""
    if dossier.support is None:
        return ()
    return (page(dossier.support, display=words.display, paper=words.paper, cautions=dossier.notes.cautions),)
