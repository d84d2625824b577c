"""From a wished colour to doses: the nearest that the recorded colours come, in as few colours as will do."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from tierwright.errors import Infeasible, require_range
from tierwright.finish.colour import FloatArray, Lab, ciede2000, delta_e_2000, hex_of_lab
from tierwright.finish.colour_mixing import Dose, MixModel, shade, table
from tierwright.words import listed

CLOSE_ENOUGH: Final = 2.0
"""CIEDE2000 up to which a mix counts as the wished colour: seen side by side, missed apart; common practice. [-]"""
MOST_COLOURS: Final = 3  # more in one bowl turns to mud and cannot be repeated; common practice
WORTH_ANOTHER: Final = 0.4  # CIEDE2000 that a further colour has to win before it is taken


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourMatch:
    """
    The nearest that the recorded colours come to a wish.

    Attributes
    ----------
    wish
        The wished colour.
    doses
        What to stir into 100 g of base, the largest first; empty for the bare base.
    predicted
        The colour that the model expects.
    delta_e
        CIEDE2000 between the two.
    mean_error, worst_error
        The model's own misses on mixes that it was not shown, or None where none could be left out.
    """

    wish: Lab
    doses: tuple[Dose, ...]
    predicted: Lab
    delta_e: float
    mean_error: float | None
    worst_error: float | None

    @property
    def reached(self) -> bool:
        """Whether the prediction is close enough to the wish."""
        return self.delta_e <= CLOSE_ENOUGH


@dataclass(frozen=True, slots=True, kw_only=True)
class Portioned:
    """
    One colour of a batch.

    Attributes
    ----------
    colour
        Its key.
    g
        Mass that really goes in, rounded to what can be measured out. [g]
    drops
        Whole drops, for a colour that is counted; 0 for one that is weighed.
    """

    colour: str
    g: float
    drops: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ColouredBatch:
    """A batch as it is measured out: its mass [g], its colours, the colour expected, and CIEDE2000 from the wish."""

    base_g: float
    portions: tuple[Portioned, ...]
    predicted: Lab
    delta_e: float


def _metric(wish: Lab) -> FloatArray:
    """Return the matrix that turns a small difference in CIELAB from a colour into its CIEDE2000 parts, nearly."""
    chroma = wish.chroma
    u, v = (wish.a / chroma, wish.b / chroma) if chroma > 0 else (1.0, 0.0)
    far = (wish.lightness - 50.0) ** 2
    S_L = 1.0 + 0.015 * far / (20.0 + far) ** 0.5
    S_C, S_H = 1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma
    return np.array([[1 / S_L, 0.0, 0.0], [0.0, u / S_C, v / S_C], [0.0, -v / S_H, u / S_H]])


def _solve(model: MixModel, wish: Lab, chosen: FloatArray, metric: FloatArray) -> FloatArray:
    """
    Return doses [g in 100 g] that come nearest to a wish, for several choices of colours at once.

    Levenberg and Marquardt's steps, each cut off at nought and at the largest recorded dose. ``chosen`` is 1 where a
    choice has a colour, by choice and colour.
    """
    base_k, k, s = np.array(model.base_k), table(model.k), np.array(model.s)
    most = np.array(model.most_g)
    target = wish.array()
    amounts = chosen * most * 0.3
    damping = np.full(len(chosen), 1e-2)

    def state(doses: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        lab, slope, k_over_s = shade(base_k, k, s, doses)
        missed = (lab - target) @ metric.T
        scatter = 1.0 + doses @ s
        by_dose = (k[None, :, :] - k_over_s[:, None, :] * s[None, :, None]) / scatter[:, None, None]
        jacobian = np.einsum("rl,mlw,mcw->mrc", metric, slope, by_dose) * (chosen * most)[:, None, :]
        return (missed**2).sum(axis=1), missed, jacobian

    cost, missed, jacobian = state(amounts)
    for _ in range(60):
        normal = np.einsum("mrc,mrd->mcd", jacobian, jacobian)
        pull = np.einsum("mrc,mr->mc", jacobian, missed)
        # A colour at its limit that would be pushed beyond is held there, or it would spoil the others' step.
        held = ((amounts <= 0) & (pull > 0)) | ((amounts >= most) & (pull < 0)) | (chosen == 0)
        free = ~held
        normal = normal * free[:, :, None] * free[:, None, :]
        normal += np.eye(len(most)) * (damping[:, None] + held)[:, None, :]
        step = np.linalg.solve(normal, (-pull * free)[..., None])[..., 0]
        tried = np.clip(amounts + step * most, 0.0, most) * chosen
        new_cost, new_missed, new_jacobian = state(tried)
        better = new_cost < cost
        amounts = np.where(better[:, None], tried, amounts)
        missed = np.where(better[:, None], new_missed, missed)
        jacobian = np.where(better[:, None, None], new_jacobian, jacobian)
        settled = np.where(better, cost - new_cost < 1e-5, damping > 1e3)
        cost = np.where(better, new_cost, cost)
        damping = np.clip(np.where(better, damping * 0.3, damping * 5.0), 1e-9, 1e6)
        if settled.all():
            break
    return np.asarray(amounts)


def nearest_mix(model: MixModel, wish: Lab, *, most_colours: int = MOST_COLOURS) -> ColourMatch:
    """
    Return the mix that comes nearest to a wish, in as few colours as will do.

    Parameters
    ----------
    model
        What the maker's mixes of the base say.
    wish
        The wished colour.
    most_colours
        Colours in one bowl at most, 1 to 4.

    Returns
    -------
    match
        Doses within what was recorded, and the colour expected; it need not reach the wish.
    """
    require_range("colours in one bowl", most_colours, 1, 4, "colours")
    count = len(model.colours)
    choices = [c for size in range(min(most_colours, count) + 1) for c in combinations(range(count), size)]
    chosen = np.zeros((len(choices), count))
    for row, choice in enumerate(choices):
        chosen[row, list(choice)] = 1.0
    if count:
        # Near the wish CIEDE2000's own measure finds the best; far from it the plain distance is the safer guide.
        found = [_solve(model, wish, chosen, metric) for metric in (_metric(wish), np.eye(3))]
        amounts = np.concatenate([chosen * 0.0, *found])
    else:
        amounts = chosen
    # Less than a fiftieth of the largest recorded dose cannot be told from nothing.
    amounts = np.where(amounts < np.array(model.most_g) / 50.0, 0.0, amounts)
    lab, _, _ = shade(np.array(model.base_k), table(model.k), np.array(model.s), amounts)
    apart = ciede2000(lab, wish.array())
    best = int(np.argmin(apart + WORTH_ANOTHER * (amounts > 0).sum(axis=1)))
    doses = sorted(
        (
            # A hundredth of a milligram: what the last bits of a sum may say differently is not worth keeping.
            Dose(colour=colour.key, g_per_100g=round(float(g), 5))
            for colour, g in zip(model.colours, amounts[best], strict=True)
            if g > 0
        ),
        key=lambda dose: -dose.g_per_100g,
    )
    predicted = model.predict(doses)
    return ColourMatch(
        wish=wish,
        doses=tuple(doses),
        predicted=predicted,
        delta_e=delta_e_2000(predicted, wish),
        mean_error=model.mean_error,
        worst_error=model.worst_error,
    )


def mix_for(model: MixModel, wish: Lab, *, most_colours: int = MOST_COLOURS) -> ColourMatch:
    """
    Return a mix that reaches a wish.

    Raises
    ------
    Infeasible
        The recorded colours do not reach it; the nearest is named.
    """
    match = nearest_mix(model, wish, most_colours=most_colours)
    if match.reached:
        return match
    names = {colour.key: colour.name for colour in model.colours}
    made = listed([f"{dose.g_per_100g:.2f} g of {names[dose.colour]}" for dose in match.doses] or ["no colour at all"])
    raise Infeasible(
        f"colouring {model.base} to {wish.describe()}",
        f"not reachable with the recorded colours: nearest is {match.predicted.describe()} "
        f"({hex_of_lab(match.predicted)}), {match.delta_e:.1f} away, with {made} in 100 g",
        "agree on the nearest colour, or record mixes of another colour or of larger doses",
    )


def portion_out(model: MixModel, match: ColourMatch, base_g: float, *, scale_step_g: float = 0.1) -> ColouredBatch:
    """
    Measure a mix out for a batch: drops in whole drops, the rest by the scale.

    Parameters
    ----------
    model, match
        What the mixes say, and the doses found.
    base_g
        Mass of the base. [g], 20 to 50000
    scale_step_g
        Finest step of the scale that weighs colours. [g], 0.001 to 5

    Returns
    -------
    batch
        What really goes in, and the colour that is then expected: rounding moves it, the more the smaller the batch.
    """
    require_range("base to be coloured", base_g, 20.0, 50_000.0, "g")
    require_range("step of the scale", scale_step_g, 0.001, 5.0, "g")
    shelf = {colour.key: (colour, most) for colour, most in zip(model.colours, model.most_g, strict=True)}
    portions: list[Portioned] = []
    for dose in match.doses:
        colour, most_g = shelf[dose.colour]
        step = colour.drop_g or scale_step_g
        steps = round(dose.g_per_100g * base_g / 100.0 / step)
        # Rounding up must not leave what was recorded.
        steps = min(steps, int(most_g * base_g / 100.0 / step + 1e-9))
        portions.append(Portioned(colour=dose.colour, g=steps * step, drops=steps if colour.drop_g else 0))
    predicted = model.predict([Dose(colour=one.colour, g_per_100g=one.g / base_g * 100.0) for one in portions])
    return ColouredBatch(
        base_g=base_g,
        portions=tuple(one for one in portions if one.g > 0),
        predicted=predicted,
        delta_e=delta_e_2000(predicted, match.wish),
    )
