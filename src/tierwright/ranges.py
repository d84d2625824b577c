"""Arithmetic of estimates that are not sure in several ways at once."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from tierwright.working import NOTHING, Estimate


def times(*factors: Estimate) -> Estimate:
    """
    Product of independent estimates that are not negative.

    The relative spreads add in quadrature, upward and downward by themselves: it is unlikely that everything misses
    the same way at once.
    """
    value = 1.0
    up = down = 0.0
    for factor in factors:
        value *= factor.value
        if factor.value > 0:
            up += (factor.high / factor.value - 1) ** 2
            down += (1 - factor.low / factor.value) ** 2
    if value <= 0:
        return NOTHING
    return Estimate(value=value, low=value * max(0.0, 1 - sqrt(down)), high=value * (1 + sqrt(up)))


def through(function: Callable[[float], float], estimate: Estimate) -> Estimate:
    """Put an estimate through a function that rises."""
    return Estimate(value=function(estimate.value), low=function(estimate.low), high=function(estimate.high))


def power(estimate: Estimate, exponent: int) -> Estimate:
    """Return an estimate that is not negative, raised to a whole power."""
    return through(lambda value: value**exponent, estimate)


def total(estimates: list[Estimate]) -> Estimate:
    """Sum of estimates, range to range."""
    result = NOTHING
    for estimate in estimates:
        result = result + estimate
    return result


def with_losses(on_cake: Estimate, *losses: Estimate) -> Estimate:
    """
    What has to be made so that ``on_cake`` is left after losses, each a share of what passes through it.

    Losses follow one another (bowl, then bag), so that what is left is the product of what each lets through.
    """
    kept = [Estimate(value=1 / (1 - loss.value), low=1 / (1 - loss.low), high=1 / (1 - loss.high)) for loss in losses]
    return times(on_cake, *kept) if on_cake.value > 0 else NOTHING
