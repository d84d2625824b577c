"""Arithmetic of estimates that are not sure in several ways at once."""

from __future__ import annotations

from math import sqrt

from tierwright.working import NOTHING, Estimate


def product(*factors: Estimate) -> Estimate:
    """
    Product of independent estimates that are not negative.

    Relative spreads add in quadrature, upward and downward by themselves: not everything misses the same way at once.
    """
    value, up, down = 1.0, 0.0, 0.0
    for factor in factors:
        value *= factor.value
        if factor.value > 0:
            up += (factor.high / factor.value - 1) ** 2
            down += (1 - factor.low / factor.value) ** 2
    if value <= 0:
        return NOTHING
    return Estimate(value=value, low=value * max(0.0, 1 - sqrt(down)), high=value * (1 + sqrt(up)))


def power(estimate: Estimate, exponent: int) -> Estimate:
    """Return an estimate that is not negative, raised to a whole power."""
    return Estimate(value=estimate.value**exponent, low=estimate.low**exponent, high=estimate.high**exponent)


def with_loss(on_cake: Estimate, *losses: Estimate) -> Estimate:
    """Return what has to be made so that ``on_cake`` is left after losses, each a share of what passes through it."""
    return product(on_cake, *(through_loss(loss) for loss in losses))


def through_loss(loss: Estimate) -> Estimate:
    """Return the factor that makes up for a loss. [-]"""
    return Estimate(value=1 / (1 - loss.value), low=1 / (1 - loss.low), high=1 / (1 - loss.high))


def total(estimates: list[Estimate]) -> Estimate:
    """Sum of estimates, range to range."""
    result = NOTHING
    for estimate in estimates:
        result = result + estimate
    return result
