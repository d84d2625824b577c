"""Cautions at the pot, the bowl and the egg; each stands on the sheet where the hand is."""

from __future__ import annotations

from typing import Final

from tierwright.sugar.told import degrees
from tierwright.working import COMMON_PRACTICE, Basis, Caution, Source

SHEET: Final = "syrups"


def hot_sugar(step: str, *, hottest_c: float) -> tuple[Caution, ...]:
    """
    Cautions for a pot of hot sugar.

    Parameters
    ----------
    step
        The step on the sheet at which the pot is handled.
    hottest_c
        Highest temperature that the pot will reach. [C]

    Returns
    -------
    cautions
        What to mind at the pot and at the pour.
    """
    pot = Caution(
        key="sugar.caution.hot_pot",
        sheet=SHEET,
        step=step,
        text="Stay at the pot. Long sleeves, dry mitts, cold water within reach, no children or pets near, nothing in "
        "the way between burner and bowl. On skin: cool running water for 20 minutes, do not pull at the sugar, get "
        "medical help.",
        reason=f"Boiled sugar at {degrees(hottest_c)} sticks and keeps burning; it is hotter than boiling water.",
        source=COMMON_PRACTICE,
    )
    pour = Caution(
        key="sugar.caution.pour",
        sheet=SHEET,
        step=step,
        text="Pour in a thin stream between the whisk and the side of the bowl; never add cold liquid to a hot pot "
        "at once.",
        reason="Syrup that meets the whisk is thrown out of the bowl; cold liquid makes the pot boil over.",
        source=COMMON_PRACTICE,
    )
    return (pot, pour)


def hot_caramel(step: str) -> Caution:
    """Caution for sugar past the boil, where the pot can smoke and catch fire."""
    return Caution(
        key="sugar.caution.caramel",
        sheet=SHEET,
        step=step,
        text="Take it off the heat a shade before the wanted colour; keep a lid at hand.",
        reason="Past 180 C (356 F) sugar burns within seconds and its smoke can catch fire.",
        source=COMMON_PRACTICE,
    )


def raw_egg(step: str) -> Caution:
    """Caution for egg that has not been heated enough to rely on."""
    return Caution(
        key="sugar.caution.raw_egg",
        sheet=SHEET,
        step=step,
        text="Count this as raw egg: use pasteurised whites, above all for children, pregnant women, old or ill "
        "guests. Wash hands and tools after shells and raw egg.",
        reason="Raw egg can carry Salmonella; warm sugar on whites is not a proof that it was killed.",
        source=Source(
            basis=Basis.PUBLISHED,
            text="FDA Food Code 2022, 3-202.13, 3-302.13 and 3-801.11: pasteurised eggs in place of raw ones; FSIS, "
            "Egg products and food safety",
        ),
    )


HONEY_INFANTS: Final = Caution(
    key="sugar.caution.honey_infants",
    sheet=SHEET,
    step="serve",
    text="Not for babies under one year: this contains honey.",
    reason="Honey can carry spores of Clostridium botulinum, which the boil does not kill.",
    source=Source(basis=Basis.PUBLISHED, text="US Centers for Disease Control and Prevention, botulism prevention"),
)
