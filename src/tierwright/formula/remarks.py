"""What has to be said beside the weights: figures, questions, cautions and the defaults that were used."""

from __future__ import annotations

from tierwright.formula.figures import SHEET, figures_of
from tierwright.formula.lines import round_grams
from tierwright.formula.model import (
    Batch,
    ByProduct,
    Formula,
    FormulaWork,
    Kind,
    PanFill,
    PanJob,
    Verdict,
)
from tierwright.formula.scaling import BOWL_LOSS, LARGEST_SCALE, fill_limits
from tierwright.formula.tables import formula_class
from tierwright.larder import Group, ingredient
from tierwright.working import (
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Estimate,
    Figure,
    Notes,
    Question,
    Severity,
    Source,
)

VARIANTS = {"moist_flour": "moist_sugar", "moist_sugar": "moist_flour"}
RAW_FLOUR = Source(basis=Basis.PUBLISHED, text="FDA and FSIS consumer advice on raw flour and raw dough, from memory")
RAW_EGG = Source(
    basis=Basis.PUBLISHED,
    text="FSIS, Egg Products and Food Safety: egg dishes to 160 F (71 C); FDA Food Code 2022, 3-302.13, from memory",
)
HOT_SUGAR = Source(basis=Basis.COMMON_PRACTICE, text="boiling sugar is far hotter than water and sticks")
SODA_LEFT_G_PER_FLOUR = 0.4  # soda left over that can be tasted, of flour; common practice [%]


def formula_notes(work: FormulaWork, *, altitude_m: float, jobs: tuple[PanJob, ...]) -> Notes:
    """Return the notes of one formula: figures with their working, questions, cautions, defaults used."""
    formula = work.formula
    figures: list[Figure] = []
    questions = _line_questions(formula)
    assumptions = _line_assumptions(formula)
    if not formula.open_lines and formula.parts:
        figures += figures_of(work)
        questions += _balance_questions(work) + _leavening_questions(work) + _proposal_questions(work)
    if work.batch is not None:
        questions += _fill_questions(formula, work.batch, jobs, altitude_m) + _size_questions(formula, work.batch)
        assumptions += _batch_assumptions(formula, work.batch)
    return Notes(
        figures=tuple(figures),
        questions=tuple(questions),
        cautions=tuple(_cautions(work)),
        assumptions=tuple(assumptions),
    )


def _line_questions(formula: Formula) -> list[Question]:
    key = formula.text.key
    questions: list[Question] = []
    for line in formula.open_lines:
        choices = "; ".join(line.choices)
        questions.append(
            Question(
                key=f"formula.{key}.line.{line.number}",
                severity=Severity.STOP,
                sheet=SHEET,
                text=f"{formula.text.name}, line {line.number}: what is meant by “{line.text}”?",
                reason=f"{line.reason}; the formula cannot be weighed until it is settled",
                change=f"write one of: {choices}" if choices else "write the amount in grams and the full name",
            )
        )
    for line in formula.parts:
        spread = (line.grams.high - line.grams.low) / 2 / line.grams.value
        unsaid = [remark for remark in line.remarks if "is not said" in remark or "no weight for" in remark]
        if unsaid and spread > 0.08 and line.grams.value >= 20:
            questions.append(
                Question(
                    key=f"formula.{key}.measure.{line.number}",
                    severity=Severity.ASK,
                    sheet=SHEET,
                    text=f"{formula.text.name}: how is “{line.text}” measured?",
                    reason=unsaid[0],
                    figure=f"{line.grams.low:.0f} to {line.grams.high:.0f} g",
                    change="weigh it once as you always do, and write the grams",
                )
            )
    return questions


def _line_assumptions(formula: Formula) -> list[Assumption]:
    return [
        Assumption(
            key=f"formula.{formula.text.key}.line.{line.number}.{number}",
            text=f"{formula.text.name}: “{line.text}”: {remark}",
            value=f"{round_grams(line.grams.value)} g {line.label}",
            source=COMMON_PRACTICE,
        )
        for line in formula.parts
        for number, remark in enumerate(line.remarks, start=1)
    ]


def _balance_questions(work: FormulaWork) -> list[Question]:
    if work.balance is None:
        if work.formula.text.kind.is_batter:
            return [
                Question(
                    key=f"formula.{work.formula.text.key}.no_flour",
                    severity=Severity.NOTE,
                    sheet=SHEET,
                    text=f"{work.formula.text.name} has no flour: its balance cannot be checked.",
                    reason="balance rules are stated over flour",
                )
            ]
        return []
    questions: list[Question] = []
    verdicts = {check.key: check.verdict for check in work.balance.checks}
    for check in work.balance.checks:
        # Textbooks differ on some rules; a formula that keeps to either is no finding.
        if Verdict.WITHIN in (check.verdict, verdicts.get(VARIANTS.get(check.key, ""))):
            continue
        low = f"{check.low:g}" if check.low is not None else "0"
        span = f"{low} to {check.high:g}" if check.high is not None else f"at least {low}"
        questions.append(
            Question(
                key=f"formula.{work.formula.text.key}.balance.{check.key}",
                severity=Severity.NOTE,
                sheet=SHEET,
                text=f"{work.formula.text.name}: {check.label} is {check.verdict.value} what its class carries.",
                reason=f"{check.effect} ({check.source})",
                figure=f"{check.value:.0f} % against {span} %",
            )
        )
    return questions


