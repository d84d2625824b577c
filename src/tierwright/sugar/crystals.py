"""Whether a syrup will turn grainy, and what keeps it from it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from tierwright.errors import require_range
from tierwright.sugar.mix import Mix
from tierwright.sugar.properties import sucrose_solubility, supersaturation
from tierwright.working import COMMON_PRACTICE, Basis, Estimate, Source

# Share of the sucrose that an acid splits in ten minutes at the boil, pinch against spoon; from memory, wide.
ACID_SPLIT: Final = Estimate(value=0.10, low=0.04, high=0.20)
SOLUBILITY_SOURCE: Final = Source(basis=Basis.FROM_MEMORY, text="Charles 1960, Int. Sugar J. 62, 126")


class CrystalRisk(StrEnum):
    """How likely a syrup turns grainy while it is boiled, cooled and kept."""

    NONE = "none"
    LOW = "low"
    MODERATE = "moderate"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Crystals:
    """
    Judgement of a syrup's graininess.

    Attributes
    ----------
    supersaturation
        Sucrose to water over what water alone would hold at the temperature asked for. [1]
    doctored_share
        Solids other than sucrose, after the acid's work. [1]
    risk
        How likely it turns grainy.
    clear_up_to_share
        Solids up to which it stays clear at that temperature however it is treated. [1]
    advice
        What to do at the pot.
    source
        Where the solubility comes from; the classes are common practice.
    """

    supersaturation: float
    doctored_share: Estimate
    risk: CrystalRisk
    clear_up_to_share: float
    advice: str
    source: Source


def crystal_risk(mix: Mix, *, acid: bool = False, kept_at_c: float = 20.0) -> Crystals:
    """
    Judge how likely a syrup turns grainy once it stands at a temperature.

    Parameters
    ----------
    mix
        The finished syrup.
    acid
        Whether lemon juice or cream of tartar boiled in it.
    kept_at_c
        Temperature at which it is held or worked. [C], 0 to 100

    Returns
    -------
    crystals
        Supersaturation, doctored share, risk and advice.

    Raises
    ------
    OutOfRange
        A temperature outside the span of the solubility equation.

    Notes
    -----
    Below saturation nothing can grow. Above it, solids that are not sucrose stand in the way: from about 15 % of them
    a syrup stays clear if it is not stirred, from about 30 % it keeps (common practice).
    """
    require_range("temperature", kept_at_c, 0.0, 100.0, "C")
    sucrose = mix.grams_of("sucrose")
    over = supersaturation(sucrose, mix.water_g, kept_at_c)
    share = sucrose_solubility(kept_at_c)
    ratio = share / (1.0 - share)
    plain = 1.0 - mix.sucrose_purity
    split = ACID_SPLIT if acid else Estimate.exact(0.0)
    doctored = Estimate(
        value=plain + (1 - plain) * split.value,
        low=plain + (1 - plain) * split.low,
        high=plain + (1 - plain) * split.high,
    )
    if over <= 1.0:
        risk = CrystalRisk.NONE
    elif doctored.value >= 0.30 or over <= 1.1:
        risk = CrystalRisk.LOW
    elif doctored.value >= 0.12:
        risk = CrystalRisk.MODERATE
    else:
        risk = CrystalRisk.HIGH
    return Crystals(
        supersaturation=over,
        doctored_share=doctored,
        risk=risk,
        clear_up_to_share=ratio / (ratio + mix.sucrose_purity),
        advice=_ADVICE[risk],
        source=SOLUBILITY_SOURCE if sucrose else COMMON_PRACTICE,
    )


_ADVICE: Final = {
    CrystalRisk.NONE: "Everything stays dissolved; no precaution is needed.",
    CrystalRisk.LOW: "Wash the sides once and do not stir after the boil.",
    CrystalRisk.MODERATE: "Wash the sides down with a wet brush, do not stir after the boil, cool undisturbed.",
    CrystalRisk.HIGH: (
        "Add glucose or corn syrup to a fifth of the sugar, or a pinch of acid; wash the sides down, do not stir or "
        "knock the pot after the boil. If it grains, add water, dissolve all of it and start again."
    ),
}
