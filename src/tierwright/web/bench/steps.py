"""The sheets at the bench: what a dossier says, cut into single steps with one large figure each.

Nothing is worked out here. A step's key is the same for the same version, so that what was ticked on one tablet is
ticked on another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from django.utils.functional import Promise
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from tierwright.bake import Load, allergen_names
from tierwright.coating import CoatedTier
from tierwright.coating.model import Part
from tierwright.dossier import Dossier, PanBake
from tierwright.formula import FormulaWork, Mix, MixPart, PanFill
from tierwright.sheets import Words, syrups
from tierwright.sheets.naming import outline_words
from tierwright.sheets.ovens import dial
from tierwright.sheets.pans import page as pan_page
from tierwright.sheets.show import caution_words, estimate_range, shown, steps_with_cautions
from tierwright.units import MassUnit, TemperatureUnit
from tierwright.working import Caution

NOT_PUT_ON: frozenset[Part] = frozenset({Part.SPONGE, Part.BOARD, Part.FOAM})


class Asked(StrEnum):
    """What the scale, the thermometer or the clock is asked."""

    WEIGHT = "weight"
    TEMPERATURE = "temperature"
    MINUTES = "minutes"


ASKED_WORDS: dict[Asked, Promise] = {
    Asked.WEIGHT: gettext_lazy("Weight on the scale"),
    Asked.TEMPERATURE: gettext_lazy("Temperature measured"),
    Asked.MINUTES: gettext_lazy("Minutes it took"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """
    One measured value that a step takes.

    Attributes
    ----------
    what
        Weight, temperature or minutes.
    unit
        The unit of the key pad: ``g``, ``oz``, ``C``, ``F`` or ``min``.
    expected
        What the sheet says, in words; empty where it says nothing.
    """

    what: Asked
    unit: str
    expected: str = ""

    @property
    def label(self) -> str:
        """What is measured, in words."""
        return str(ASKED_WORDS[self.what])

    @property
    def unit_words(self) -> str:
        """The unit as it is printed."""
        return {"C": "°C", "F": "°F"}.get(self.unit, self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """
    One thing to do.

    Attributes
    ----------
    key
        Its name within the commission's version.
    text
        What to do.
    large, small
        The one figure, and what stands beside it.
    cautions
        What to mind at this step.
    asks
        What may be measured.
    timer_s
        Length of the timer that it offers, 0 for none. [s]
    clock
        The clock that the timer counts from; where it is empty, the step has a clock of its own.
    starts
        Whether the clock is started here.
    """

    key: str
    text: str
    large: str = ""
    small: str = ""
    cautions: tuple[dict[str, Any], ...] = ()
    asks: tuple[Ask, ...] = ()
    timer_s: int = 0
    clock: str = ""
    starts: bool = False
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSheet:
    """Steps that belong together: a bowl, the pans, a load, a pot, a tier's coats; ``sheet`` is their sheet of work."""

    key: str
    group: str
    title: str
    sheet: str
    steps: tuple[Step, ...]


def bench_sheets(dossier: Dossier, words: Words) -> tuple[BenchSheet, ...]:
    """
    Return every sheet of the bench, in the order of the work: pots and foams, bowls, pans, loads, coats.

    Parameters
    ----------
    dossier
        The commission, worked through.
    words
        The words of its keys, in the maker's units.
    """
    pots = _pots(dossier, words)
    bowls = list(_bowls(dossier, pots, words))
    # What is boiled or beaten has to cool: it comes first.
    bowls.sort(key=lambda sheet: sheet.sheet != "syrups")
    found = [*bowls, *_pans(dossier, words), *_loads(dossier, words), *_coats(dossier, words)]
    return tuple(sheet for sheet in found if sheet.steps)


def _scale(words: Words, expected: str = "") -> Ask:
    unit = "oz" if words.display.mass is MassUnit.US else "g"
    return Ask(what=Asked.WEIGHT, unit=unit, expected=expected)


def _thermometer(words: Words, expected: str = "") -> Ask:
    unit = "F" if words.display.temperature is TemperatureUnit.F else "C"
    return Ask(what=Asked.TEMPERATURE, unit=unit, expected=expected)


def _minutes(expected: str = "") -> Ask:
    return Ask(what=Asked.MINUTES, unit="min", expected=expected)


def _mine(dossier: Dossier, sheets: Iterable[str], key: str = "") -> list[Caution]:
    """Return the hazards of some sheets, each said once: every formula's own, or those of ``key``."""
    wanted = set(sheets)
    told: dict[str, Caution] = {}
    for caution in dossier.notes.cautions:
        own = not key or f".{key}." in f".{caution.key}." or not caution.key.startswith("formula.")
        if caution.sheet in wanted and own:
            told.setdefault(caution.text, caution)
    return list(told.values())


