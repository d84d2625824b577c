"""The sugar sheet: pots, foams and mixed coats, with the temperatures of this kitchen."""

from __future__ import annotations

from collections.abc import Sequence

from tierwright.dossier import Dossier, SugarWork
from tierwright.drawings import INK_ON_PAPER, Drawing, Ink
from tierwright.formula import FormulaWork
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page, picture
from tierwright.sheets.show import estimate_range, of_sheet, shown, steps_with_cautions
from tierwright.sugar import CreamPlan, MeringuePlan, SyrupPlan, SyrupState, plot_target
from tierwright.units import Display, TemperatureUnit
from tierwright.working import Caution, Estimate

PLOT_MM = (150.0, 86.0)
PIXELS_PER_MM = 4.2


def of(dossier: Dossier, words: Words, ink: Ink = INK_ON_PAPER) -> tuple[Page, ...]:
    """Return one page for each formula that is boiled, beaten or mixed, its plot drawn in some ink."""
    works = {work.formula.text.key: work for work in dossier.formulas.works}
    mine = of_sheet(dossier.notes.cautions, "syrups", "formulas")
    return tuple(
        _page(sugar, works[sugar.formula], _own(mine, sugar.formula), words.display, ink)
        for sugar in dossier.sugar
        if sugar.syrup or sugar.meringue or sugar.cream
    )


def _own(cautions: Sequence[Caution], key: str) -> list[Caution]:
    """Keep the hazards of one formula, and those of none in particular."""
    return [c for c in cautions if c.key.startswith("sugar.caution") or f".{key}." in f"{c.key}."]


def _page(sugar: SugarWork, work: FormulaWork, cautions: list[Caution], display: Display, ink: Ink) -> Page:
    name = work.formula.text.name
    facts: list[list[str]] = []
    steps: list[str] = []
    plot: Json = None
    words = ""
    if sugar.syrup is not None:
        facts += _syrup_facts(sugar.syrup, display)
        steps += [
            "Weigh sugar and water into the pot and stir over a low heat until no grain is felt.",
            f"Bring the pot to the boil once ({_degrees(display, sugar.syrup.boils_c)} here), then take it off.",
            "Pour it into a clean jar, cover, cool. Brush it on cold.",
        ]
    if sugar.meringue is not None:
        facts += _meringue_facts(sugar.meringue, display)
        steps += _meringue_steps(sugar.meringue, display)
        words = sugar.meringue.verdict_text
        if sugar.meringue.syrup is not None:
            plot = picture(plot_of(sugar.meringue.syrup, name, display, ink))
    if sugar.cream is not None:
        facts += _cream_facts(sugar.cream, display)
        steps += _cream_steps(sugar.cream, display)
    told, left = steps_with_cautions(steps, cautions)
    faults = sugar.meringue.faults if sugar.meringue is not None else ()
    faults += sugar.cream.faults if sugar.cream is not None else ()
    data: dict[str, Json] = {
        "title": f"At the pot and the bowl: {name}",
        "cautions": left,
        "facts": [[fact, value] for fact, value in facts],
        "words": words,
        "mixes": _weights(work, display),
        "steps": told,
        "plot": plot,
        "faults": [[fault.sign, fault.cause, fault.rescue] for fault in dict.fromkeys(faults)],
    }
    return Page(template="syrups", sheet=f"syrups and creams: {name}", data=data)


def _weights(work: FormulaWork, display: Display) -> list[Json]:
    """Return the start weights of each bowl or pot."""
    if work.batch is None:
        return []
    several = len(work.batch.mixes) > 1
    return [
        {
            "title": f"Weigh out, {mix.number} of {len(work.batch.mixes)}" if several else "Weigh out",
            "rows": [[shown(display, part.grams, "g"), part.label] for part in mix.parts],
        }
        for mix in work.batch.mixes
    ]


def _degrees(display: Display, estimate: Estimate) -> str:
    return shown(display, estimate.value, "C")


