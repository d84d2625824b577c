"""Three questions at the bowl: how does it look, what does the thermometer in it say, how long was it beaten?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from tierwright.errors import Infeasible, require_range
from tierwright.sugar.cream_model import CreamKind, CreamLine, CreamPlan
from tierwright.sugar.creams import ganache_balance, plan_cream
from tierwright.sugar.mixing import Means, minutes_to_reach, share_to_melt
from tierwright.sugar.pouring import Bowl
from tierwright.sugar.told import degrees, step
from tierwright.working import Estimate

BUTTERCREAMS: Final = (
    CreamKind.SWISS_BUTTERCREAM,
    CreamKind.ITALIAN_BUTTERCREAM,
    CreamKind.FRENCH_BUTTERCREAM,
    CreamKind.POWDERED_BUTTERCREAM,
    CreamKind.FLOUR_BUTTERCREAM,
)
ENOUGH_BEATING_MIN: Final = 8.0
"""Common practice: beat five to ten minutes before judging. [min]"""


class Look(StrEnum):
    """What the eye sees in the bowl."""

    SOUPY = "soupy"  # runny, shining, will not hold a line
    CURDLED = "curdled"  # like scrambled egg, water at the side
    STIFF = "stiff"  # will not spread, tears
    SPLIT = "split"  # oil or grains at the edge
    SMOOTH = "smooth"


class Action(StrEnum):
    """What to do with the bowl."""

    BEAT_ON = "beat on"
    CHILL = "chill, then beat"
    WARM = "warm a part and beat it back in"
    ADD_LIQUID = "stir in warm liquid by the spoon"
    FOLD_IN = "fold in fresh cold cream"
    CHANGE = "temperature is not the fault"
    USE = "use it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescue:
    """
    What to do now.

    Attributes
    ----------
    action
        In one word.
    words
        In one or two sentences.
    target_c
        Temperature of the bowl to aim at; None where it does not matter. [C]
    change_k
        By how much to warm (positive) or chill (negative). [K]
    means
        Ways to do it, with the minutes each takes. [min]
    melt_share
        Part of the coating to melt. [1]
    add_g
        Liquid to stir in. [g]
    why
        What went on in the bowl.
    look_again_min
        When to judge again. [min]
    """

    action: Action
    words: str
    target_c: float | None = None
    change_k: float = 0.0
    means: tuple[tuple[Means, Estimate], ...] = ()
    melt_share: float = 0.0
    add_g: float = 0.0
    why: str = ""
    look_again_min: float = 0.0


def rescue(
    kind: CreamKind,
    look: Look,
    bowl_c: float,
    beaten_min: float,
    *,
    lines: Sequence[CreamLine] | None = None,
    scale_to_g: float | None = None,
    bowl: Bowl | None = None,
) -> Rescue:
    """
    Say what to do with a coating that looks wrong.

    Parameters
    ----------
    kind
        What it is.
    look
        How it looks.
    bowl_c
        What a thermometer in it shows. [C], 2 to 50
    beaten_min
        Beating since the last butter or cream went in. [min], 0 to 120
    lines, scale_to_g
        Its ingredients, or only its mass; a usual formula if neither is given. [g]
    bowl
        The bowl; the usual one if None.

    Returns
    -------
    rescue
        Action, target, minutes and reason.

    Raises
    ------
    OutOfRange
        A temperature or a beating outside their spans.

    Notes
    -----
    A curdled buttercream is nearly always cold, a soupy one warm; both can be half way there. The target is the middle
    of the temperatures at which its own fat is solid enough to hold air and soft enough to take up water.
    """
    require_range("temperature of the bowl", bowl_c, 2.0, 50.0, "C")
    require_range("beating", beaten_min, 0.0, 120.0, "min")
    plan = plan_cream(kind, lines, scale_to_g=scale_to_g)
    if kind is CreamKind.GANACHE:
        return _ganache(plan, look, bowl_c, bowl)
    if kind is CreamKind.WHIPPED_CREAM:
        return _whipped(plan, look, bowl_c, bowl)
    if kind in BUTTERCREAMS or kind is CreamKind.CREAM_CHEESE:
        return _buttercream(plan, look, bowl_c, beaten_min, bowl)
    fault = plan.faults[0]
    return Rescue(action=Action.CHANGE, words=_sentence(fault.rescue), why=_sentence(fault.cause))


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def working_span_c(plan: CreamPlan) -> tuple[float, float]:
    """
    Temperatures between which a coating is beaten.

    Parameters
    ----------
    plan
        The coating.

    Returns
    -------
    span
        From its own fat where that is known, common practice's otherwise. [C]
    """
    window = plan.window
    if window is None or window.best_low_c is None or window.best_high_c is None:
        return plan.worked_c.low, plan.worked_c.high
    return window.best_low_c, window.best_high_c


def _buttercream(plan: CreamPlan, look: Look, now: float, beaten: float, bowl: Bowl | None) -> Rescue:
    low, high = working_span_c(plan)
    target = (low + high) / 2
    cheese = plan.kind is CreamKind.CREAM_CHEESE
    if look is Look.SMOOTH and low - 3 <= now <= high + 2:
        return Rescue(
            action=Action.USE,
            words=f"It is right: work it between {degrees(low)} and {degrees(high)}.",
            target_c=target,
        )
    if now > high and look is not Look.STIFF:
        return _chill(plan, now, target, bowl, cheese)
    if now < low and look is not Look.SOUPY:
        return _warm(plan, now, target, bowl)
    if cheese and look in (Look.SOUPY, Look.SPLIT, Look.CURDLED):
        return Rescue(
            action=Action.CHANGE,
            words="Chill it an hour and use it as it is; beating makes it looser. Next time the cheese goes in last.",
            why="The gel of the cheese is broken, not the fat; it does not come back by beating.",
        )
    if beaten < ENOUGH_BEATING_MIN and look is not Look.STIFF:
        left = ENOUGH_BEATING_MIN - beaten
        return Rescue(
            action=Action.BEAT_ON,
            words=f"Beat on at medium speed for {left:.0f} minutes before you judge; the temperature is right.",
            target_c=target,
            why="Curdled and soupy are both stages on the way: the butter has not yet taken up the water.",
            look_again_min=left,
        )
    if look is Look.SOUPY:
        return Rescue(
            action=Action.CHANGE,
            words="Add soft butter, a spoon at a time, up to a tenth of the batch. If it stays thin the syrup was "
            "undercooked or the whites had fallen: use it as a filling in the cold.",
            target_c=target,
            why="It is cool enough and beaten enough, so it holds too much water or too little fat.",
        )
    if look is Look.STIFF:
        return _warm(plan, now, min(high, now + 3.0), bowl)
    return _warm(plan, now, min(high, now + 2.0), bowl)


def _chill(plan: CreamPlan, now: float, target: float, bowl: Bowl | None, cheese: bool) -> Rescue:
    ways = [Means.FRIDGE] if cheese else [Means.ICE_BATH, Means.FRIDGE]
    means = _ways(plan, now, target, ways, bowl)
    first = means[0][1]
    return Rescue(
        action=Action.CHILL,
        words=f"Chill by {step(now - target)} to {degrees(target)} ({means[0][0].value} about {first.low:.0f} to "
        f"{first.high:.0f} minutes), scrape the side down, then "
        + ("stir it smooth, no more." if cheese else "beat until it closes. Do not add butter first."),
        target_c=target,
        change_k=target - now,
        means=means,
        why="Too much of the fat is melted to hold air and water.",
        look_again_min=first.value,
    )


def _warm(plan: CreamPlan, now: float, target: float, bowl: Bowl | None) -> Rescue:
    if target <= now + 0.3:
        return Rescue(
            action=Action.BEAT_ON, words="Beat two minutes at low speed.", target_c=target, look_again_min=2.0
        )
    share = share_to_melt(plan.lines, now, target)
    means = _ways(plan, now, target, [Means.WARM_BATH], bowl)
    return Rescue(
        action=Action.WARM,
        words=f"Warm by {step(target - now)} to {degrees(target)}: melt {share * 100:.0f} % of it (to {degrees(40)}) "
        "and pour it back while beating, or stir the bowl over warm water; stop as soon as the edge shines.",
        target_c=target,
        change_k=target - now,
        means=means,
        melt_share=share,
        why="The fat is too hard to take up the water, so it stands in grains with water between.",
        look_again_min=3.0,
    )


def _ganache(plan: CreamPlan, look: Look, now: float, bowl: Bowl | None) -> Rescue:
    balance = ganache_balance(plan.lines)
    if look in (Look.SPLIT, Look.CURDLED):
        # Even a ganache of sound proportions needs a little water to close again: a fiftieth of its mass.
        liquid = max(balance.liquid_to_rescue_g, 0.02 * plan.mass_g)
        means = _ways(plan, now, 35.0, [Means.WARM_BATH], bowl) if now < 34.0 else ()
        return Rescue(
            action=Action.ADD_LIQUID,
            words=f"Bring it to {degrees(35)}, then stir in {liquid:.0f} g of warm milk by the spoon, from the middle "
            "outward, until it shines.",
            target_c=35.0,
            change_k=35.0 - now,
            means=means,
            add_g=liquid,
            why=f"The fat has come out: fat is {balance.fat_of_fat_and_water:.2f} of fat and water "
            f"({balance.state.value}).",
            look_again_min=3.0,
        )
    if look is Look.SOUPY and balance.sets_at_c is not None and now > balance.sets_at_c.value:
        means = _ways(plan, now, plan.worked_c.value, [Means.FRIDGE], bowl) if now > plan.worked_c.value else ()
        return Rescue(
            action=Action.CHILL,
            words=f"Let it stand to {degrees(plan.worked_c.value)}, stirring now and then; it firms at about "
            f"{degrees(balance.sets_at_c.value)}.",
            target_c=plan.worked_c.value,
            change_k=min(plan.worked_c.value - now, 0.0),
            means=means,
            why="Its fat has not set yet.",
            look_again_min=15.0,
        )
    if look is Look.SOUPY:
        return Rescue(
            action=Action.CHANGE,
            words="Melt in more chocolate, a tenth of its mass at a time, or use it as a glaze.",
            why="It is cool and still thin: too much cream for the chocolate.",
        )
    if look is Look.STIFF:
        target = plan.worked_c.value
        if now < target:
            return _warm(plan, now, target, bowl)
        return Rescue(
            action=Action.ADD_LIQUID,
            words=f"Stir in {0.03 * plan.mass_g:.0f} g of warm cream.",
            add_g=0.03 * plan.mass_g,
            why="Too much chocolate for its water.",
        )
    return Rescue(action=Action.USE, words=f"It is right; work it near {degrees(plan.worked_c.value)}.")


def _whipped(plan: CreamPlan, look: Look, now: float, bowl: Bowl | None) -> Rescue:
    if look in (Look.SPLIT, Look.CURDLED, Look.STIFF):
        return Rescue(
            action=Action.FOLD_IN,
            words=f"Stop. Fold in {plan.mass_g / 3:.0f} g of fresh cold cream by hand; if grains of butter show, go on "
            "and make butter of it.",
            add_g=plan.mass_g / 3,
            why="Whipped too far: the fat has begun to clump.",
        )
    if now > plan.worked_c.high:
        means = _ways(plan, now, plan.worked_c.value, [Means.FRIDGE, Means.ICE_BATH], bowl)
        return Rescue(
            action=Action.CHILL,
            words=f"Chill cream, bowl and whisk to {degrees(plan.worked_c.value)} and whip again; above {degrees(10)} "
            "it turns to butter.",
            target_c=plan.worked_c.value,
            change_k=plan.worked_c.value - now,
            means=means,
            why="Too little of its fat is solid to hold bubbles.",
            look_again_min=means[0][1].value if means else 10.0,
        )
    if look is Look.SOUPY:
        return Rescue(action=Action.BEAT_ON, words="It is cold enough: whip on at medium speed.", look_again_min=2.0)
    return Rescue(action=Action.USE, words="It is right; keep it cold.")


def _ways(
    plan: CreamPlan, now: float, target: float, ways: Sequence[Means], bowl: Bowl | None
) -> tuple[tuple[Means, Estimate], ...]:
    found: list[tuple[Means, Estimate]] = []
    for way in ways:
        try:
            found.append((way, minutes_to_reach(plan.lines, now, target, way, bowl=bowl)))
        except Infeasible:
            continue
    return tuple(found)
