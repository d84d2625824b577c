"""Costs for tests, small enough to be added up by hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tierwright.larder import Norm, Stage
from tierwright.price import CostGroup, CostInputs, Energy, Failure, Material, Work
from tierwright.working import COMMON_PRACTICE, Estimate

D = Decimal


def norm_of(task: str, minutes: float, spread: float = 0.0, *, kitchen: bool = True) -> Norm:
    return Norm(
        task=task, label=task.replace("_", " "), unit="tier", base_min=0.0, each_min=minutes,
        low_share=1 - spread, high_share=1 + spread, stage=Stage.KITCHEN, kitchen=kitchen, source=COMMON_PRACTICE,
    )  # fmt: skip


def inputs(**changes: Any) -> CostInputs:
    """
    Return a commission of two tiers and a way of 92 km.

    By hand, in USD: ingredients 30.00 + 20.00 = 50.00; hands 2 h at 26.00 = 52.00 for the kitchen, half of it a tier,
    cleaning a fifth of it 10.40, driving 1 h 26.00; energy 3 kWh at 0.17 = 0.51; travel 92 × 0.42 = 38.64; overhead
    (2 + 0.4 + 1) h × 4.50 = 15.30; reserve 6 × 0.02 × 15.00 = 1.80.
    """
    given: dict[str, Any] = {
        "currency": "USD",
        "materials": (
            Material(key="butter", label="butter", used=D("30.00"), bought=D("36.80"), spread=0.1, of="tier.1"),
            Material(key="sugar", label="sugar", used=D("20.00"), bought=D("22.00"), spread=0.1, of="tier.2"),
        ),
        "works": (
            Work(norm=norm_of("coating", 60), count=1, rate=D(26), of="tier.1"),
            Work(norm=norm_of("coating", 60), count=1, rate=D(26), of="tier.2"),
            Work(norm=norm_of("driving", 60, kitchen=False), count=1, rate=D(26), of="distance", days_before=0),
        ),
        "energies": (Energy(label="oven", energy_kwh=Estimate.exact(3.0), price=D("0.17"), of="tier.1"),),
        "failures": (
            Failure(label="a layer", count=6, chance=Estimate.exact(0.02), cost=D(15), of="tier.1"),
        ),
        "overhead_per_hour": D("4.50"),
        "travel_km": Estimate.exact(92.0),
        "travel_per_km": D("0.42"),
        "cleaning_share": Estimate.exact(0.2),
        "cleaning_rate": D(26),
    }  # fmt: skip
    return CostInputs(**{**given, **changes})


BY_HAND = {
    CostGroup.INGREDIENTS: D("50.00"),
    CostGroup.ENERGY: D("0.51"),
    CostGroup.HANDS: D("88.40"),
    CostGroup.TRAVEL: D("38.64"),
    CostGroup.OVERHEAD: D("15.30"),
    CostGroup.RISK: D("1.80"),
}