def _ranged(display: Display, estimate: Estimate, unit: str) -> str:
    span = estimate_range(display, estimate, unit)
    return shown(display, estimate.value, unit) + (f", likely {span}" if span else "")


def _syrup_facts(state: SyrupState, display: Display) -> list[list[str]]:
    return [
        ["dissolved solids", f"{state.solids_share:.1%}"],
        ["comes to the boil here at", _ranged(display, state.boils_c, "C")],
        ["weighs", f"{state.density_g_ml:.2f} g/ml"],
        ["runs like", state.flow.value],
        ["graininess in the jar", state.crystals.risk.value],
    ]


def _meringue_facts(plan: MeringuePlan, display: Display) -> list[list[str]]:
    rows = [
        ["sugar to white", f"{plan.sugar_to_white:.2f}"],
        ["whites reach", _ranged(display, plan.hottest_c, "C")],
        ["relied on as heat-treated", plan.verdict.value],
        ["foam", _ranged(display, plan.volume_ml, "ml")],
    ]
    if plan.syrup is not None:
        target = plan.syrup.target
        rows[:0] = [
            ["stop at, on your thermometer", _ranged(display, target.reading_c, "C")],
            ["that is", target.label],
            ["the same syrup by the sea", shown(display, target.sea_level_c, "C")],
        ]
        if plan.syrup.cook is not None:
            rows.append(["water to boil off", shown(display, plan.syrup.cook.water_off_g, "g")])
    return rows


def _meringue_steps(plan: MeringuePlan, display: Display) -> list[str]:
    if plan.syrup is not None:
        return [
            "Weigh sugar and water into the pot; stir until it boils, then no more.",
            f"Cook the pot to {_degrees(display, plan.syrup.target.reading_c)} on your thermometer.",
            "Whip the whites to soft peaks meanwhile.",
            "Pour the syrup in a thin stream between whisk and bowl.",
            "Whip until no warmer than the butter.",
        ]
    warm = _degrees(display, plan.hottest_c)
    return [
        f"Warm whites and sugar over the steam, stirring, to {warm}; write down what it shows.",
        "Whip until stiff and no warmer than the butter.",
    ]


def _cream_facts(plan: CreamPlan, display: Display) -> list[list[str]]:
    rows = [["worked at", _ranged(display, plan.worked_c, "C")]]
    if plan.window is not None:
        if plan.window.firm_below_c is not None:
            rows.append(["too firm to spread below", shown(display, plan.window.firm_below_c, "C")])
        if plan.window.works_to_c is not None:
            rows.append(["spreads up to", _ranged(display, plan.window.works_to_c, "C")])
        if plan.window.runs_above_c is not None:
            rows.append(["runs above", shown(display, plan.window.runs_above_c, "C")])
    if plan.ganache is not None and plan.ganache.sets_at_c is not None:
        rows.append(["sets at", _ranged(display, plan.ganache.sets_at_c, "C")])
        rows.append(["emulsion", plan.ganache.state.value])
    rows.append(["volume", _ranged(display, plan.volume_ml, "ml")])
    return rows


def _cream_steps(plan: CreamPlan, display: Display) -> list[str]:
    low, high = shown(display, plan.worked_c.low, "C"), shown(display, plan.worked_c.high, "C")
    return [f"Check the bowl with a thermometer: {low} to {high}. Soupy is warm, curdled is cold; judge after beating."]


def plot_of(syrup: SyrupPlan, name: str, display: Display, ink: Ink = INK_ON_PAPER) -> Drawing:
    """Draw where to stop a pot."""
    width, height = PLOT_MM
    svg = plot_target(
        syrup.start,
        syrup.target,
        syrup.pressure_pa,
        width=width * PIXELS_PER_MM,
        height=height * PIXELS_PER_MM,
        fahrenheit=display.temperature is TemperatureUnit.F,
        ink=ink,
    )
    alt = f"Boiling temperature against dissolved solids for {name}, with the target marked: {syrup.target.label}"
    return Drawing(svg=svg, width_mm=width, height_mm=height, title="Where to stop the pot", alt=alt)
