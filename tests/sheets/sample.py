"""A whole set of sheets for the rowing club's centenary cake, with the formulas worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from tests.drawings import scenario

from tierwright.coating.model import Need, Part
from tierwright.drawings import Names, section
from tierwright.formula.model import (
    Batch,
    Formula,
    FormulaText,
    FormulaWork,
    Kind,
    Line,
    Mix,
    MixPart,
    PanFill,
    Status,
)
from tierwright.shapes import Outline
from tierwright.sheets import Book, Page, Paper, coats, cover, cutting, mixing, pans, record
from tierwright.units import Display
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    THE_BRIEF,
    Assumption,
    Basis,
    Caution,
    Estimate,
    Figure,
    Given,
    Question,
    Severity,
    Source,
)

METHOD = (
    "Bring butter, eggs and buttermilk to 20 °C.",
    "Beat butter and sugar on medium speed until pale, about 5 minutes.",
    "Add the eggs one at a time; the batter stays smooth.",
    "Fold in the sifted flour in three parts, with the buttermilk between.",
)
_PARTS = (
    ("unsalted butter", 454.0, 0.0, "soft"),
    ("caster sugar", 680.0, 0.0, ""),
    ("egg, whole", 400.0, 8.0, "at 20 °C"),
    ("cake flour", 620.0, 0.0, "sifted"),
    ("baking powder", 18.4, 0.0, "with the flour"),
    ("fine salt", 4.2, 0.0, ""),
    ("buttermilk", 480.0, 0.0, ""),
    ("vanilla extract", 16.0, 0.0, ""),
)


def work(
    key: str, name: str, kind: Kind, fills: tuple[tuple[str, str, float, int], ...], method: tuple[str, ...] = METHOD
) -> FormulaWork:
    """Return a formula made in two mixes, and what goes into each pan: job, pan, diameter and layers."""
    parts = tuple(MixPart(ingredient=label, label=label, grams=g, count=c, note=n) for label, g, c, n in _PARTS)
    total = sum(part.grams for part in parts)
    mixes = tuple(
        Mix(number=i, bowl="stand mixer, 4.8 l", parts=parts, mass_g=total, volume_ml=total / 0.9, scale=1.37)
        for i in (1, 2)
    )
    poured = tuple(
        PanFill(
            job=job,
            pan=pan,
            outline=Outline.round(width),
            number=n,
            mix=1 if n < 3 else 2,
            batter_g=Estimate.within(Outline.round(width).area_mm2 * 0.0205, 0.06),
            batter_ml=Outline.round(width).area_mm2 * 0.023,
            fill_mm=23.0,
            fill_share=0.45,
            baked_mm=34.0,
        )
        for job, pan, width, layers in fills
        for n in range(1, layers + 1)
    )
    return FormulaWork(
        formula=Formula(
            text=FormulaText(
                key=key,
                name=name,
                kind=kind,
                lines=("3 cups cake flour",),
                method=method,
                made_for="two 8 in round pans at sea level",
            ),
            lines=(
                Line(
                    number=1,
                    text="3 cups cake flour",
                    status=Status.READ,
                    remarks=("flour by the cup is taken as spooned into the cup and levelled",),
                ),
            ),
        ),
        percents=(),
        composition=None,
        balance=None,
        leavening=None,
        proposals=(),
        substitutions=(),
        batch=Batch(
            need_g=Estimate.within(total * 1.9, 0.07),
            make_g=total * 2,
            scale=2.74,
            mixes=mixes,
            fills=poured,
            spare_g=total * 0.06,
        ),
    )


WORKS = (
    work("vanilla", "Vanilla buttermilk layer", Kind.HIGH_RATIO, (("tier.1", "round-254", 254.0, 3),)),
    work("chocolate", "Chocolate oil layer, vegan", Kind.OIL, (("tier.2", "round-203", 203.2, 3),)),
    work("lemon", "Lemon and poppy seed layer", Kind.CREAMED, (("tier.3", "round-152", 152.4, 3),)),
    work(
        "buttercream",
        "Swiss-meringue buttercream",
        Kind.SWISS_BUTTERCREAM,
        (),
        (
            "Whisk whites and sugar over simmering water to 71 °C.",
            "Whip until cold and stiff.",
            "Beat in the butter, a piece at a time.",
        ),
    ),
)
NEEDS = (
    Need(formula="buttercream", part=Part.CRUMB_COAT, grams=Estimate.within(410, 0.2)),
    Need(formula="buttercream", part=Part.COAT, grams=Estimate.within(1490, 0.2)),
    Need(formula="curd", part=Part.FILLING, grams=Estimate.within(1170, 0.15)),
)
CAUTIONS = (
    Caution(
        key="formula.raw-egg.buttercream",
        sheet="formulas",
        step="whisk whites",
        text="Hold the whites at 71 °C before whipping, or use pasteurised whites.",
        reason="Raw egg white can carry salmonella.",
        source=Source(basis=Basis.PUBLISHED, text="FDA Food Code 2022, 3-401.11"),
    ),
    Caution(
        key="table.knife",
        sheet="table",
        step="warm the knife",
        text="Keep the blade pointing away and carry it down.",
        reason="A long knife on a crowded table cuts more than cake.",
        source=COMMON_PRACTICE,
    ),
    Caution(
        key="coats.nuts",
        sheet="coats",
        step="",
        text="Keep hazelnut out of the kitchen until every tier is boxed.",
        reason="One guest is allergic to hazelnut.",
        source=THE_BRIEF,
    ),
)
QUESTIONS = (
    Question(
        key="sizing.attending",
        severity=Severity.ASK,
        sheet="tiers",
        text="How many of the 124 invited will come?",
        reason="The count of portions rests on it.",
        figure="108 assumed",
        change="ask the secretary a fortnight before",
    ),
    Question(
        key="keeping.warm",
        severity=Severity.STOP,
        sheet="keeping",
        text="The coat softens before the cutting.",
        reason="At 29 °C a Swiss-meringue buttercream loses its edge within two hours.",
        figure="skin 24 °C after 1 h 40 min",
        change="set up at dusk",
    ),
    Question(
        key="label.hazelnut",
        severity=Severity.DANGER,
        sheet="labels",
        text="Is the chocolate made where hazelnuts are handled?",
        reason="One guest reacts severely.",
        change="buy a chocolate with a written statement",
    ),
    Question(
        key="look.violas",
        severity=Severity.NOTE,
        sheet="flowers",
        text="Pressed violas fade in sun.",
        reason="They are thin.",
    ),
)
FIGURES = (
    *(
        Figure.of(
            Estimate.within(1410.0 - 300 * i, 0.07),
            key=f"tier.{i}.batter_g",
            label=f"Batter for one layer, {name} tier",
            unit="g",
            equation="area × levelled height × density of crumb × (1 + bake loss)",
            source=Source(basis=Basis.PUBLISHED, text="Choi and Okos 1986, table 4"),
            sheet="bakes",
            inputs=(
                Given(name="area", value=50670.0, unit="mm2"),
                Given(name="levelled height", value=30.0, unit="mm"),
                Given(name="bake loss", value=0.11, unit="1"),
            ),
        )
        for i, name in enumerate(("bottom", "middle", "top"), 1)
    ),
    Figure(
        key="tiers.portions",
        label="Portions",
        value=106.0,
        equation="pieces that count, keepsake left out",
        source=ARITHMETIC,
        sheet="tiers",
    ),
    Figure(
        key="tiers.pattern",
        label="Pattern",
        value="rings",
        equation="the pattern that was asked for",
        source=THE_BRIEF,
        sheet="tiers",
    ),
)
ASSUMPTIONS = (
    Assumption(
        key="sizing.trim", text="Each layer loses its dome when levelled.", value="4 mm", source=COMMON_PRACTICE
    ),
    Assumption(
        key="coating.bowl",
        text="Some stays in bowl and bag.",
        value="8 %",
        source=Source(basis=Basis.FROM_MEMORY, text=""),
    ),
)
FACTS = (
    ("cutting", "Saturday 27 June 2026, 21:10"),
    ("handover", "18:30, at the boathouse"),
    ("invited", "124"),
    ("portions", "106, chance of running short 4 %"),
    ("kitchen", "1 420 m above the sea"),
    ("venue", "outdoors, 24 to 29 °C, shade"),
    ("diets", "9 vegan (ethics)"),
    ("allergies", "1 hazelnut (severe)"),
)
TITLE = "Rowing club centenary supper"
BOARDS = {
    "card-round-254": "card, round 10 in",
    "card-round-203": "card, round 8 in",
    "card-round-152": "card, round 6 in",
}
USES = {"tier.1": "bottom tier", "tier.2": "middle tier", "tier.3": "top tier"}
PANS = {
    "round-254": "round 10 in, 2 in deep",
    "round-203": "round 8 in, 2 in deep",
    "round-152": "round 6 in, 2 in deep",
}


def pages(display: Display | None = None, *, title: str = TITLE, hostile: str = "") -> tuple[Page, ...]:
    """Return every sheet; ``hostile`` is put wherever a person's words may stand."""
    display = display or Display()
    stack = scenario.STACK
    names = hostile or "vanilla"
    said = Names(formulas={"vanilla": hostile}, flavours=(hostile, "", "")) if hostile else scenario.NAMES
    drawing = section(stack, scenario.COATING, base=scenario.BASE, names=said, display=display)
    facts: tuple[tuple[str, str], ...] = FACTS
    questions: tuple[Question, ...] = QUESTIONS
    works: tuple[FormulaWork, ...] = WORKS
    if hostile:
        asked = Question(
            key="x", severity=Severity.ASK, sheet="tiers", text=hostile, reason=hostile, figure=hostile, change=hostile
        )
        facts, questions = (*FACTS, ("client", hostile)), (*QUESTIONS, asked)
        works = (work(hostile, hostile, Kind.POUND, ((hostile, hostile, 203.2, 2),), (hostile,)), *WORKS)
    return (
        cover.page(title, facts, drawing, questions, CAUTIONS),
        *mixing.pages(works, needs=NEEDS, pans=PANS, uses=USES, cautions=CAUTIONS, display=display),
        pans.page(works, pans=PANS, uses=USES, levels_mm={}, cautions=CAUTIONS, display=display),
        coats.page(
            replace(scenario.COATING, needs=NEEDS),
            tier_names={1: names, 2: "middle", 3: "top"},
            formulas=scenario.NAMES.formulas,
            boards=BOARDS,
            cautions=CAUTIONS,
            display=display,
        ),
        cutting.page(
            stack,
            demand=scenario.DEMAND,
            flavours=(names, names, names),
            remove=(cutting.Inedible(what=hostile or "supports in the bottom tier, in a ring", count=5),),
            cautions=CAUTIONS,
            display=display,
        ),
        record.working(FIGURES, display),
        record.assumed(ASSUMPTIONS),
    )


def book(*, title: str = TITLE, paper: Paper = Paper.A4) -> Book:
    return Book(title=title, cutting="Sat 27 June 2026, 21:10", dated=date(2026, 6, 27), paper=paper)