def _leavening_questions(work: FormulaWork) -> list[Question]:
    gas = work.leavening
    if gas is None or gas.soda_g <= 0:
        return []
    flour_g = sum(line.grams.value for line in work.formula.parts if ingredient(line.ingredient).group is Group.FLOUR)
    if flour_g <= 0 or gas.soda_left_g.value / flour_g * 100 <= SODA_LEFT_G_PER_FLOUR:
        return []
    return [
        Question(
            key=f"formula.{work.formula.text.key}.soda_left",
            severity=Severity.NOTE,
            sheet=SHEET,
            text=f"{work.formula.text.name}: more soda than its acids take; it may taste soapy and brown early.",
            reason="soda that meets no acid stays as washing soda; the acid of each ingredient varies",
            figure=f"{gas.soda_left_g.low:.1f} to {gas.soda_left_g.high:.1f} g of {gas.soda_g:.1f} g soda left",
        )
    ]


def _proposal_questions(work: FormulaWork) -> list[Question]:
    return [
        Question(
            key=f"formula.{work.formula.text.key}.{proposal.key}",
            # One change at a time: the first is the one to settle, the others wait for its trial.
            severity=Severity.ASK if number == 0 else Severity.NOTE,
            sheet=SHEET,
            text=f"{work.formula.text.name}: {proposal.title}? Not applied; try one change at a time.",
            reason=f"{proposal.reason} ({proposal.source})",
            figure=proposal.span,
            change="bake one trial layer",
        )
        for number, proposal in enumerate(work.proposals)
    ]


def _fill_questions(formula: Formula, batch: Batch, jobs: tuple[PanJob, ...], altitude_m: float) -> list[Question]:
    low, high = fill_limits(formula_class(formula.text.kind), altitude_m)
    depths = {job.key: job.depth_mm for job in jobs}
    questions: list[Question] = []
    for fill in _one_a_job(batch.fills):
        place = f"formula.{formula.text.key}.pan.{fill.job}"
        name = f"{formula.text.name}, {fill.outline.describe()} pan"
        figure = f"{fill.fill_mm:.0f} mm, {100 * fill.fill_share:.0f} % of {depths[fill.job]:.0f} mm"
        if fill.fill_share > high + 0.005 or fill.baked_mm > depths[fill.job] * 1.1:
            questions.append(
                Question(
                    key=f"{place}.too_full",
                    severity=Severity.STOP if fill.fill_share > 0.8 else Severity.ASK,
                    sheet=SHEET,
                    text=f"{name}: too full; it may run over.",
                    reason=f"the batter should fill {100 * low:.0f} to {100 * high:.0f} % of the depth here",
                    figure=figure,
                    change="bake it as more and thinner layers, or in a deeper pan or with a collar",
                )
            )
        elif fill.fill_share < low - 0.005:
            questions.append(
                Question(
                    key=f"{place}.shallow",
                    severity=Severity.NOTE,
                    sheet=SHEET,
                    text=f"{name}: shallow; the rim shades it and it bakes sooner.",
                    reason=f"the batter usually fills {100 * low:.0f} to {100 * high:.0f} % of the depth",
                    figure=figure,
                )
            )
    return questions


def _one_a_job(fills: tuple[PanFill, ...]) -> list[PanFill]:
    return list({fill.job: fill for fill in reversed(fills)}.values())[::-1]


def _size_questions(formula: Formula, batch: Batch) -> list[Question]:
    questions: list[Question] = []
    asked = batch.need_g.value
    if batch.spare_g > 0.12 * asked and batch.spare_g > 50:
        questions.append(
            Question(
                key=f"formula.{formula.text.key}.spare",
                severity=Severity.NOTE,
                sheet=SHEET,
                text=f"{formula.text.name}: whole eggs leave a spare.",
                reason="the mix grows with its eggs so that the balance stays",
                figure=f"{batch.spare_g:.0f} g over {asked:.0f} g",
                change="beat the eggs and weigh them",
            )
        )
    return questions


