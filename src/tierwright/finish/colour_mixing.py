"""How the maker's colours act in a base, learnt from recorded mixes, and how far that can be trusted.

The maker's own recorded mixes are all that the model knows: absorption of the base and of each colour, found at
sixteen wavelengths by what the mixes were seen to be. Nothing is promised that was not recorded.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Final

import numpy as np

from tierwright.errors import MissingData, UnknownName, require_range
from tierwright.finish.colour import WHITES, FloatArray, Lab, White, ciede2000, lab_of_xyz

_SMOOTH: Final = 1.0  # weight of a bend in log absorption from one wavelength to the next, in CIELAB units
_TIE: Final = 0.05  # weight that ties each unknown to its starting value, so that none is left free
MOST_STEPS: Final = 80
_START_BASE: Final = float(np.log(0.02))
_START_SCATTER: Final = float(np.log(0.1))


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnColour:
    """
    A colour on the maker's shelf.

    Attributes
    ----------
    key, name
        Short name, and the maker's own.
    drop_g
        Mass of one drop, for a colour that is counted in drops; 0 for one that is weighed. [g]
    opaque
        Whether it whitens as well as tints, as titanium white, lakes and chalk do.
    """

    key: str
    name: str
    drop_g: float = 0.0
    opaque: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """So much of one colour in a hundred grams of base. [g]"""

    colour: str
    g_per_100g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedMix:
    """A mix that was made and measured: its name, its base, what went into 100 g of it, and the colour it came to."""

    name: str
    base: str
    doses: tuple[Dose, ...]
    seen: Lab


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """What the model says of a mix that it was not shown: predicted colour, and CIEDE2000 from the measured one."""

    name: str
    predicted: Lab
    delta_e: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MixModel:
    """
    What recorded mixes say about a base and its colours.

    Attributes
    ----------
    base
        Key of the base.
    colours
        Colours that occur in its mixes.
    base_k
        Absorption over scattering of the bare base, by wavelength. [-]
    k
        What a gram of each colour in 100 g of base adds to the absorption, by colour and wavelength. [1/g]
    s
        What it adds to the scattering, over the base's own. [1/g]
    most_g
        Largest recorded dose of each colour in 100 g; nothing is said beyond. [g]
    mixes
        Number of recorded mixes, the bare base among them.
    fit_delta_e
        Mean CIEDE2000 of the mixes that the model was fitted to.
    left_out
        Each mix that could be left out, as foretold by the others.
    """

    base: str
    colours: tuple[OwnColour, ...]
    base_k: tuple[float, ...]
    k: tuple[tuple[float, ...], ...]
    s: tuple[float, ...]
    most_g: tuple[float, ...]
    mixes: int
    fit_delta_e: float
    left_out: tuple[LeftOut, ...]

    @property
    def mean_error(self) -> float | None:
        """Mean CIEDE2000 of mixes that were left out; None where none could be."""
        return sum(one.delta_e for one in self.left_out) / len(self.left_out) if self.left_out else None

    @property
    def worst_error(self) -> float | None:
        """Largest CIEDE2000 of a mix that was left out; None where none could be."""
        return max((one.delta_e for one in self.left_out), default=None)

    def predict(self, doses: Sequence[Dose]) -> Lab:
        """
        Return the colour of a mix.

        Raises
        ------
        UnknownName
            A colour that no recorded mix of this base holds.
        OutOfRange
            A dose above the largest recorded one.
        """
        keys = [colour.key for colour in self.colours]
        amounts = np.zeros(len(keys))
        for dose in doses:
            if dose.colour not in keys:
                raise UnknownName("recorded colour", dose.colour, keys)
            i = keys.index(dose.colour)
            require_range(self.colours[i].name, dose.g_per_100g, 0.0, self.most_g[i] + 1e-5, "g in 100 g")
            amounts[i] += dose.g_per_100g
        lab, _, _ = shade(np.array(self.base_k), table(self.k), np.array(self.s), amounts[None, :])
        return Lab.of(lab[0])


# --- Kubelka and Munk ------------------------------------------------------------------------------------------------


def absorption_of_reflectance(reflectance: FloatArray) -> FloatArray:
    """
    Return absorption over scattering of an opaque layer that reflects this share of light.

    References
    ----------
    .. [1] Kubelka and Munk, Ein Beitrag zur Optik der Farbanstriche, Z. tech. Phys. 12 (1931) 593; Kubelka, J. Opt.
       Soc. Am. 38 (1948) 448.
    """
    return np.asarray((1.0 - reflectance) ** 2 / (2.0 * reflectance))


def reflectance_of_absorption(k_over_s: FloatArray) -> FloatArray:
    """Return the share of light that an opaque layer reflects, by its absorption over scattering; the inverse."""
    # 1 + k - sqrt(k^2 + 2 k), written so that a dark layer loses no digits.
    return np.asarray(1.0 / (1.0 + k_over_s + np.sqrt(k_over_s * (k_over_s + 2.0))))


@lru_cache(maxsize=1)
def _weights() -> FloatArray:
    """Weights from reflectance at the wavelengths of the table to XYZ under D65; a perfect white comes to D65."""
    text = files("tierwright.finish").joinpath("data", "observer.csv").read_text(encoding="utf-8")
    rows = [[float(row[name]) for name in ("x", "y", "z", "d65")] for row in csv.DictReader(text.splitlines())]
    table = np.array(rows)
    weights = table[:, :3] * table[:, 3:]
    # Sixteen steps cannot add up to the white by themselves; each column is scaled to it, so that grey stays grey.
    scaled: FloatArray = weights * (WHITES[White.D65] / weights.sum(axis=0))
    scaled.setflags(write=False)
    return scaled


def table(rows: Sequence[Sequence[float]]) -> FloatArray:
    """Return absorptions by colour and wavelength as an array, also for no colour at all."""
    return np.array(rows).reshape(len(rows), len(_weights()))


def shade(
    base_k: FloatArray, k: FloatArray, s: FloatArray, amounts: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """
    Return the colours of mixes, their slope by K/S at each wavelength, and K/S itself.

    ``amounts`` is [g in 100 g] by mix and colour. Absorption and scattering of the parts add up (two constants).
    """
    scatter = 1.0 + amounts @ s
    k_over_s = (base_k + amounts @ k) / scatter[:, None]
    reflectance = reflectance_of_absorption(k_over_s)
    weights, white = _weights(), WHITES[White.D65]
    xyz = reflectance @ weights
    t = xyz / white
    steep = np.where(t > (6 / 29) ** 3, np.cbrt(t) ** -2 / 3.0, 841 / 108) / white
    opponent = np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]])
    by_reflectance = np.einsum("lc,mc,wc->mlw", opponent, steep, weights)
    by_absorption = 1.0 - (k_over_s + 1.0) / np.sqrt(k_over_s * (k_over_s + 2.0))
    return lab_of_xyz(xyz), by_reflectance * by_absorption[:, None, :], k_over_s


# --- learning from recorded mixes ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """Recorded mixes as arrays: [g in 100 g] by mix and colour, the colours seen, and which colours are opaque."""

    amounts: FloatArray
    seen: FloatArray
    opaque: tuple[int, ...]

    def without(self, mix: int) -> _Known:
        return _Known(
            amounts=np.delete(self.amounts, mix, axis=0), seen=np.delete(self.seen, mix, axis=0), opaque=self.opaque
        )


def _unpack(theta: FloatArray, known: _Known) -> tuple[FloatArray, FloatArray, FloatArray]:
    bands, colours = len(_weights()), known.amounts.shape[1]
    logs = theta[: bands * (colours + 1)].reshape(colours + 1, bands)
    s = np.zeros(colours)
    s[list(known.opaque)] = np.exp(theta[bands * (colours + 1) :])
    return np.exp(logs[0]), np.exp(logs[1:]), s


def _start(known: _Known) -> FloatArray:
    bands, colours = len(_weights()), known.amounts.shape[1]
    # A colour as strong as a common paste: a tenth of its largest dose would about double the base's absorption.
    strength = np.log(0.5 / np.maximum(known.amounts.max(axis=0), 1e-6))
    return (
        np.concatenate(
            [
                np.full(bands, _START_BASE),
                np.repeat(strength, bands),
                np.full(len(known.opaque), _START_SCATTER) + strength[list(known.opaque)],
            ]
        )
        if colours
        else np.full(bands, _START_BASE)
    )


def _learn(known: _Known, start: FloatArray | None = None) -> FloatArray:
    """Return the logarithms of absorption and scattering that explain the mixes, as smooth as they can be."""
    bands, colours = len(_weights()), known.amounts.shape[1]
    prior = _start(known)
    bend = np.kron(np.eye(colours + 1), np.diff(np.eye(bands), n=2, axis=0)) * _SMOOTH
    bend = np.hstack([bend, np.zeros((len(bend), len(known.opaque)))])
    tie = np.eye(len(prior)) * _TIE
    doses = np.hstack([np.ones((len(known.amounts), 1)), known.amounts])

    stiff = bend.T @ bend + tie.T @ tie

    def shaded(theta: FloatArray) -> tuple[float, FloatArray, tuple[FloatArray, FloatArray]]:
        lab, slope, k_over_s = shade(*_unpack(theta, known), known.amounts)
        missed = (lab - known.seen).ravel()
        off = theta - prior
        cost = missed @ missed + theta @ (bend.T @ (bend @ theta)) + off @ (tie.T @ (tie @ off))
        return float(cost), missed, (slope, k_over_s)

    def jacobian(theta: FloatArray, slope: FloatArray, k_over_s: FloatArray) -> FloatArray:
        base_k, k, s = _unpack(theta, known)
        scatter = 1.0 + known.amounts @ s
        parts = np.vstack([base_k, k])
        by_k = np.einsum("mlw,mp,pw->mlpw", slope, doses / scatter[:, None], parts).reshape(known.seen.size, -1)
        each = [-known.amounts[:, i] * s[i] / scatter for i in known.opaque]
        by_s = [(np.einsum("mlw,mw->ml", slope, k_over_s) * one[:, None]).ravel() for one in each]
        return np.column_stack([by_k, *by_s])

    # Levenberg and Marquardt on the normal equations: the ties keep them sound, and they are far fewer sums than a
    # decomposition of the stacked matrix.
    theta = prior if start is None else start
    damping = 1e-2
    cost, missed, shaded_so = shaded(theta)
    for _ in range(MOST_STEPS):
        J = jacobian(theta, *shaded_so)
        downhill = J.T @ missed + bend.T @ (bend @ theta) + tie.T @ (tie @ (theta - prior))
        normal = J.T @ J + stiff
        while damping < 1e8:
            tried = theta - np.linalg.solve(normal + damping * np.eye(len(theta)), downhill)
            # A step of more than a factor of twenty in any absorption is wild; it would only overflow.
            new_cost, new_missed, new_shade = shaded(np.clip(tried, theta - 3.0, theta + 3.0))
            if new_cost < cost:
                break
            damping *= 4.0
        else:
            break
        gain = cost - new_cost
        theta = np.clip(tried, theta - 3.0, theta + 3.0)
        cost, missed, shaded_so = new_cost, new_missed, new_shade
        damping *= 0.3
        if gain < 1e-6 * cost:
            break
    return theta


def learn_mixes(base: str, colours: Sequence[OwnColour], mixes: Sequence[RecordedMix]) -> MixModel:
    """
    Learn how colours act in a base, from the mixes of it that were recorded.

    Parameters
    ----------
    base
        Key of the base, such as that of a coat's formula.
    colours
        The maker's colours; those that no mix of this base holds are left out.
    mixes
        Recorded mixes; those of other bases are passed over.

    Returns
    -------
    model
        With its error on mixes that it was not shown, one at a time.

    Raises
    ------
    MissingData
        No mix of this base is recorded, or the bare base is not.
    UnknownName
        A mix holds a colour that is not on the shelf.

    Notes
    -----
    Kubelka and Munk's two constants: absorption and scattering of the parts add up by their doses, the base's own
    scattering being 1; only opaque colours scatter. The unknown absorptions at sixteen wavelengths are the smoothest
    that give the recorded colours (least squares on CIELAB, on second differences of the logarithm and a weak tie to
    the start), so that few mixes do for many wavelengths. A mix is not left out for testing if it is the bare base or
    the only one of some colour: nothing could then be foretold of it.

    References
    ----------
    .. [1] Kubelka and Munk (1931); Duncan, The colour of pigment mixtures, Proc. Phys. Soc. 52 (1940) 390, for the
       adding up.
    """
    return _learn_mixes(base, tuple(colours), tuple(mixes))


@lru_cache(maxsize=64)
def _learn_mixes(base: str, colours: tuple[OwnColour, ...], mixes: tuple[RecordedMix, ...]) -> MixModel:
    own = [mix for mix in mixes if mix.base == base]
    if not own:
        raise MissingData(f"a recorded mix of {base}", "mixing its colour")
    if all(mix.doses for mix in own):
        raise MissingData(f"the colour of bare {base}, recorded as a mix without doses", "mixing its colour")
    shelf = {colour.key: colour for colour in colours}
    for mix in own:
        for dose in mix.doses:
            if dose.colour not in shelf:
                raise UnknownName("colour", dose.colour, list(shelf), f"mix {mix.name!r}")
    used = [
        c for c in colours if any(dose.colour == c.key and dose.g_per_100g > 0 for mix in own for dose in mix.doses)
    ]
    amounts = np.array(
        [[sum(d.g_per_100g for d in mix.doses if d.colour == c.key) for c in used] for mix in own], dtype=float
    ).reshape(len(own), len(used))
    known = _Known(
        amounts=amounts,
        seen=np.array([mix.seen.array() for mix in own]),
        opaque=tuple(i for i, c in enumerate(used) if c.opaque),
    )
    theta = _learn(known)
    base_k, k, s = _unpack(theta, known)
    lab, _, _ = shade(base_k, k, s, known.amounts)
    left_out: list[LeftOut] = []
    for i, mix in enumerate(own):
        others = np.delete(amounts, i, axis=0)
        bare_stays = bool((others.sum(axis=1) == 0).any())
        if not amounts[i].any() or not bare_stays or not (others[:, amounts[i] > 0] > 0).any(axis=0).all():
            continue
        fewer = known.without(i)
        foretold, _, _ = shade(*_unpack(_learn(fewer, theta), fewer), amounts[i : i + 1])
        delta_e = float(ciede2000(foretold[0], known.seen[i]))
        left_out.append(LeftOut(name=mix.name, predicted=Lab.of(foretold[0]), delta_e=delta_e))
    return MixModel(
        base=base,
        colours=tuple(used),
        base_k=tuple(map(float, base_k)),
        k=tuple(tuple(map(float, row)) for row in k),
        s=tuple(map(float, s)),
        most_g=tuple(map(float, amounts.max(axis=0))),
        mixes=len(own),
        fit_delta_e=float(np.mean(ciede2000(lab, known.seen))),
        left_out=tuple(left_out),
    )
