"""What can be said of a brief by itself, before anything is computed."""

from __future__ import annotations

from tierwright.brief import Commission, Kitchen
from tierwright.formula import Formulas
from tierwright.larder import Allergen, Answer, ingredient
from tierwright.words import listed
from tierwright.working import COMMON_PRACTICE, Caution, Notes, Question, Severity

LONG_DISPLAY_H = 2.0


def note_brief(commission: Commission, kitchen: Kitchen) -> Notes:
    """Ask what the brief leaves open."""
    questions: list[Question] = []
    guests, venue = commission.guests, commission.venue

    def ask(
        key: str, severity: Severity, sheet: str, text: str, reason: str, figure: str = "", change: str = ""
    ) -> None:
        questions.append(
            Question(key=key, severity=severity, sheet=sheet, text=text, reason=reason, figure=figure, change=change)
        )

    if guests.attending is None:
        ask(
            "brief.attending", Severity.ASK, "tiers", "How many of those invited will come?",
            "Until replies are in, the count rests on a usual share of those invited.", f"{guests.invited} invited",
            "enter the replies as guests.attending",
        )  # fmt: skip
    if venue.access is None:
        ask(
            "brief.access", Severity.ASK, "road", "When does the venue let the maker in?",
            "The set-up has to end before the guests come in.", change="enter venue.access",
        )  # fmt: skip
    if not venue.table:
        ask(
            "brief.table", Severity.ASK, "table", "Is the cake table level, and strong enough?",
            "A tiered cake on a table that leans or gives will lean too.", change="enter venue.table",
        )  # fmt: skip
    if venue.outdoors and venue.humidity is None:
        ask(
            "brief.humidity", Severity.NOTE, "table", "How damp will the air be at the venue?",
            "It decides whether a cold coat sweats.", change="enter venue.humidity",
        )  # fmt: skip
    if any(not mark for mark in (oven.offset is not None for oven in kitchen.ovens)):
        ask(
            "brief.oven_offset", Severity.NOTE, "bakes", "How far is the oven's dial off?",
            "Home ovens are often 10 to 15 C off; an oven thermometer tells.", change="enter ovens.offset",
        )  # fmt: skip
    return Notes(questions=tuple(questions))


def note_allergies(commission: Commission, formulas: Formulas) -> Notes:
    """
    Hold the allergies of the brief against what the formulas are made of.

    Nothing here ever says that something is free from an allergen; what is not known is asked.
    """
    questions: list[Question] = []
    cautions: list[Caution] = []
    for allergy in commission.allergies:
        known = _allergen(allergy.allergen)
        name = allergy.allergen
        inside, asked = _held(formulas, known)
        severe = f"{allergy.count} guest{'s' if allergy.count > 1 else ''}, {allergy.severity.value}"
        if inside:
            questions.append(
                Question(
                    key=f"allergy.{name}.inside",
                    severity=Severity.DANGER,
                    sheet="labels",
                    text=f"{name.capitalize()} is in {listed(inside)}. What does the guest with the allergy eat?",
                    reason="A cake is cut with one knife; a tier without it is not safe beside one with it.",
                    figure=severe,
                    change=f"replace what holds {name}, or promise the guest nothing from this cake",
                )
            )
        if asked or known is None:
            what = listed(asked) if known is not None else "every ingredient"
            questions.append(
                Question(
                    key=f"allergy.{name}.unknown",
                    severity=Severity.DANGER,
                    sheet="labels",
                    text=f"Do the makers of {what} rule out {name}?",
                    reason="What a label does not say is unknown, and unknown is never absent.",
                    figure=severe,
                    change="read each packet's list and its 'may contain', and ask its maker",
                )
            )
        cautions.append(
            Caution(
                key=f"allergy.{name}",
                sheet="formulas",
                step="",
                text=f"A guest is allergic to {name}: clean down first, keep {name} shut away until this cake is "
                "boxed, and never promise a cake free from it.",
                reason="Traces on hands, tools and in the air can be enough.",
                source=COMMON_PRACTICE,
            )
        )
    return Notes(questions=tuple(questions), cautions=tuple(cautions))


def note_diets(commission: Commission, formulas: Formulas) -> Notes:
    """Hold a flavour made for a diet against its ingredients, and say what such a diet does not promise."""
    questions: list[Question] = []
    cautions: list[Caution] = []
    works = {work.formula.text.key: work for work in formulas.works}
    for flavour in commission.cake.flavours:
        diet = (flavour.diet or "").casefold()
        if diet not in {"vegan", "vegetarian"}:
            continue
        broken: list[str] = []
        asked: list[str] = []
        for key in (flavour.cake, flavour.filling, flavour.coat, flavour.soak, flavour.rolled):
            if key not in works:
                continue
            for line in works[key].formula.parts:
                known = ingredient(line.ingredient)
                answer = known.vegan if diet == "vegan" else known.vegetarian
                if answer is not Answer.YES:
                    (broken if answer is Answer.NO else asked).append(known.name_us)
        for severity, names, text, change in (
            (Severity.STOP, broken, "is not {diet}: it holds {names}", "change the formula or the promise"),
            (Severity.ASK, asked, "is it {diet}? Only the label settles {names}", "read the labels"),
        ):
            if names:
                questions.append(
                    Question(
                        key=f"diet.{flavour.name}.{severity.name.lower()}",
                        severity=severity,
                        sheet="formulas",
                        text=f"{flavour.name}: {text.format(diet=diet, names=listed(names))}.",
                        reason="Guests who keep a diet rely on the maker's word.",
                        change=change,
                    )
                )
        cautions.append(
            Caution(
                key=f"diet.{flavour.name}",
                sheet="formulas",
                step="",
                text=f"{flavour.name} is made {diet}: use clean tools, make it first. It is no promise to a guest with "
                "an allergy to milk or egg.",
                reason="A way of eating is not a claim about allergens.",
                source=COMMON_PRACTICE,
            )
        )
    return Notes(questions=tuple(questions), cautions=tuple(cautions))


def _held(formulas: Formulas, allergen: Allergen | None) -> tuple[list[str], list[str]]:
    """Return the formulas that certainly hold an allergen, and the ingredients whose makers have to be asked."""
    inside: list[str] = []
    asked: list[str] = []
    for work in formulas.works:
        for line in work.formula.parts:
            known = ingredient(line.ingredient)
            if allergen in known.contains:
                inside.append(work.formula.text.name)
            elif allergen in known.ask_about or known.ask_supplier:
                asked.append(known.name_us)
    return inside, asked


def _allergen(text: str) -> Allergen | None:
    plain = text.strip().casefold().replace("_", " ").removesuffix("s")
    return next((allergen for allergen in Allergen if allergen.value.removesuffix("s") == plain), None)
