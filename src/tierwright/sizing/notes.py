"""What sizing has to say beside its numbers: working, questions, cautions and the defaults it used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from tierwright.sizing import rules
from tierwright.sizing.cutting import LEAST_SHARE, portions_in
from tierwright.sizing.demand import CUT_YIELD, Turnout
from tierwright.sizing.model import (
    CutPattern,
    Demand,
    KitchenCake,
    PanChoice,
    RingMeasure,
    SizingBrief,
    Stack,
    Tier,
    TierKind,
)
from tierwright.sizing.propose import pattern_for
from tierwright.words import Cutter
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
    Notes,
    Question,
    Severity,
    Source,
)

SHEET = "tiers"
GEOMETRY = Source(basis=Basis.EXACT, text="plane geometry of the outline")
BETA_BINOMIAL = Source(
    basis=Basis.PUBLISHED,
    text="Johnson, Kemp and Kotz, Univariate Discrete Distributions, 3rd ed. 2005, section 6.2.2 (beta-binomial)",
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
    figures = _demand_figures(brief, came, wanted, needed) + _stack_figures(brief, stack, wanted, batter, batter_share)
    return Notes(
        figures=tuple(figures),
        questions=tuple(_questions(brief, came, wanted, needed, stacks, to_buy, without, depths)),
        cautions=tuple(_cautions(stack)),
        assumptions=tuple(_assumptions(brief, came, batter_share, ovens, stack)),
    )


def _demand_figures(brief: SizingBrief, came: Turnout, wanted: Demand, needed: int) -> list[Figure]:
    spread = Estimate(
        value=wanted.mean, low=_portions_at(wanted, 0.9), high=max(wanted.mean, _portions_at(wanted, 0.1))
    )
    attending = Given(name="people attending", value=came.attending.value)
    share = Given(name="share who eat cake", value=came.take_up.value)
    risk = Given(name="accepted chance of running short", value=brief.risk)
    extra = Given(name="portions besides", value=brief.extra_portions)
    return [
        Figure.of(
            came.attending,
            key="portions.attending",
            label="People at the table",
            unit="people",
            equation="as expected, or people invited times the share who usually come",
            inputs=() if brief.invited is None else (Given(name="people invited", value=brief.invited),),
            source=COMMON_PRACTICE if came.attending_assumed else THE_BRIEF,
            sheet=SHEET,
        ),
        Figure.of(
            came.take_up,
            key="portions.take_up",
            label="Share of them who eat cake",
            unit="",
            equation="as the brief says, or the usual share with such a dessert table",
            inputs=(Given(name="other dessert", value=brief.other_dessert.value),),
            source=COMMON_PRACTICE if came.take_up_assumed else THE_BRIEF,
            sheet=SHEET,
        ),
        Figure.of(
            spread,
            key="portions.expected",
            label="Portions likely to be eaten",
            unit="portions",
            equation="people attending x share who eat cake + portions besides; the span holds four evenings in five",
            inputs=(attending, share, extra),
            source=BETA_BINOMIAL,
            sheet=SHEET,
        ),
        Figure(
            key="portions.wanted",
            label="Portions wanted",
            value=float(wanted.wanted),
            unit="portions",
            equation="smallest number for which the chance that more are wanted is no greater than the "
            "accepted chance; each number attending weighed by a bell over its span, the share by a beta distribution "
            "over its own, each person eating or not",
            inputs=(attending, share, extra, risk),
            source=BETA_BINOMIAL,
            sheet=SHEET,
        ),
        Figure(
            key="portions.needed",
            label="Portions to plan for",
            value=float(needed),
            unit="portions",
            equation="portions wanted / portions really cut over portions planned, rounded up",
            inputs=(
                Given(name="portions wanted", value=wanted.wanted),
                Given(name=f"cut by the {brief.cut_by.value}", value=CUT_YIELD[brief.cut_by]),
            ),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
    ]


def _portions_at(wanted: Demand, chance: float) -> float:
    """Smallest number of portions which are exceeded with no more than this chance, at most the mean where low."""
    number = next((i for i, more in enumerate(wanted.chances) if more <= chance), len(wanted.chances) - 1)
    return float(min(number, wanted.mean)) if chance > 0.5 else float(number)


def _stack_figures(
    brief: SizingBrief, stack: Stack, wanted: Demand, batter: Estimate, batter_share: Estimate
) -> list[Figure]:
    figures = [
        _made(brief, stack),
        Figure(
            key="portions.shortage_risk",
            label="Chance of running short",
            value=stack.shortage_risk,
            equation="chance that more portions are wanted than are cut from this cake",
            inputs=(
                Given(name="portions made", value=stack.portions),
                Given(name="share really cut", value=CUT_YIELD[brief.cut_by]),
            ),
            source=BETA_BINOMIAL,
            sheet=SHEET,
        ),
        Figure(
            key="portions.surplus",
            label="Portions likely to be left",
            value=stack.surplus,
            unit="portions",
            equation="portions made - portions likely to be eaten",
            inputs=(
                Given(name="portions made", value=stack.portions),
                Given(name="portions likely to be eaten", value=wanted.mean),
            ),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
    ]
    for tier in stack.tiers:
        figures += _tier_figures(tier)
    for cake in stack.kitchen_cakes:
        figures += _kitchen_figures(cake)
    height = sum(tier.height_mm for tier in stack.tiers)
    base = stack.tiers[0].outline
    baked_ml = batter.value / batter_share.value
    return [
        *figures,
        Figure(
            key="stack.height_mm",
            label="Height of cake and foam, without boards and coat",
            value=height,
            unit="mm",
            equation="sum of the tiers' heights",
            inputs=tuple(Given(name=tier.name, value=tier.height_mm, unit="mm") for tier in stack.tiers),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure(
            key="stack.base_board_mm",
            label="Least width of the base board",
            value=base.largest_mm + 2 * rules.BOARD_MARGIN_MM,
            unit="mm",
            equation="longest side of the bottom tier + twice the margin seen round it",
            inputs=(
                Given(name="bottom tier", value=base.largest_mm, unit="mm"),
                Given(name="margin", value=rules.BOARD_MARGIN_MM, unit="mm"),
            ),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        ),
        Figure(
            key="stack.oven_loads",
            label="Oven loads, each size of pan on its own",
            value=float(stack.oven_loads),
            unit="loads",
            equation="sum over sizes of layers / (the smaller of pans at hand and pans that stand in the oven), "
            "rounded up",
            inputs=tuple(Given(name=f"layers in {tier.pan}", value=tier.layers) for tier in stack.tiers if tier.layers)
            + tuple(Given(name=f"layers in {c.pan}", value=c.layers * c.count) for c in stack.kitchen_cakes),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        ),
        Figure.of(
            batter,
            key="batter.volume_ml",
            label="Batter for all layers, before it is scaled by formula",
            unit="ml",
            equation="volume of the levelled layers x batter over levelled layer",
            inputs=(
                Given(name="levelled layers", value=baked_ml, unit="ml"),
                Given(name="batter over levelled layer", value=batter_share.value),
            ),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        ),
    ]


def by_measure(brief: SizingBrief, stack: Stack) -> dict[RingMeasure, int]:
    """Return the portions of a stack under each place where the width of a slice may be measured."""
    return {measure: _portions_by(brief, stack, measure) for measure in RingMeasure}


def _portions_by(brief: SizingBrief, stack: Stack, measure: RingMeasure) -> int:
    wish = brief.portion
    cakes = [(t.outline, 1, False) for t in stack.tiers if t.kind is TierKind.CAKE and not t.keepsake]
    cakes += [(c.outline, c.count, True) for c in stack.kitchen_cakes]
    return sum(
        count
        * portions_in(
            outline,
            pattern=pattern_for(outline, wish.pattern, kitchen=kitchen),
            measure=measure,
            width_mm=wish.width_mm,
            depth_mm=wish.depth_mm,
            least_share=wish.least_share,
        )
        for outline, count, kitchen in cakes
    )


def _made(brief: SizingBrief, stack: Stack) -> Figure:
    counts = by_measure(brief, stack)
    spread = max(counts.values()) > min(counts.values())
    others = tuple(
        Given(name=f"with the width measured by the {measure.value}", value=count) for measure, count in counts.items()
    )
    parts = tuple(
        Given(name=f"{tier.name} tier", value=tier.cutting.portions)
        for tier in stack.tiers
        if tier.cutting is not None and not tier.keepsake
    ) + tuple(Given(name=f"{cake.count} kitchen cakes of", value=cake.cutting.portions) for cake in stack.kitchen_cakes)
    return Figure(
        key="portions.made",
        label="Portions that this cake gives",
        value=float(stack.portions),
        unit="portions",
        low=float(min(counts.values())) if spread else None,
        high=float(max(counts.values())) if spread else None,
        equation=f"sum of the pieces that count; a keepsake tier is left out. {_definition(brief)}"
        + (" The range is that of the three ways to measure a slice." if spread else ""),
        inputs=parts + (others if spread else ()),
        source=GEOMETRY,
        sheet=SHEET,
    )


def _definition(brief: SizingBrief) -> str:
    wish = brief.portion
    words = f"A portion is {wish.width_mm:.0f} x {wish.depth_mm:.0f} x {wish.height_mm:.0f} mm, cut in {wish.pattern}"
    if wish.pattern in (CutPattern.RINGS, CutPattern.WEDGES):
        words += f", its width measured by the {wish.measure.value}"
    return words + "."


def _tier_figures(tier: Tier) -> list[Figure]:
    place = f"tier.{tier.number}"
    name = f"{tier.name} tier".capitalize()
    width, depth = tier.outline.extent_mm
    figures = [
        Figure(
            key=f"{place}.width_mm",
            label=f"{name}: width",
            value=width,
            unit="mm",
            equation="inside of its pan" if tier.kind is TierKind.CAKE else "foam",
            inputs=(Given(name="outline", value=tier.outline.describe()), Given(name="along", value=depth, unit="mm")),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure(
            key=f"{place}.height_mm",
            label=f"{name}: height without coat",
            value=tier.height_mm,
            unit="mm",
            equation="layers x height of a layer + (layers - 1) x depth of filling"
            if tier.layers
            else "height of the foam",
            inputs=(
                Given(name="layers", value=tier.layers),
                Given(name="height of a layer", value=tier.layer_height_mm, unit="mm"),
                Given(name="depth of filling", value=tier.filling_mm, unit="mm"),
            )
            if tier.layers
            else (),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
    ]
    if tier.cutting is None:
        return figures
    cutting = tier.cutting
    areas = [piece.area_mm2 for piece in cutting.slices if piece.counts]
    return [
        *figures,
        Figure(
            key=f"{place}.layer_height_mm",
            label=f"{name}: height of a levelled layer",
            value=tier.layer_height_mm,
            unit="mm",
            equation="(height of the tier - (layers - 1) x depth of filling) / layers",
            inputs=(
                Given(name="height of the tier", value=tier.height_mm, unit="mm"),
                Given(name="layers", value=tier.layers),
                Given(name="depth of filling", value=tier.filling_mm, unit="mm"),
            ),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure(
            key=f"{place}.portions",
            label=f"{name}: portions" + (" (kept, not counted)" if tier.keepsake else ""),
            value=float(cutting.portions),
            unit="portions",
            equation=cutting.rule,
            inputs=(
                Given(name="outline", value=tier.outline.describe()),
                Given(name="area", value=tier.outline.area_mm2, unit="mm2"),
                Given(name="portion width", value=cutting.portion_width_mm, unit="mm"),
                Given(name="portion depth", value=cutting.portion_depth_mm, unit="mm"),
                Given(name="pieces", value=len(cutting.slices)),
                Given(name="smallest portion", value=min(areas, default=0.0), unit="mm2"),
                Given(name="largest portion", value=max(areas, default=0.0), unit="mm2"),
            ),
            source=GEOMETRY,
            sheet=SHEET,
        ),
    ]


def _kitchen_figures(cake: KitchenCake) -> list[Figure]:
    return [
        Figure(
            key="kitchen.count",
            label=f"Kitchen cakes, {cake.outline.describe()}",
            value=float(cake.count),
            unit="cakes",
            equation="portions still missing / portions of one kitchen cake, rounded up",
            inputs=(Given(name="portions of one", value=cake.cutting.portions),),
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure(
            key="kitchen.portions",
            label="Portions from the kitchen cakes",
            value=float(cake.count * cake.cutting.portions),
            unit="portions",
            equation=cake.cutting.rule,
            inputs=(
                Given(name="kitchen cakes", value=cake.count),
                Given(name="portions of one", value=cake.cutting.portions),
            ),
            source=GEOMETRY,
            sheet=SHEET,
        ),
    ]


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
