"""A small cake to hand over, made of plain values."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from tierwright.handover import CoatToMend, HandoverAsk, PieceToLoad, Place, StockToSpare, TierToHand, count_in
from tierwright.shapes import Outline
from tierwright.support import Inedible
from tierwright.working import Estimate

AT = datetime(2027, 6, 26, 18, 30, tzinfo=ZoneInfo("America/Denver"))
NAMES = {1: "bottom", 2: "top"}
PARTS = (
    Inedible(tier=0, what="drum 12 mm", count=1, where="under the whole cake", reusable=False),
    Inedible(tier=1, what="board: card 2 mm", count=1, where="under the tier", reusable=False),
    Inedible(tier=1, what="wood dowel 6 mm", count=5, where="upright, 60 mm from the middle", reusable=False),
    Inedible(tier=2, what="board: card 2 mm", count=1, where="under the tier", reusable=False),
    Inedible(tier=2, what="flower pick", count=7, where="top and side", reusable=True),
    Inedible(tier=2, what="wired rose", count=2, where="top and side", reusable=False),
)


def tier(number: int, name: str, width_mm: float, grams: float, **more: Any) -> TierToHand:
    return TierToHand(
        number=number, name=name, outline=Outline.round(width_mm), mass_g=Estimate.within(grams, 0.1),
        is_cake=more.get("is_cake", True), is_kept=more.get("is_kept", False), portions=more.get("portions", 20),
    )  # fmt: skip


def piece(holds: str, kg: float, people: int = 1, wide_mm: float = 350.0) -> PieceToLoad:
    return PieceToLoad(
        holds=holds, footprint_mm=wide_mm, height_mm=200.0, mass_kg=kg, limit_kg=12.0, people=people,
        where="on the flat floor", how="wedged",
    )  # fmt: skip


KNOWN = Place(
    table_width_mm=1800.0, table_depth_mm=900.0, table_bears_g=80_000.0, level=True, linen=True, door_mm=900.0,
    stairs=0, receiver="The keeper", called="The maker, 555-0117", called_there="The keeper",
)  # fmt: skip


def ask(**changed: Any) -> HandoverAsk:
    made = HandoverAsk(
        title="Supper",
        tiers=(tier(1, "bottom", 254, 5200), tier(2, "top", 152, 1900)),
        counted=count_in(PARTS, names=NAMES, stocks={"wood dowel 6 mm"}),
        supports=(StockToSpare(name="wood dowel 6 mm", count=5, longest_mm=102.0),),
        coats=(CoatToMend(key="coat", name="buttercream", kind="buttercream", g_per_cm2=0.6, tiers=2, over_g=500.0),),
        facts=frozenset({"tiers", "supports", "buttercream", "delivery", "cold"}),
        levels=1,
        pieces=(piece("the bottom tier", 6.0), piece("the top tier", 2.5, wide_mm=200.0)),
        whole_g=Estimate(value=8000.0, low=7000.0, high=9000.0),
        foot_mm=(356.0, 356.0),
        place=KNOWN,
        support_places=((60.0, 0.0), (18.5, 57.1), (-48.5, 35.3), (-48.5, -35.3), (18.5, -57.1)),
        handover_at=AT,
        cutting_at=AT + timedelta(hours=2),
        set_up_at=AT - timedelta(minutes=45),
        last_slice_at=AT + timedelta(hours=4),
        last_set_up=AT + timedelta(hours=1),
    )
    return replace(made, **changed)
