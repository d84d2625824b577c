"""What sizing has to say beside its numbers: working, questions, cautions and the defaults it used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from tierwright.sizing import rules
from tierwright.sizing.cutting import LEAST_SHARE
from tierwright.sizing.demand import CUT_YIELD, Turnout
from tierwright.sizing.figures import SHEET, by_measure, demand_figures, stack_figures
from tierwright.sizing.model import (
    Demand,
    PanChoice,
    SizingBrief,
    Stack,
    TierKind,
)
from tierwright.words import Cutter
from tierwright.working import (
    COMMON_PRACTICE,
    Assumption,
    Caution,
    Estimate,
    Notes,
    Question,
    Severity,
)


class Asks(Protocol):
    """The helper by which a question is put."""

    def __call__(
        self, key: str, severity: Severity, text: str, reason: str, figure: str = "", change: str = ""
    ) -> None:
        """Put one question."""


BIG_SURPLUS = 0.2
FULL_PAN = 0.92  # layers nearer to the rim than this leave nothing to level


def notes_on(
    *,
    brief: SizingBrief,
    came: Turnout,
    wanted: Demand,
    needed: int,
    stacks: Sequence[Stack],
    to_buy: Sequence[PanChoice],
    without: str,
    depths: Mapping[str, float],
    batter: Estimate,
    batter_share: Estimate,
    ovens: int,
) -> Notes:
    """Return the notes on a set of stacks, the first of which is chosen."""
    stack = stacks[0]
    figures = demand_figures(brief, came, wanted, needed) + stack_figures(brief, stack, wanted, batter, batter_share)
    return Notes(
        figures=tuple(figures),
        questions=tuple(_questions(brief, came, wanted, needed, stacks, to_buy, without, depths)),
        cautions=tuple(_cautions(stack)),
        assumptions=tuple(_assumptions(brief, came, batter_share, ovens, stack)),
    )


def _questions(
    brief: SizingBrief,
    came: Turnout,
    wanted: Demand,
    needed: int,
    stacks: Sequence[Stack],
    to_buy: Sequence[PanChoice],
    without: str,
    depths: Mapping[str, float],
) -> list[Question]:
    stack = stacks[0]
    asked: list[Question] = []

    def ask(key: str, severity: Severity, text: str, reason: str, figure: str = "", change: str = "") -> None:
        asked.append(
            Question(
                key=f"sizing.{key}",
                severity=severity,
                sheet=SHEET,
                text=text,
                reason=reason,
                figure=figure,
                change=change,
            )
        )

    if came.attending_assumed:
        ask(
            "replies",
            Severity.ASK,
            "How many of those invited are coming?",
            "Until replies are in, the cake is sized for the share that usually comes.",
            f"{came.attending.low:.0f} to {came.attending.high:.0f} people",
        )
    for cake in stack.kitchen_cakes:
        cakes = "one kitchen cake" if cake.count == 1 else f"{cake.count} kitchen cakes"
        ask(
            "kitchen_cakes",
            Severity.ASK,
            f"May {cakes} of {cake.outline.describe()} be cut out of sight?",
            "The tiers on show do not give enough portions.",
            f"{stack.portions - cake.count * cake.cutting.portions} portions in the tiers for {needed} needed",
            f"without any: {without}" if without else "",
        )
    over = stack.portions - needed
    if over > max(8, BIG_SURPLUS * needed):
        leaner = min(stacks, key=lambda other: other.portions)
        ask(
            "surplus",
            Severity.NOTE,
            "Is more cake than the guests will eat wanted for the look of it?",
            "The sizes that the pans allow overshoot the count.",
            f"{over} portions over",
            f"{_in_words(leaner)}, {leaner.portions} portions" if leaner.portions < stack.portions else "",
        )
    counts = by_measure(brief, stack)
    least = min(counts, key=lambda measure: counts[measure])
    if counts[least] < needed:
        ask(
            "measure",
            Severity.NOTE,
            f"Will the cutter measure a slice by the {brief.portion.measure.value}?",
            f"Measured by the {least.value}, the same cake gives fewer portions than are needed.",
            f"{counts[least]} portions for {needed}",
            "hand over the cutting guide",
        )
    if brief.cut_by is Cutter.CLIENT:
        ask(
            "cutter",
            Severity.NOTE,
            "Can somebody practised cut the cake?",
            "Hosts cut larger slices than planned, so more cake is baked.",
            f"{needed - wanted.wanted} portions more",
        )
    _ask_about_tiers(brief, stack, depths, ask)
    for pan in to_buy:
        ask(
            f"buy.{pan.key}",
            Severity.ASK,
            f"Buy a pan: {pan.outline.describe()}, {pan.depth_mm:.0f} mm deep?",
            "The best stack needs it and the kitchen has none.",
            f"{pan.price or 0.0:.2f}",
        )
    return asked


def _ask_about_tiers(brief: SizingBrief, stack: Stack, depths: Mapping[str, float], ask: Asks) -> None:
    cakes = [tier for tier in stack.tiers if tier.kind is TierKind.CAKE]
    if brief.flavours > len({tier.flavour for tier in cakes}):
        ask(
            "flavours",
            Severity.ASK,
            "Which flavour is left out?",
            "There are more flavours than tiers of cake.",
            f"{brief.flavours} flavours, {len(cakes)} tiers",
            "bake the odd one as a kitchen cake",
        )
    height, portion = stack.tiers[0].height_mm, brief.portion.height_mm
    if abs(height - portion) > 0.2 * portion:
        ask(
            "height",
            Severity.ASK,
            "Is a portion as high as the tier, or as high as the brief says?",
            "Slices are cut the whole height of a tier, so that a portion holds more or less cake than was asked for.",
            f"tier {height:.0f} mm, portion {portion:.0f} mm",
        )
    for tier in cakes:
        if tier.keepsake:
            ask(
                "keepsake",
                Severity.NOTE,
                f"Is the {tier.name} tier to be kept whole?",
                "It is left out of the count.",
                f"{tier.cutting.portions if tier.cutting else 0} portions",
            )
        depth = depths.get(tier.pan, 0.0)
        if depth and tier.layer_height_mm > FULL_PAN * depth:
            ask(
                f"layer.{tier.number}",
                Severity.NOTE,
                f"Does the {tier.name} tier's layer rise to the rim of its pan?",
                "Hardly anything is left to level.",
                f"{tier.layer_height_mm:.0f} mm from a pan {depth:.0f} mm deep",
                "one layer more",
            )
    kept = {tier.number for tier in cakes if tier.keepsake}
    for wish in brief.fixed:
        number = wish.number if wish.number > 0 else len(stack.tiers) + 1 + wish.number
        if not wish.diet_guests:
            continue
        if number in kept:
            ask(
                f"diet.{number}",
                Severity.STOP,
                f"What do the {wish.diet_guests} guests eat whose only tier is kept whole?",
                "The tier made for them is the keepsake.",
                change="keep another tier, or bake a kitchen cake for them",
            )


def _cautions(stack: Stack) -> list[Caution]:
    return [
        Caution(
            key=f"sizing.foam.{tier.number}",
            sheet="table",
            step="cutting",
            text=f"The {tier.name} tier is foam: do not cut it or serve what covers it where a knife has been in it.",
            reason="Crumbs of foam could be swallowed.",
            source=COMMON_PRACTICE,
        )
        for tier in stack.tiers
        if tier.kind is TierKind.DUMMY
    ]


def _assumptions(
    brief: SizingBrief, came: Turnout, batter_share: Estimate, ovens: int, stack: Stack
) -> list[Assumption]:
    made: list[Assumption] = []

    def assume(key: str, text: str, value: str) -> None:
        made.append(Assumption(key=f"sizing.{key}", text=text, value=value, source=COMMON_PRACTICE))

    if came.attending_assumed:
        assume("replies", "Share of those invited who come", _spread(came.attending, " people"))
    if came.take_up_assumed:
        assume(
            "take_up",
            f"Share of those attending who eat cake, other dessert: {brief.other_dessert.value}",
            _spread(came.take_up * 100, " %"),
        )
    if brief.layers is None:
        assume("layers", "Baked layers in a tier", str(max(tier.layers for tier in stack.tiers)))
    if brief.tier_height_mm is None:
        assume("tier_height", "A tier without coat is as high as a portion", f"{brief.portion.height_mm:.0f} mm")
    if brief.portion.least_share is None:
        share = LEAST_SHARE[brief.portion.pattern]
        assume("least_share", "Least share of the nominal area with which a piece counts", f"{share:.0%}")
    assume(
        "cut_yield",
        f"Portions really cut over portions planned, cut by the {brief.cut_by.value}",
        f"{CUT_YIELD[brief.cut_by]:.0%}",
    )
    if any(wish.diet_guests for wish in brief.fixed):
        assume(
            "diet_margin",
            "Portions of a tier for each guest who can eat no other, because others take of it",
            f"{rules.DIET_MARGIN:.1f}",
        )
    if not ovens:
        assume("ovens", "No oven is listed: every pan fits", "one pan a load")
    assume("batter", "Batter over levelled layer, by volume", _spread(batter_share * 100, " %"))
    assume(
        "steps",
        "Step from tier to tier",
        f"{rules.LEAST_STEP_MM:.0f} to {rules.WIDE_STEP_MM:.0f} mm, never over {rules.WIDEST_STEP_MM:.0f} mm by choice",
    )
    return made


def _spread(estimate: Estimate, unit: str) -> str:
    return f"{estimate.value:.0f} ({estimate.low:.0f} to {estimate.high:.0f}){unit}"


def _in_words(stack: Stack) -> str:
    words = " on ".join(
        tier.outline.describe() + (" (foam)" if tier.kind is TierKind.DUMMY else "") for tier in reversed(stack.tiers)
    )
    for cake in stack.kitchen_cakes:
        words += f" and {cake.count} kitchen cake{'' if cake.count == 1 else 's'} of {cake.outline.describe()}"
    return words
