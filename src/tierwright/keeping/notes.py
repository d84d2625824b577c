"""What keeping has to say beside its numbers: figures, questions, cautions, assumptions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from tierwright.keeping.allergens import WorkStep
from tierwright.keeping.keepsake import Keepable
from tierwright.keeping.model import Safety
from tierwright.keeping.safety import TCS_SOURCE
from tierwright.keeping.softness import HOTTEST_C
from tierwright.keeping.sweat import damp_limits
from tierwright.keeping.tables import clocks, cold_holding, rows, source_of, threshold
from tierwright.working import (
    COMMON_PRACTICE,
    THE_BRIEF,
    Assumption,
    Basis,
    Caution,
    Estimate,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

if TYPE_CHECKING:
    from tierwright.keeping.answer import Keeping, KeepingPlan

LINE = Source(
    basis=Basis.PUBLISHED,
    text="transient conduction in layers; Choi and Okos 1986; Churchill and Chu 1975; Chilton and Colburn 1934",
)
YIELD = Source(
    basis=Basis.PUBLISHED, text="Lang and Rha 1981; Scott 1931; Narine and Marangoni 1999; yield stresses from memory"
)
DEFER = "The local food code, your licence and your training go first."


def note(plan: KeepingPlan, keeping: Keeping) -> Notes:
    """Collect what a keeping has to say."""
    return Notes(
        figures=tuple(_figures(plan, keeping)),
        questions=tuple(_questions(plan, keeping)),
        cautions=cautions_for(plan, keeping),
        assumptions=tuple(_assumptions(plan)),
    )


def clock_words(at: datetime | None) -> str:
    """Return a moment as the sheets say it: day and time."""
    return "no time that day" if at is None else f"{at:%a} {at:%H:%M}"


def _figures(plan: KeepingPlan, keeping: Keeping) -> Iterator[Figure]:
    window = keeping.window
    yield Figure(
        key="keeping.set_up_not_before", label="Set it up not before", value=clock_words(window.not_before),
        equation="cutting less the longest display from the cold", source=LINE, sheet="keeping",
        inputs=(
            Given(name="air at the venue", value=plan.venue.air_c, unit="C"),
            Given(name="cutting", value=clock_words(plan.cutting_at)),
            Given(name="governed by", value=f"{window.governs} tier: {window.because}" if window.governs else "none"),
        ),
    )  # fmt: skip
    if window.longest_h is not None:
        yield Figure(
            key="keeping.longest_display_min", label="Longest display from the cold",
            value=60.0 * max(window.longest_h, 0.0), unit="min",
            equation="first time at which a soft batch gives way or a clock ends, less the set-up", source=YIELD,
            sheet="keeping", inputs=(Given(name="tier", value=window.governs),),
        )  # fmt: skip
    throw = keeping.card.throw_away_by
    yield Figure(
        key="keeping.throw_away_by", label="Throw away by",
        value=clock_words(throw) if throw is not None else "no clock: nothing in it needs control",
        equation="hours above the cold limit add up to the rule's", sheet="keeping",
        source=clocks(plan.jurisdiction)[0].source,
    )  # fmt: skip
    for line, soft, wet in zip(keeping.lines, keeping.softness, keeping.sweat, strict=True):
        tier = f"keeping.tier.{line.tier}"
        cut_h = (plan.cutting_at - keeping.begins) / timedelta(hours=1)
        for key, label, value in (
            ("coat_c", "coat", line.at(cut_h, line.coat_facing)),
            ("centre_c", "centre", line.at(cut_h, line.centre)),
        ):
            yield Figure(
                key=f"{tier}.{key}", label=f"{line.name.capitalize()} tier, {label} at the cutting", value=value,
                unit="C", equation="temperature line through fridge, vehicle and venue as planned", source=LINE,
                sheet="keeping",
            )  # fmt: skip
        for limit in soft.limits:
            if limit.at_c is not None:
                likely = limit.at_c.value if limit.at_c.value < HOTTEST_C else None
                yield Figure(
                    key=f"{tier}.{limit.what.name.lower()}_c",
                    label=f"{line.name.capitalize()} tier: {limit.what.value}, in a soft batch, from",
                    value=limit.at_c.low, unit="C", low=None if likely is None else limit.at_c.low, high=likely,
                    equation="temperature at which the yield stress of its fat no longer carries the load",
                    source=YIELD, sheet="keeping",
                )  # fmt: skip
        yield Figure(
            key=f"{tier}.sweat_g_m2", label=f"{line.name.capitalize()} tier: water on the coat at most",
            value=wet.most_g_m2, unit="g/m2", equation="h/(cp Le^(2/3)) (w air - w coat) over time", source=LINE,
            sheet="keeping", inputs=(Given(name="dew point", value=wet.dew_point_c, unit="C"),),
        )  # fmt: skip
    for cake in keeping.aside:
        cut_h = (plan.cutting_at - keeping.begins) / timedelta(hours=1)
        yield Figure(
            key=f"keeping.aside.{cake.line.tier}.centre_c",
            label=f"{cake.line.name.capitalize()}, centre at the cutting", value=cake.line.at(cut_h, cake.line.centre),
            unit="C", equation="temperature line through fridge and vehicle, then boxed at the venue", source=LINE,
            sheet="keeping",
        )  # fmt: skip
    for times in keeping.layers:
        if times.to_fill_h is not None:
            yield Figure.of(
                Estimate(value=60 * times.to_fill_h, low=48 * times.to_fill_h, high=66 * times.to_fill_h),
                key=f"keeping.tier.{times.tier}.cool_min", label=f"{times.name.capitalize()} tier: cool before filling",
                unit="min", equation="warmest place of the thickest layer on a rack, steam left out", source=LINE,
                sheet="keeping", inputs=(Given(name="kitchen", value=plan.room_c, unit="C"),),
            )  # fmt: skip
    for one in keeping.safety:
        if one.kind != "foam":
            yield Figure.of(
                one.water_activity, key=f"keeping.{one.component}.water_activity",
                label=f"Water activity of {one.name}", unit="1",
                equation="measured" if one.aw_is_measured else "product over sugars, salt and dry matter (Ross)",
                source=Source(basis=Basis.MAKER_RECORD) if one.aw_is_measured else Source(
                    basis=Basis.PUBLISHED, text="Ross 1975; Norrish 1966; Starzak and Peacock 1997; Oswin 1946"
                ),
                sheet="keeping",
            )  # fmt: skip


def _questions(plan: KeepingPlan, keeping: Keeping) -> Iterator[Question]:
    controlled = [one for one in keeping.safety if one.is_controlled]
    for one in controlled:
        for row in rows("licences"):
            if row["licence"] == plan.licence and row["jurisdiction"] == plan.jurisdiction:
                yield Question(
                    key=f"keeping.licence.{one.component}",
                    severity=Severity.STOP if plan.licence == "home" else Severity.ASK,
                    sheet="keeping",
                    text=row["text"].format(component=one.name),
                    reason=f"{_upper(row['why'])}. {DEFER} ({row['source']})",
                    figure=f"{one.standing.value}: {one.reason}",
                    change="use a filling or coat that custom keeps uncontrolled, or have it measured: water activity "
                    "and pH"
                    if not one.aw_is_measured
                    else "use a filling or coat that custom keeps uncontrolled",
                )
    window = keeping.window
    if not window.plan_passes:
        best = keeping.best_change
        longest = (
            "no time at all" if not window.longest_h or window.longest_h <= 0 else f"{60 * window.longest_h:.0f} min"
        )
        yield Question(
            key="keeping.display",
            severity=Severity.STOP,
            sheet="keeping",
            text=f"The display from {plan.venue.begins:%H:%M} to {plan.cutting_at:%H:%M} does not hold: "
            f"{window.because} ({window.governs} tier). What is changed?",
            reason="A coat that gives way cannot be mended before guests, and a clock that has run out cannot be turned"
            " back.",
            figure=f"longest display from the cold: {longest}",
            change="" if best is None else f"{best.title} ({best.detail})",
        )
    ends = [one for one in keeping.clocks if one.discard_at is not None and one.discard_at < plan.venue.ends]
    if window.plan_passes and ends:
        first = min(ends, key=lambda one: one.discard_at or plan.venue.ends)
        names = " and ".join(dict.fromkeys(_name(keeping, one.component) for one in ends))
        yield Question(
            key="keeping.clock",
            severity=Severity.ASK,
            sheet="table",
            text=f"{_upper(names)} must be eaten by {clock_words(first.discard_at)}. Is the last slice served by then?",
            reason="Time above the cold limit adds up.",
            figure=f"last slice planned for {plan.venue.ends:%H:%M}",
            change=f"serve the {first.tier} tier first, or bring it later from the cold",
        )
    for cake in keeping.aside:
        at = cake.discard_at
        if at is not None and at < plan.venue.ends:
            yield Question(
                key=f"keeping.aside.{cake.line.tier}",
                severity=Severity.STOP if at < plan.cutting_at else Severity.ASK,
                sheet="keeping",
                text=f"The {cake.line.name} waits boxed and out of the cold; its time runs out at {clock_words(at)}. "
                "Is there a fridge for it at the venue?",
                reason="A cake that nobody sees warms like the one on show, only more slowly.",
                figure=f"last slice planned for {plan.venue.ends:%H:%M}",
                change="keep it in a fridge or a cold box at the venue until it is cut",
            )
    yield from _slow_cooling(keeping)
    for tier in keeping.softness:
        road = next((x for x in tier.limits if x.what.name == "ROAD" and x.could_h is not None), None)
        arrives = (plan.travel.ends - keeping.begins) / timedelta(hours=1)
        if road is not None and road.could_h is not None and road.could_h < arrives:
            yield Question(
                key=f"keeping.road.{tier.tier}",
                severity=Severity.ASK,
                sheet="road",
                text=f"The fillings of the {tier.name} tier could slide on the road before arrival. Is it driven cold?",
                reason="A filling that has warmed no longer holds its layers when the vehicle brakes hard.",
                figure=f"at {clock_words(keeping.at(road.could_h))}",
                change="cool the cabin, or carry it in a lined or foam box",
            )
    i_cut = (plan.cutting_at - keeping.begins) / timedelta(hours=1)
    for line in keeping.lines:
        mean = line.at(i_cut, line.mean)
        if mean < threshold("eat_c"):
            yield Question(
                key=f"keeping.cold_to_eat.{line.tier}",
                severity=Severity.NOTE,
                sheet="table",
                text=f"The {line.name} tier is still cold inside when it is cut. May the slices stand a while?",
                reason="Cold butter in crumb and filling eats hard.",
                figure=f"{mean:.0f} C in the mean",
                change="pre-slice it shortly before it is served",
            )
    for flower in keeping.flowers:
        if not flower.may_be_eaten:
            yield Question(
                key=f"keeping.flower.{flower.asked}",
                severity=Severity.STOP if flower.may_be_near else Severity.DANGER,
                sheet="flowers",
                text=f"{_upper(flower.asked)} ({flower.botanical or 'unknown'}): {flower.rule}. What takes its place?",
                reason="A guest may eat what lies on a cake.",
                change="a flower grown and sold as food, or one made of sugar",
            )
        else:
            yield Question(
                key=f"keeping.flower.{flower.asked}",
                severity=Severity.ASK,
                sheet="flowers",
                text=f"Were the {flower.asked} ({flower.botanical}) grown and sold as food, and never sprayed?",
                reason=f"{_upper(flower.rule)}.",
                change="buy them from a grower of flowers for eating",
            )
    for dust in keeping.dusts:
        if dust.use != "edible":
            yield Question(
                key=f"keeping.dust.{dust.key}",
                severity=Severity.DANGER if dust.use == "never" else Severity.ASK,
                sheet="flowers",
                text=f"{_upper(dust.name)}: {dust.use}. What does its own label say?",
                reason=str(dust.source),
                change=dust.needs or "use one labelled edible, with its ingredients",
            )
    for kept in keeping.keepsakes:
        if kept.keepable is not Keepable.YES:
            yield Question(
                key=f"keeping.keepsake.{kept.tier}",
                severity=Severity.ASK,
                sheet="keeping",
                text=f"The {kept.tier} tier is to be kept, but it {kept.keepable.value}. Is another flavour on top?",
                reason=f"{_upper(kept.because)}.",
                change="fill the kept tier with jam or a powdered-sugar buttercream",
            )


def _upper(text: str) -> str:
    """Return text with its first letter large and the rest as it is."""
    return f"{text[:1].upper()}{text[1:]}"


def _slow_cooling(keeping: Keeping) -> Iterator[Question]:
    """Ask once for each rule, with the slowest of all tiers."""
    for key in dict.fromkeys(cool.reading.key for cool in keeping.cooling if not cool.reading.meets):
        slow = [cool for cool in keeping.cooling if cool.reading.key == key and not cool.reading.meets]
        worst = max(slow, key=lambda cool: cool.reading.took_h or 1e9)
        took = "never" if worst.reading.took_h is None else f"{worst.reading.took_h:.1f} h"
        names = " and ".join(dict.fromkeys(_name(keeping, cool.component) for cool in slow))
        yield Question(
            key=f"keeping.cooling.{key}",
            severity=Severity.ASK,
            sheet="keeping",
            text=f"{_upper(names)} cool too slowly inside the tiers. Can everything go in cold?",
            reason=f"{_upper(worst.reading.title)} within {worst.reading.allowed_h:g} h. {worst.reading.source}",
            figure=f"slowest: the {worst.tier} tier, {took}",
            change="chill layers, filling and coat to 5 C apart, and put the tiers together quickly",
        )


def _name(keeping: Keeping, component: str) -> str:
    return next((one.name for one in keeping.safety if one.component == component), component)


def cautions_for(plan: KeepingPlan, keeping: Keeping) -> tuple[Caution, ...]:
    """Return every caution of a keeping; none can be left out for a component that needs it."""
    limit_c, source = cold_holding(plan.jurisdiction)
    found: list[Caution] = []
    for one in keeping.safety:
        found += cautions_of(one, limit_c, source, keeping.card.throw_away_by)
    raw = [one for one in plan.components if one.contains_egg and not one.egg_is_treated]
    for component in raw:
        found.append(
            Caution(
                key=f"keeping.egg.{component.key}",
                sheet="keeping",
                step="",
                text=f"{_upper(component.name)} holds raw egg: use pasteurised egg, or serve it to nobody who is "
                "very young, old, pregnant or ill.",
                reason="Salmonella in shell eggs.",
                source=Source(basis=Basis.PUBLISHED, text="FDA Food Code 2022, 3-801.11; USDA FSIS"),
            )
        )
    wet = [one for one in keeping.sweat if one.most_g_m2 > threshold("touch_g_m2")]
    if wet:
        long = "briefly" if all(one.is_brief for one in wet) else "for long"
        names = " and ".join(one.name for one in wet)
        dew = max(one.dew_point_c for one in wet)
        found.append(
            Caution(
                key="keeping.sweat",
                sheet="table",
                step="unboxing",
                text=f"The coat of {names} sweats {long} out of the cold: do not touch it, and leave it boxed until it "
                f"is above {dew:.0f} C.",
                reason="Wet coats mark, colours run, leaf spots.",
                source=LINE,
            )
        )
    for damp in damp_limits(_damp_items(plan)):
        if plan.venue.humidity > damp.limit:
            found.append(
                Caution(
                    key=f"keeping.damp.{damp.item}",
                    sheet="flowers",
                    step="",
                    text=f"At {plan.venue.humidity:.0%} humidity {damp.what}: add it last, or leave it off.",
                    reason=f"It holds only below about {damp.limit:.0%}.",
                    source=damp.source,
                )
            )
    for flower in keeping.flowers:
        if flower.removal:
            found.append(
                Caution(
                    key=f"keeping.flower.{flower.asked}",
                    sheet="table",
                    step="before cutting",
                    text=f"{_upper(flower.removal)}.",
                    reason="It is not food.",
                    source=flower.source,
                )
            )
    for dust in keeping.dusts:
        if dust.use != "edible":
            found.append(
                Caution(
                    key=f"keeping.dust.{dust.key}",
                    sheet="flowers",
                    step="",
                    text=f"{_upper(dust.name)}: {dust.use}{'; ' + dust.needs if dust.needs else ''}.",
                    reason="Non-toxic does not mean edible.",
                    source=dust.source,
                )
            )
    for step in keeping.order_of_work:
        found += _cross_contact(step)
    return tuple(found)


def cautions_of(one: Safety, limit_c: float, source: Source, throw_away_by: datetime | None) -> list[Caution]:
    """
    Return the cautions of one component.

    Parameters
    ----------
    one
        What it asks for.
    limit_c, source
        Cold-holding limit [C] and its rule.
    throw_away_by
        Last moment of the whole cake, or None.
    """
    if one.kind == "foam":
        return []
    if one.is_controlled:
        until = f" Throw it away by {throw_away_by:%H:%M}." if throw_away_by is not None else ""
        return [
            Caution(
                key=f"keeping.cold.{one.component}", sheet="keeping", step="storing",
                text=f"Keep {one.name} at or below {limit_c:g} C, and write down when it leaves the cold. {DEFER}",
                reason=f"It has to be treated as needing time and temperature control: {one.reason}.", source=source,
            ),
            Caution(
                key=f"keeping.table.{one.component}", sheet="table", step="serving",
                text=f"{_upper(one.name)} may not stand out for long.{until}",
                reason="Bacteria grow in it at room temperature, and nothing shows it.", source=source,
            ),
        ]  # fmt: skip
    if one.aw_is_measured or one.ph_is_measured:
        return [
            Caution(
                key=f"keeping.measured.{one.component}", sheet="keeping", step="storing",
                text=f"{_upper(one.name)} stands uncontrolled only as measured: the same formula, "
                "suppliers and cooking.",
                reason="A change of one ingredient makes the measurement void.", source=TCS_SOURCE,
            )
        ]  # fmt: skip
    return [
        Caution(
            key=f"keeping.unproved.{one.component}", sheet="keeping", step="storing",
            text=f"{_upper(one.name)} is usually kept without control; nobody has measured this one. "
            f"{DEFER}",
            reason=f"By custom: {one.reason}.", source=COMMON_PRACTICE,
        )
    ]  # fmt: skip


def _cross_contact(step: WorkStep) -> Iterator[Caution]:
    if step.clean_before:
        names = ", ".join(one.value for one in step.clean_before)
        yield Caution(
            key=f"keeping.clean.{step.key}", sheet="formulas", step="",
            text=f"Before {step.name}: clean down surfaces, tools, mixer, cloths and hands of {names}.",
            reason="Traces carry over; a clean-down lowers the risk and does not end it.", source=COMMON_PRACTICE,
        )  # fmt: skip
    if step.warns:
        names = ", ".join(one.value for one in step.warns)
        yield Caution(
            key=f"keeping.holds.{step.key}", sheet="formulas", step="",
            text=f"{_upper(step.name)} holds, or may hold, {names} itself: no order of work helps.",
            reason="What a label does not say is unknown, and unknown is never absent.", source=COMMON_PRACTICE,
        )  # fmt: skip


_DAMP_WORDS = {
    "gold leaf": "gold_leaf", "meringue": "meringue", "sugar flower": "sugar_flowers", "royal icing": "royal_icing",
    "spun sugar": "spun_sugar",
}  # fmt: skip


def _damp_items(plan: KeepingPlan) -> frozenset[str]:
    kinds = {one.kind for one in plan.components}
    items = {item for word, item in _DAMP_WORDS.items() if any(word in text.casefold() for text in plan.decorations)}
    if "rolled_fondant" in kinds:
        items.add("fondant")
    if "royal_icing" in kinds:
        items.add("royal_icing")
    return frozenset(items)


def _assumptions(plan: KeepingPlan) -> Iterator[Assumption]:
    first, last = plan.kitchen[0], plan.kitchen[-1]
    yield Assumption(
        key="keeping.put_together", text="The tiers are put together and go cold",
        value=f"{clock_words(first.begins)}; {last.name} until {clock_words(last.ends)}", source=COMMON_PRACTICE,
    )  # fmt: skip
    yield Assumption(
        key="keeping.venue", text="Air at the venue, taken at the warm end of what was said",
        value=f"{plan.venue.air_c:g} C, {plan.venue.humidity:.0%} humidity, sun: {plan.venue.light}", source=THE_BRIEF,
    )  # fmt: skip
    if plan.venue.light != "none":
        row = next(one for one in rows("sun") if one["key"] == plan.venue.light)
        yield Assumption(
            key="keeping.sun", text="Sunlight on the flat where no weather is given",
            value=f"{row['horizontal_w_m2']} W/m2", source=source_of(row),
        )  # fmt: skip
    yield Assumption(
        key="keeping.air_speed", text="Speed of the air at the venue", value=f"{plan.venue.speed_m_s:g} m/s",
        source=COMMON_PRACTICE,
    )  # fmt: skip
