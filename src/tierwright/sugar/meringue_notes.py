"""What a meringue has to say beside its numbers."""

from __future__ import annotations

from typing import Final

from tierwright.sugar.cautions import SHEET, hot_sugar, raw_egg
from tierwright.sugar.meringue_model import HeatVerdict, MeringueKind, MeringuePlan, Whites
from tierwright.sugar.told import degrees
from tierwright.working import (
    ARITHMETIC,
    Assumption,
    Basis,
    Caution,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

KILL_SOURCE: Final = Source(
    basis=Basis.PUBLISHED,
    text="Palumbo et al. 1996, J. Food Prot. 59, 1182; Schuman and Sheldon 1997, J. Food Prot. 60, 231; "
    "Garibaldi, Straka and Ijichi 1969, Appl. Microbiol. 17, 491",
)
HEAT_SOURCE: Final = Source(
    basis=Basis.PUBLISHED, text="heat balance; specific heats Bubnik et al. 1995, Choi and Okos 1986"
)
FOAM_SOURCE: Final = Source(basis=Basis.FROM_MEMORY, text="specific gravities of meringues; weigh a cup of your own")


DRIED_PARTS: Final = 8.0
"""Parts of made-up white from one part of powder; common practice. [-]"""


def meringue_notes(plan: MeringuePlan, *, name: str, own_bowl: bool, humidity_share: float, acid: bool) -> Notes:
    """
    Figures, questions, cautions and assumptions of a meringue.

    Parameters
    ----------
    plan
        The plan, its notes still empty.
    name
        Short name for the keys.
    own_bowl
        Whether the maker said which bowl.
    humidity_share
        Humidity of the room. [1]
    acid
        Whether acid goes in.

    Returns
    -------
    notes
        With the notes of the pot first, where there is one.
    """
    figures = [
        Figure.of(
            plan.hottest_c,
            key=f"meringue.{name}.hottest_c",
            label="Hottest that the whites get",
            unit="C",
            equation="heat of syrup + whites + bowl - loss, over their heat capacities" if plan.pour else "as measured",
            source=HEAT_SOURCE,
            sheet=SHEET,
        ),
        Figure.of(
            plan.logs,
            key=f"meringue.{name}.logs",
            label="Decimal reductions of Salmonella, cautious history",
            unit="",
            equation="integral of dt / D(T), D 3.60 min at 56.6 C times 2.2 to 10 for the sugar",
            source=KILL_SOURCE,
            sheet=SHEET,
            inputs=(Given(name="sugar", value=plan.sugar_share),),
        ),
        Figure.of(
            plan.volume_ml,
            key=f"meringue.{name}.volume_ml",
            label="Volume of the foam",
            unit="ml",
            equation="mass / density of the foam",
            source=FOAM_SOURCE,
            sheet=SHEET,
        ),
        Figure(
            key=f"meringue.{name}.water_share",
            label="Water in the whole",
            value=plan.water_share,
            unit="",
            equation="(0.876 x whites + water left in the syrup) / mass",
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure.of(
            plan.holding.water_activity,
            key=f"meringue.{name}.water_activity",
            label="Water activity at 20 C, computed, not measured",
            unit="",
            equation="sucrose and the white's salt in its water",
            source=Source(basis=Basis.PUBLISHED, text="Starzak and Peacock 1997"),
            sheet=SHEET,
        ),
    ]
    if plan.whites is Whites.DRIED:
        figures.append(
            Figure(
                key=f"meringue.{name}.white_powder_g",
                label="Dried white for it; the rest of the whites is water",
                value=plan.whites_g / DRIED_PARTS,
                unit="g",
                equation="whites made up / 8 (1 part powder to 7 of water)",
                source=Source(basis=Basis.COMMON_PRACTICE),
                sheet=SHEET,
            )
        )
    cautions: list[Caution] = []
    if plan.syrup is not None:
        cautions += hot_sugar("pour", hottest_c=plan.syrup.target.true_c.value)
    if plan.verdict in (HeatVerdict.RAW, HeatVerdict.NOT_RELIED_ON):
        cautions.append(raw_egg("whites"))
    notes = Notes(
        figures=tuple(figures),
        questions=_questions(plan, name, humidity_share, acid),
        cautions=tuple(cautions),
        assumptions=(
            (
                Assumption(
                    key=f"meringue.{name}.bowl",
                    text="The bowl",
                    value=f"stainless steel, 900 g, at {degrees(20)}",
                    source=Source(basis=Basis.COMMON_PRACTICE),
                ),
            )
            if not own_bowl and plan.pour is not None
            else ()
        ),
    )
    return plan.syrup.notes + notes if plan.syrup is not None else notes


def _questions(plan: MeringuePlan, name: str, humidity_share: float, acid: bool) -> tuple[Question, ...]:
    found: list[Question] = []
    if plan.verdict in (HeatVerdict.RAW, HeatVerdict.NOT_RELIED_ON):
        found.append(
            Question(
                key=f"meringue.{name}.whites",
                severity=Severity.DANGER,
                sheet=SHEET,
                text="Will you use pasteurised whites?",
                reason=plan.verdict_text,
                figure=f"{degrees(plan.hottest_c.value)} against {degrees(71.1, 1)}",
                change="Pasteurised or dried whites; or warm whites and sugar over steam to 71.1 C (160 F), measured.",
            )
        )
    if plan.whites is Whites.FRESH and plan.kind is not MeringueKind.FRENCH:
        found.append(
            Question(
                key=f"meringue.{name}.sources_part",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="Sources part: 57 to 60 C (135 to 140 F) in pastry books, 71.1 C (160 F) from FSIS and FDA.",
                reason="FSIS also lists icings made by beating hot syrup into whites as safe; the sum above shows how "
                "far a bowl can fall short of that.",
                figure=f"cautious {plan.logs.low:.1f}, likely {plan.logs.value:.1f} decimal reductions",
            )
        )
    if plan.sugar_to_white < 1.2:
        found.append(
            Question(
                key=f"meringue.{name}.ratio",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="This is a soft meringue; is it eaten within hours?",
                reason="Under 1.2 parts sugar to 1 of white a foam weeps and sinks.",
                figure=f"{plan.sugar_to_white:.2f} parts of sugar",
                change="1.5 to 2 parts of sugar for a foam that holds a coat.",
            )
        )
    elif plan.sugar_to_white > 2.4:
        found.append(
            Question(
                key=f"meringue.{name}.ratio",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="This is heavy with sugar; beat the whites well before most of it goes in.",
                reason="Above 2.4 parts the sugar does not dissolve in the white's water and the foam stays dense.",
                figure=f"{plan.sugar_to_white:.2f} parts of sugar",
            )
        )
    if humidity_share > 0.65:
        found.append(
            Question(
                key=f"meringue.{name}.humidity",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="The air is damp; dried shells will turn sticky and a bare coat will bead.",
                reason="Sugar glass takes up water from air above about half of saturation.",
                figure=f"{humidity_share * 100:.0f} % humidity",
                change="Box shells with a drying agent, coat on the day.",
            )
        )
    if plan.whites is Whites.PASTEURISED:
        found.append(
            Question(
                key=f"meringue.{name}.slow",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="Pasteurised whites take two to three times as long to whip; a pinch of acid helps.",
                reason="The heat that made them safe has set a part of the proteins that hold bubbles.",
            )
        )
    if not acid:
        found.append(
            Question(
                key=f"meringue.{name}.acid",
                severity=Severity.NOTE,
                sheet=SHEET,
                text="A pinch of acid (about 0.5 g cream of tartar to a white) makes the foam forgiving.",
                reason="Without acid, or copper, whites are soon beaten too long.",
            )
        )
    return tuple(found)
