"""What can be said of a brief by itself, before anything is computed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from tierwright.brief import Commission, Kitchen
from tierwright.brief.commission import Allergy
from tierwright.formula import Formulas
from tierwright.label import BrandLot, Labels, Presence
from tierwright.larder import GLUTEN_CEREALS, Allergen, Answer, ingredient
from tierwright.words import listed
from tierwright.working import COMMON_PRACTICE, Caution, Notes, Question, Severity

_NUTS: Final = (
    Allergen.ALMOND, Allergen.HAZELNUT, Allergen.WALNUT, Allergen.CASHEW, Allergen.PECAN, Allergen.BRAZIL_NUT,
    Allergen.PISTACHIO, Allergen.MACADAMIA, Allergen.PINE_NUT,
)  # fmt: skip
_GROUPS: Final[dict[str, tuple[Allergen, ...]]] = {
    "nut": (*_NUTS, Allergen.PEANUT),
    "tree nut": _NUTS,
    "gluten": tuple(sorted(GLUTEN_CEREALS)),
    "coeliac": tuple(sorted(GLUTEN_CEREALS)),
    "celiac": tuple(sorted(GLUTEN_CEREALS)),
    "dairy": (Allergen.MILK,),
    "shellfish": (Allergen.CRUSTACEAN, Allergen.MOLLUSC),
    "soya": (Allergen.SOY,),
    "sulfite": (Allergen.SULPHITES,),
}
"""Words for several allergens at once, and other words for one; the wider sense, since it is the safer."""


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


def note_allergies(commission: Commission, labels: Labels) -> Notes:
    """
    Hold the allergies of the brief against what the labels know of every cake.

    Nothing here ever says that something is free from an allergen. What packets alone can tell is asked once, by the
    label room's own question; only an allergy that its lists do not know is asked here.
    """
    questions: list[Question] = []
    cautions: list[Caution] = []
    for allergy in commission.allergies:
        known = allergens_named(allergy.allergen)
        name = allergy.allergen
        cakes = _with(labels, known, Presence.PRESENT)
        met = [name for name in _told_of(labels, known) if name not in cakes]
        if cakes:
            questions.append(
                Question(
                    key=f"allergy.{name}.inside",
                    severity=Severity.DANGER,
                    sheet="labels",
                    text=f"{name.capitalize()} is in {listed(_formulas_with(labels, known))}, on the {listed(cakes)}. "
                    "What does the guest with the allergy eat?",
                    reason="A cake is cut with one knife; a tier without it is not safe beside one with it.",
                    figure=guests_of(allergy),
                    change=f"replace what holds {name}, or promise the guest nothing from this cake",
                )
            )
        if met:
            questions.append(
                Question(
                    key=f"allergy.{name}.may",
                    severity=Severity.DANGER,
                    sheet="labels",
                    text=f"{name.capitalize()} may be in the {listed(met)}. What does the guest with the allergy eat?",
                    reason="A packet says so, or the kitchen has recorded how it may get there.",
                    figure=guests_of(allergy),
                    change="take another packet, clean down, or promise the guest nothing from this cake",
                )
            )
        if not known:
            questions.append(
                Question(
                    key=f"allergy.{name}.unknown",
                    severity=Severity.DANGER,
                    sheet="labels",
                    text=f"Do the makers of every ingredient rule out {name}?",
                    reason="No list of allergens names it, so no packet has to tell of it; unknown is never absent.",
                    figure=guests_of(allergy),
                    change="read each packet's list, and ask its maker",
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


def _with(labels: Labels, wanted: tuple[Allergen, ...], presence: Presence) -> list[str]:
    """Return the cakes of which so much is known; an allergen that the place does not list is traced all the same."""
    if not wanted:
        return []
    return [unit.name for unit in labels.units if known_of(labels, unit.name, wanted) is presence]


def _told_of(labels: Labels, wanted: tuple[Allergen, ...]) -> list[str]:
    """Return the cakes into which a packet or the kitchen's record says that it may get, other packets read or not."""
    ways = [one for one in labels.traces if one.presence is Presence.MAY and one.allergen in wanted]
    return [unit.name for unit in labels.units if any(one.path[0] == unit.name for one in ways)]


def _formulas_with(labels: Labels, wanted: tuple[Allergen, ...]) -> list[str]:
    """Return what certainly brings an allergen onto a cake."""
    names = [unit.name for unit in labels.units]
    return list(
        dict.fromkeys(
            trace.path[1]
            for trace in labels.traces
            if trace.allergen in wanted and trace.presence is Presence.PRESENT and trace.path[0] in names
        )
    )


def known_of(labels: Labels, unit: str, wanted: tuple[Allergen, ...]) -> Presence:
    """Return the strongest that is known of some allergens in a cake, whether or not the place lists them."""
    ways = [trace for trace in labels.traces if trace.path[0] == unit]
    found = [trace.presence for trace in ways if trace.allergen is None or trace.allergen in wanted]
    return max(found, default=Presence.NOT_DECLARED)


def guests_of(allergy: Allergy) -> str:
    """Return who has an allergy and how badly, in words."""
    return f"{allergy.count} guest{'s' if allergy.count > 1 else ''}, {allergy.severity.value}"


def note_diets(
    commission: Commission,
    formulas: Formulas,
    lots: Sequence[BrandLot] = (),
    worn: Mapping[str, tuple[str, ...]] | None = None,
) -> Notes:
    """
    Hold a flavour made for a diet against its ingredients, and say what such a diet does not promise.

    A packet that was read and says whether it is vegan goes before the table. ``worn`` names, by flavour, the formulas
    that are piped, spread or poured over its tiers.
    """
    read = {lot.ingredient: [one.vegan for one in lots if one.ingredient == lot.ingredient] for lot in lots}
    questions: list[Question] = []
    cautions: list[Caution] = []
    works = {work.formula.text.key: work for work in formulas.works}
    for flavour in commission.cake.flavours:
        diet = (flavour.diet or "").casefold()
        if diet not in {"vegan", "vegetarian"}:
            continue
        broken: list[str] = []
        asked: list[str] = []
        over = (worn or {}).get(flavour.name, ())
        for key in dict.fromkeys((flavour.cake, flavour.filling, flavour.coat, flavour.soak, flavour.rolled, *over)):
            if key not in works:
                continue
            for line in works[key].formula.parts:
                known = ingredient(line.ingredient)
                answer = known.vegan if diet == "vegan" else known.vegetarian
                said = read.get(known.key, [])
                if diet == "vegan" and said and None not in said:
                    answer = next((one for one in (Answer.NO, Answer.ASK) if one in said), Answer.YES)
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


def allergens_named(text: str) -> tuple[Allergen, ...]:
    """
    Return the allergens that a person's word means, a group such as ``nuts`` or ``gluten`` as all of its own.

    Examples
    --------
    >>> allergens_named("Hazelnuts"), len(allergens_named("tree nuts")), allergens_named("kiwi")
    ((<Allergen.HAZELNUT: 'hazelnut'>,), 9, ())
    """
    plain = text.strip().casefold().replace("_", " ").replace("-", " ").removesuffix("s")
    if plain in _GROUPS:
        return _GROUPS[plain]
    return tuple(allergen for allergen in Allergen if allergen.value.removesuffix("s") == plain)
