"""All formulas of a commission, from text to bowls, with what has to be said beside them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from tierwright.errors import BadInput, OutOfRange, Problem
from tierwright.formula.altitude import altitude_proposals
from tierwright.formula.balance import balance
from tierwright.formula.byproducts import matched
from tierwright.formula.leavening import leavening
from tierwright.formula.lines import read_formula
from tierwright.formula.model import (
    Batch,
    Bowl,
    Formula,
    Formulas,
    FormulaText,
    FormulaWork,
    PanJob,
    Proposal,
    Substitution,
)
from tierwright.formula.percent import composition_of, masses, percents
from tierwright.formula.remarks import by_product_notes, formula_notes
from tierwright.formula.scaling import make_batch
from tierwright.formula.substitution import substitutions
from tierwright.formula.wide_pans import wide_pan_proposal
from tierwright.larder import Group, ingredient
from tierwright.water import air_pressure_pa
from tierwright.working import NOTHING, Estimate, Notes, Question, Severity

DRY_BASES = (Group.FLOUR, Group.STARCH, Group.NUT, Group.COCOA, Group.CHOCOLATE, Group.SEED, Group.BISCUIT)
LEAST_WATER = 8.0
"""A batter with less water than this cannot wet its flour; common practice. [%]"""


def prepare_formulas(
    texts: Sequence[FormulaText],
    *,
    pans: Mapping[str, Sequence[PanJob]],
    needs: Mapping[str, Estimate],
    bowls: Sequence[Bowl] = (),
    altitude_m: float = 0.0,
    resolution_g: float = 1.0,
) -> Formulas:
    """
    Work every formula of a commission through.

    Parameters
    ----------
    texts
        Formulas as written.
    pans
        By formula key, the pans that its batter fills.
    needs
        By formula key, the mass needed of what is not baked, losses included. [g]
    bowls
        Mixer bowls of the kitchen.
    altitude_m
        Of the kitchen. [m], -500 to 6000
    resolution_g
        What the kitchen's scale shows. [g]

    Returns
    -------
    formulas
        Lines, percentages, composition, balance, leavening, proposals, substitutions and bowls of each; by-products
        matched across them; notes. A formula with a line left to ask is not weighed out, and one that nothing needs has
        no batch.

    Raises
    ------
    BadInput
        A batter without anything dry to hold it, or without water; all of them at once.
    OutOfRange
        An altitude or a pan that cannot be computed.
    """
    problems = [problem for text in texts for problem in refusals(_read(text))]
    if problems:
        raise BadInput(problems)
    works: list[FormulaWork] = []
    notes = Notes()
    for text in texts:
        work, more = _work(
            text,
            jobs=tuple(pans.get(text.key, ())),
            need_g=needs.get(text.key, NOTHING),
            bowls=tuple(bowls),
            altitude_m=altitude_m,
            resolution_g=resolution_g,
        )
        works.append(work)
        notes = notes + more
    by_products = matched(tuple((work.formula, work.batch) for work in works if work.batch is not None))
    notes = notes + by_product_notes(by_products)
    once = {assumption.key: assumption for assumption in notes.assumptions}
    notes = replace(notes, assumptions=tuple(once.values()))
    return Formulas(works=tuple(works), by_products=by_products, notes=notes)


def refusals(formula: Formula) -> list[Problem]:
    """Return what makes a batter impossible: nothing dry in it, or no water; empty while a line is still to ask."""
    if not formula.text.kind.is_batter or formula.open_lines:
        return []
    place = f"formula {formula.text.key}"
    composition = composition_of(formula.parts)
    if composition is None:
        return [Problem(place=place, found="no ingredient", expected="ingredient lines with amounts")]
    problems: list[Problem] = []
    if not any(ingredient(line.ingredient).group in DRY_BASES for line in formula.parts):
        expected = "flour, starch, ground nuts, cocoa or chocolate in a batter"
        problems.append(Problem(place=place, found="no flour", expected=expected, nearest="a line such as 250 g flour"))
    if composition.water_g < LEAST_WATER:
        problems.append(
            Problem(
                place=place,
                found=f"no liquid ({composition.water_g:.1f} % water)",
                expected=f"eggs, milk, water or another liquid: at least {LEAST_WATER:g} % water in a batter",
                nearest="a line such as 120 ml whole milk",
            )
        )
    return problems


@lru_cache(maxsize=512)
def _read(text: FormulaText) -> Formula:
    return read_formula(text)


@lru_cache(maxsize=512)
def _swaps(text: FormulaText) -> tuple[Substitution, ...]:
    return substitutions(_read(text))


@lru_cache(maxsize=1024)
def _work(
    text: FormulaText,
    *,
    jobs: tuple[PanJob, ...],
    need_g: Estimate,
    bowls: tuple[Bowl, ...],
    altitude_m: float,
    resolution_g: float,
) -> tuple[FormulaWork, Notes]:
    """Work one formula through; another version of a commission that asks the same of it is not worked again."""
    formula = _read(text)
    batter = text.kind.is_batter
    settled = not formula.open_lines and bool(formula.parts)
    proposals: tuple[Proposal, ...] = ()
    questions: list[Question] = []
    if settled:
        proposals, questions = _proposals(formula, jobs, altitude_m)
    gas = leavening(formula, pressure_pa=air_pressure_pa(altitude_m)) if batter and settled else None
    batch: Batch | None = None
    if settled and (jobs or need_g.value > 0):
        batch = make_batch(formula, jobs=jobs, need_g=need_g, bowls=bowls, resolution_g=resolution_g)
    has_flour = masses(formula)["flour"].value > 0
    work = FormulaWork(
        formula=formula,
        percents=percents(formula),
        composition=composition_of(formula.parts) if settled else None,
        balance=balance(formula) if batter and settled and has_flour else None,
        leavening=gas,
        proposals=proposals,
        substitutions=_swaps(text) if settled else (),
        batch=batch,
    )
    return work, Notes(questions=tuple(questions)) + formula_notes(work, altitude_m=altitude_m, jobs=jobs)


def _proposals(
    formula: Formula, jobs: tuple[PanJob, ...], altitude_m: float
) -> tuple[tuple[Proposal, ...], list[Question]]:
    """Collect proposals; where a source ends, the question says so and there is none."""
    proposals: list[Proposal] = []
    questions: list[Question] = []
    key = formula.text.key
    if formula.text.kind.is_batter and not _written_high(formula, altitude_m):
        try:
            proposals += altitude_proposals(formula, altitude_m)
        except OutOfRange as error:
            questions.append(_beyond(f"formula.{key}.altitude", formula, str(error), f"{altitude_m:.0f} m"))
    for width_mm in sorted({job.outline.width_mm for job in jobs}):
        try:
            proposal = wide_pan_proposal(formula, width_mm)
        except OutOfRange as error:
            questions.append(_beyond(f"formula.{key}.wide_pan", formula, str(error), f"{width_mm:.0f} mm"))
            continue
        if proposal is not None:
            proposals.append(proposal)
    return tuple(proposals), questions


def _beyond(key: str, formula: Formula, reason: str, figure: str) -> Question:
    return Question(
        key=key,
        severity=Severity.ASK,
        sheet="formulas",
        text=f"How is {formula.text.name} changed here? The published changes end before it: bake a trial.",
        reason=reason,
        figure=figure,
    )


def _written_high(formula: Formula, altitude_m: float) -> bool:
    """Whether the formula says it was made for a kitchen as high as this one, within 300 m."""
    made = written_altitude_m(formula.text.made_for)
    return made is not None and abs(made - altitude_m) <= 300.0


def written_altitude_m(made_for: str) -> float | None:
    """
    Altitude that a formula says it was made for, or None if it says nothing. [m]

    Examples
    --------
    >>> written_altitude_m("two 8 in pans at 5,000 ft"), written_altitude_m("one 20 cm tin, sea level")
    (1524.0, 0.0)
    """
    if re.search(r"(?i)\bsea[- ]level\b", made_for):
        return 0.0
    match = re.search(r"(?i)\b(\d{1,2},?\d{3}|\d{3,4})\s*(m|metres|meters|ft|feet)\b", made_for)
    if match is None:
        return None
    value = float(match.group(1).replace(",", ""))
    return value * 0.3048 if match.group(2).lower() in ("ft", "feet") else value