def _with_cautions(prefix: str, texts: Sequence[str], cautions: Sequence[Caution], **more: Any) -> list[Step]:
    """Make steps of sentences, each with its hazards; those that belong to none are at the first."""
    laid, left = steps_with_cautions(texts, cautions)
    steps = [
        Step(key=f"{prefix}.{place}", text=str(entry["text"]), cautions=tuple(entry["cautions"]), **more)  # type: ignore[index, call-overload, arg-type]
        for place, entry in enumerate(laid, start=1)
    ]
    if left and steps:
        steps[0] = replace(steps[0], cautions=(*steps[0].cautions, *left))  # type: ignore[arg-type]
    return steps


def _pots(dossier: Dossier, words: Words) -> dict[str, Any]:
    """Return what the sugar room says of each formula that is boiled, beaten or mixed, by formula."""
    made = [sugar.formula for sugar in dossier.sugar if sugar.syrup or sugar.meringue or sugar.cream]
    return {key: page.data for key, page in zip(made, syrups.of(dossier, words), strict=True)}


def _bowls(dossier: Dossier, pots: dict[str, Any], words: Words) -> Iterable[BenchSheet]:
    for work in dossier.formulas.works:
        if work.batch is None:
            continue
        for mix in work.batch.mixes:
            yield _bowl(dossier, work, mix, pots.get(work.formula.text.key), words)


def _bowl(dossier: Dossier, work: FormulaWork, mix: Mix, pot: Any, words: Words) -> BenchSheet:
    assert work.batch is not None
    text, of = work.formula.text, len(work.batch.mixes)
    prefix = f"mix.{text.key}.{mix.number}"
    steps = [_part_step(f"{prefix}.part.{place}", part, words) for place, part in enumerate(mix.parts, start=1)]
    hazards = _mine(dossier, ("formulas", "syrups") if pot else ("formulas",), text.key)
    method = list(text.method) or [str(entry["text"]) for entry in (pot["steps"] if pot else ())]
    more: dict[str, Any] = {}
    if pot:
        more = {"facts": tuple((fact, value) for fact, value in pot["facts"]), "asks": (_thermometer(words),)}
    steps += _with_cautions(f"{prefix}.method", method or [_("Mix it as you know it.")], hazards, **more)
    steps += [_fill_step(prefix, fill, words) for fill in work.batch.fills if fill.mix == mix.number]
    title = _("%(name)s, bowl %(number)d of %(of)d") % {"name": text.name, "number": mix.number, "of": of}
    return BenchSheet(
        key=f"bowl-{slugify(text.key)}-{mix.number}",
        group=_("Pots and foams") if pot else _("Bowls"),
        title=title if of > 1 else text.name,
        sheet="syrups" if pot else "formulas",
        steps=tuple(steps),
    )


def _part_step(key: str, part: MixPart, words: Words) -> Step:
    weight = words.display.show_mass(part.grams)
    number = _("%(count)g in number") % {"count": round(part.count, 2)} if part.count else ""
    beside = "; ".join(said for said in (number, part.note) if said)
    return Step(key=key, text=part.label, large=weight, small=beside, asks=(_scale(words, weight),))


def _fill_step(prefix: str, fill: PanFill, words: Words) -> Step:
    show = words.display
    weight = show.show_mass(fill.batter_g.value)
    return Step(
        key=f"{prefix}.fill.{fill.job}.{fill.number}",
        text=_("Fill %(pan)s: %(use)s, layer %(number)d")
        % {
            "pan": words.pans.get(fill.pan, outline_words(fill.outline, show)),
            "use": words.uses.get(fill.job, fill.job),
            "number": fill.number,
        },
        large=weight,
        small=_("likely %(range)s; depth %(depth)s")
        % {"range": estimate_range(show, fill.batter_g, "g") or weight, "depth": show.show_length(fill.fill_mm)},
        asks=(_scale(words, weight),),
    )


def _pans(dossier: Dossier, words: Words) -> Iterable[BenchSheet]:
    page = pan_page(
        dossier.formulas.works, pans=words.pans, uses=words.uses, levels_mm=words.levels_mm, display=words.display
    )
    data: Any = page.data
    steps = [
        Step(
            key=f"pans.{place}",
            text=f"{row['pan']}: {row['use']}",
            large=f"{row['count']} \N{MULTIPLICATION SIGN}",
            facts=((_("lining"), f"{row['base']}, {row['strip']}"), (_("batter in each"), row["batter"]),
                   (_("level to"), row["level"])),
        )
        for place, row in enumerate(data["pans"], start=1)
    ]  # fmt: skip
    yield BenchSheet(key="pans", group=_("Pans"), title=_("Line the pans"), sheet="bakes", steps=tuple(steps))


def _loads(dossier: Dossier, words: Words) -> Iterable[BenchSheet]:
    plan = dossier.bakes.loads
    if plan is None:
        return
    answers = {job: one for one in dossier.bakes.pans for job in one.jobs}
    hazards = tuple(caution_words(caution) for caution in _mine(dossier, ("bakes",)))
    for load in plan.loads:
        steps = tuple(_load_steps(load, answers, hazards, words))
        title = _("Load %(number)d of %(of)d") % {"number": load.number, "of": len(plan.loads)}
        yield BenchSheet(key=f"load-{load.number}", group=_("Oven"), title=title, sheet="bakes", steps=steps)


