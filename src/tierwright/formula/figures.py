"""The figures of this room, each with the working behind it."""

from __future__ import annotations

from tierwright.formula.leavening import REFERENCE_POWDER
from tierwright.formula.model import Batch, Formula, FormulaWork, Line
from tierwright.formula.scaling import density_of
from tierwright.formula.tables import formula_class
from tierwright.larder import ingredient
from tierwright.working import ARITHMETIC, COMMON_PRACTICE, Basis, Figure, Given, Source

SHEET = "formulas"


def figures_of(work: FormulaWork) -> list[Figure]:
    """Return the figures of one formula: its lines, its whole, its gas, what is weighed out and poured."""
    formula = work.formula
    key, name = formula.text.key, formula.text.name
    figures = [
        Figure.of(
            line.grams,
            key=f"formula.{key}.line.{line.number}_g",
            label=f"{name}: {line.label}",
            unit="g",
            equation=f"{line.working}; {line.way}",
            inputs=(Given(name="line", value=line.text),),
            source=_line_source(line),
            sheet=SHEET,
        )
        for line in formula.parts
    ]
    figures.append(
        Figure.of(
            formula.total_g,
            key=f"formula.{key}.total_g",
            label=f"{name}: everything in the bowl, as written",
            unit="g",
            equation="sum of the lines",
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    if work.leavening is not None and work.leavening.co2_g.value > 0:
        gas = work.leavening
        figures.append(
            Figure.of(
                gas.powder_equivalent_percent,
                key=f"formula.{key}.leavening_percent",
                label=f"{name}: leavening, as baking powder over flour",
                unit="%",
                equation=f"carbon dioxide / {REFERENCE_POWDER:g} / flour x 100",
                inputs=(
                    Given(name="carbon dioxide", value=gas.co2_g.value, unit="g"),
                    Given(name="soda left over", value=gas.soda_left_g.value, unit="g"),
                ),
                source=Source(basis=Basis.PUBLISHED, text="stoichiometry; gas of powders as in the bakers' dictionary"),
                sheet=SHEET,
            )
        )
        figures.append(
            Figure.of(
                gas.gas_ml,
                key=f"formula.{key}.gas_ml",
                label=f"{name}: gas released at {gas.at_c:.0f} °C in this kitchen's air",
                unit="ml",
                equation="n R T / p",
                inputs=(Given(name="air pressure", value=gas.pressure_pa, unit="Pa"),),
                source=Source(basis=Basis.PUBLISHED, text="ideal gas law; US Standard Atmosphere 1976"),
                sheet=SHEET,
            )
        )
    if work.batch is not None:
        figures += _batch_figures(formula, work.batch)
    return figures


def _line_source(line: Line) -> Source:
    if line.way == "weighed":
        return ARITHMETIC
    measures = ingredient(line.ingredient).measures
    return measures[0].source if measures else COMMON_PRACTICE


def _batch_figures(formula: Formula, batch: Batch) -> list[Figure]:
    key, name = formula.text.key, formula.text.name
    known = formula_class(formula.text.kind)
    figures = [
        Figure.of(
            batch.need_g,
            key=f"formula.{key}.need_g",
            label=f"{name}: needed",
            unit="g",
            equation="sum over pans, or over tiers",
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure(
            key=f"formula.{key}.make_g",
            label=f"{name}: weighed out, in {len(batch.mixes)} mix" + ("es" if len(batch.mixes) > 1 else ""),
            value=batch.make_g,
            unit="g",
            equation="needed / (1 - loss), up to whole eggs, to the step of the scale",
            inputs=(Given(name="scale", value=batch.scale), Given(name="spare", value=batch.spare_g, unit="g")),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
    ]
    seen: set[str] = set()
    for fill in batch.fills:
        if fill.job in seen:
            continue
        seen.add(fill.job)
        figures.append(
            Figure.of(
                fill.batter_g,
                key=f"formula.{key}.pan.{fill.job}_g",
                label=f"{name}: batter in each {fill.outline.describe()} pan",
                unit="g",
                equation="area x levelled height / (1 - trim) / rise x specific gravity",
                inputs=(
                    Given(name="batter", value=fill.batter_ml, unit="ml"),
                    Given(name="specific gravity", value=density_of(formula, known).value),
                    Given(name="rise", value=known.rise.value),
                    Given(name="trim", value=known.trim.value),
                ),
                source=known.source,
                sheet=SHEET,
            )
        )
    return figures