def _batch_assumptions(formula: Formula, batch: Batch) -> list[Assumption]:
    key, name = formula.text.key, formula.text.name
    known = formula_class(formula.text.kind)
    assumptions: list[Assumption] = []
    measured = formula.text.specific_gravity if known.kind.is_batter else formula.text.density
    if measured is None:
        what = "specific gravity of the batter" if known.kind.is_batter else "density, ready to use"
        assumptions.append(_assume(f"formula.{key}.density", f"{name}: {what}", known.density, "g/ml", known.source))
    if batch.fills:
        assumptions.append(_assume(f"formula.{key}.rise", f"{name}: baked over batter", known.rise, "", known.source))
        assumptions.append(
            _assume(f"formula.{key}.trim", f"{name}: share that levelling takes off", known.trim, "", known.source)
        )
        assumptions.append(
            _assume("formula.bowl_loss", "batter left on bowl and paddle", BOWL_LOSS, "", COMMON_PRACTICE)
        )
    if len(batch.mixes) > 1 and not batch.mixes[0].bowl:
        assumptions.append(
            Assumption(
                key="formula.largest_scale",
                text="no bowl is given: a mix is at most this many times the formula",
                value=f"{LARGEST_SCALE:g}",
                source=COMMON_PRACTICE,
            )
        )
    return assumptions


def _assume(key: str, text: str, estimate: Estimate, unit: str, source: Source) -> Assumption:
    span = f" ({estimate.low:g} to {estimate.high:g})" if estimate.high > estimate.low else ""
    return Assumption(key=key, text=text, value=f"{estimate.value:g}{span} {unit}".strip(), source=source)


HOT_KINDS = (Kind.ITALIAN_BUTTERCREAM, Kind.FRENCH_BUTTERCREAM, Kind.SYRUP, Kind.JAM)
RAW_EGG_KINDS = (
    Kind.SWISS_BUTTERCREAM,
    Kind.ITALIAN_BUTTERCREAM,
    Kind.FRENCH_BUTTERCREAM,
    Kind.ROYAL_ICING,
    Kind.OTHER_FILLING,
    Kind.CURD,
    Kind.WHIPPED_CREAM,
)


def _cautions(work: FormulaWork) -> list[Caution]:
    formula = work.formula
    key, name, kind = formula.text.key, formula.text.name, formula.text.kind
    groups = {line.ingredient: ingredient(line.ingredient) for line in formula.parts}
    raw_eggs = {"whole_egg", "egg_white", "egg_yolk", "duck_egg"} & set(groups)
    flour = any(item.group is Group.FLOUR for item in groups.values())
    cautions: list[Caution] = []
    if kind.is_batter and (flour or raw_eggs):
        what = " and ".join(word for word, there in (("flour", flour), ("egg", bool(raw_eggs))) if there)
        cautions.append(
            Caution(
                key=f"formula.{key}.raw_batter",
                sheet=SHEET,
                step="mixing",
                text=f"Do not taste {name} raw; wash hands, bowl and bench after it.",
                reason=f"raw {what} can carry germs that only baking kills",
                source=RAW_FLOUR if flour else RAW_EGG,
            )
        )
    if not kind.is_batter and flour and kind is not Kind.FLOUR_BUTTERCREAM:
        cautions.append(
            Caution(
                key=f"formula.{key}.raw_flour",
                sheet=SHEET,
                step="mixing",
                text=f"Heat the flour of {name} through before it goes in: it is not baked.",
                reason="raw flour can carry germs",
                source=RAW_FLOUR,
            )
        )
    if kind in RAW_EGG_KINDS and raw_eggs:
        cautions.append(
            Caution(
                key=f"formula.{key}.raw_egg",
                sheet=SHEET,
                step="cooking the egg",
                text=f"Bring the egg of {name} to 71 °C (160 °F), measured in the egg itself, or use pasteurised egg.",
                reason="shell eggs can carry salmonella; textbooks that stop at 57 to 60 °C (135 to 140 °F) leave it"
                " alive unless it is held for minutes, and syrup poured on whites may not reach it",
                source=RAW_EGG,
            )
        )
    if kind in HOT_KINDS:
        cautions.append(
            Caution(
                key=f"formula.{key}.hot_sugar",
                sheet=SHEET,
                step="boiling the sugar",
                text="Keep children and distractions away, sleeves down, and a bowl of cold water beside the pan.",
                reason="boiling sugar clings and burns deeply",
                source=HOT_SUGAR,
            )
        )
    if "honey" in groups and kind is not Kind.OTHER_FILLING:
        cautions.append(
            Caution(
                key=f"formula.{key}.honey",
                sheet=SHEET,
                step="",
                text=f"{name} holds honey: none for infants under twelve months.",
                reason="honey can carry the spores of infant botulism, and baking does not kill them",
                source=Source(basis=Basis.PUBLISHED, text="public-health advice on infant botulism, from memory"),
            )
        )
    return cautions


def by_product_notes(by_products: tuple[ByProduct, ...]) -> Notes:
    """Return the questions that left-over yolks and whites raise: only those that no formula takes."""
    questions = tuple(
        Question(
            key=f"formula.{one.formula}.left.{one.ingredient}",
            severity=Severity.NOTE,
            sheet=SHEET,
            text=f"{one.count:.0f} {one.label}s are left over: what are they for?",
            reason="no formula of this commission takes them; keep cold and use within two days",
            figure=f"{one.grams:.0f} g",
            change="buy pasteurised whites in a carton" if one.ingredient == "egg_yolk" else "freeze the whites",
        )
        for one in by_products
        if not one.used_by and one.count >= 1
    )
    return Notes(questions=questions)