def _load_steps(
    load: Load, answers: dict[str, PanBake], hazards: tuple[dict[str, Any], ...], words: Words
) -> Iterable[Step]:
    placed = [(shelf.rack, pan) for shelf in load.shelves for pan in shelf.pans]
    if not placed:
        return
    of = {pan.key: answers[pan.key.rpartition(".")[0]] for _rack, pan in placed}
    first = next(iter(of.values()))
    prefix = f"load.{load.number}"
    yield Step(
        key=f"{prefix}.heat",
        text=_("Set the dial and let the oven settle"),
        large=dial(first.dial_c, words),
        small=_("about %(time)s before the pans go in") % {"time": words.display.show(load.before_min, "min")},
        cautions=hazards,
        asks=(_thermometer(words, shown(words.display, load.set_point_c, "C")),),
    )
    yield Step(
        key=f"{prefix}.in",
        text=_("Put the pans in and start the clock"),
        clock=prefix,
        starts=True,
        facts=(
            *((_("rack %(rack)d") % {"rack": rack}, _use(pan.key, words)) for rack, pan in placed),
            *(((_("Keep out"), allergen_names(load.keep_out)),) if load.keep_out else ()),
        ),
    )
    looks = [one.answer.first_look_min for one in of.values() if one.answer.first_look_min is not None]
    if looks:
        yield Step(
            key=f"{prefix}.look",
            text=_("First look"),
            large=words.display.show(min(looks), "min"),
            small=_("before that the door stays shut"),
            timer_s=round(min(looks) * 60),
            clock=prefix,
        )
    for _rack, pan in sorted(placed, key=lambda entry: entry[1].out_min.value):
        core = shown(words.display, of[pan.key].answer.trial.target_c, "C")
        yield Step(
            key=f"{prefix}.out.{pan.key}",
            text=_("Take out: %(use)s") % {"use": _use(pan.key, words)},
            large=words.display.show(pan.out_min.value, "min"),
            small=_("likely %(low).0f to %(high).0f min; the middle reaches %(core)s")
            % {"low": pan.out_min.low, "high": pan.out_min.high, "core": core},
            timer_s=round(pan.out_min.value * 60),
            clock=prefix,
            asks=(_minutes(words.display.show(pan.out_min.value, "min")), _thermometer(words, core)),
        )


def _use(key: str, words: Words) -> str:
    job, _dot, number = key.rpartition(".")
    return _("%(use)s, layer %(number)s") % {"use": words.uses.get(job, job), "number": number}


def _coats(dossier: Dossier, words: Words) -> Iterable[BenchSheet]:
    hazards = tuple(caution_words(caution) for caution in _mine(dossier, ("coats",)))
    stack = dossier.coating
    for tier in stack.tiers:
        name = words.tiers.get(tier.number, str(tier.number))
        title = _("%(name)s tier") % {"name": name.capitalize()}
        yield _coat(tier, f"coat-tier-{tier.number}", title, hazards, words)
    for place, cake in enumerate(stack.kitchen_cakes, start=1):
        yield _coat(cake, f"coat-kitchen-{place}", _("Kitchen cake %(number)d") % {"number": place}, hazards, words)


def _coat(
    tier: CoatedTier, key: str, title: str, hazards: tuple[dict[str, Any], ...], words: Words
) -> BenchSheet:  # fmt: skip
    show = words.display
    steps = [
        Step(
            key=f"{key}.{place}",
            text=_("%(part)s: %(formula)s")
            % {"part": part.part.value, "formula": words.formulas.get(part.formula, part.formula)},
            large=show.show_mass(part.on_cake_g.value),
            small=_thick(part.thickness_mm.value, words),
            asks=(_scale(words, show.show_mass(part.on_cake_g.value)),),
        )
        for place, part in enumerate((part for part in tier.parts if part.part not in NOT_PUT_ON), start=1)
    ]
    if steps and hazards:
        steps[0] = replace(steps[0], cautions=hazards)
    steps.append(
        Step(
            key=f"{key}.weigh",
            text=_("Weigh the finished tier on its board"),
            large=show.show_mass(tier.mass_g.value),
            small=estimate_range(show, tier.mass_g, "g"),
            asks=(_scale(words, show.show_mass(tier.mass_g.value)),),
        )
    )
    return BenchSheet(key=key, group=_("Fillings and coats"), title=title, sheet="coats", steps=tuple(steps))


def _thick(thick_mm: float, words: Words) -> str:
    if thick_mm <= 0:
        return ""
    # Coats are a few millimetres: whole millimetres would hide a third of them.
    words_of_it = f"{thick_mm:.1f} mm" if thick_mm < 10 else words.display.show_length(thick_mm)
    return _("%(thick)s thick") % {"thick": words_of_it}
