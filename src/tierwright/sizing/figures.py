"""The figures of sizing, each with its working."""

from __future__ import annotations

from tierwright.sizing import rules
from tierwright.sizing.cutting import portions_in
from tierwright.sizing.demand import CUT_YIELD, Turnout
from tierwright.sizing.model import (
    CutPattern,
    Demand,
    KitchenCake,
    RingMeasure,
    SizingBrief,
    Stack,
    Tier,
    TierKind,
)
from tierwright.sizing.propose import pattern_for
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    THE_BRIEF,
    Basis,
    Estimate,
    Figure,
    Given,
    Source,
)

SHEET = "tiers"
GEOMETRY = Source(basis=Basis.EXACT, text="plane geometry of the outline")
BETA_BINOMIAL = Source(
    basis=Basis.PUBLISHED,
    text="Johnson, Kemp and Kotz, Univariate Discrete Distributions, 3rd ed. 2005, section 6.2.2 (beta-binomial)",
)


def demand_figures(brief: SizingBrief, came: Turnout, wanted: Demand, needed: int) -> list[Figure]:
    """Return what is known of the portions wanted."""
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


def stack_figures(
    brief: SizingBrief, stack: Stack, wanted: Demand, batter: Estimate, batter_share: Estimate
) -> list[Figure]:
    """Return what is known of a stack: its portions, tiers, kitchen cakes and loads."""
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
