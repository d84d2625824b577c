"""Hot syrup into whites in a bowl: the temperature they really reach, and for how long."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tierwright.errors import require_range
from tierwright.sugar.cooking import MATERIAL_CP, PanMaterial
from tierwright.sugar.properties import CP_UNCERTAINTY, enthalpy, specific_heat
from tierwright.working import Estimate

WHITE_CP: Final = 3.9  # J/(g K): 87.6 % water and 10.9 % protein by Choi and Okos 1986
DRY_SUGAR_CP: Final = 1.25  # J/(g K), crystalline sucrose near room temperature, textbook value
# Heat that bowl and foam lose while the whisk runs, fitted to "cools to the hand in 8 to 15 minutes" (common practice).
LOSS_W_K: Final = Estimate(value=4.5, low=3.0, high=7.0)
# Syrup that stays in the pot and on the side of the bowl, and how much of the bowl warms with the foam.
LEFT_BEHIND: Final = Estimate(value=0.04, low=0.02, high=0.08)
BOWL_PART: Final = Estimate(value=0.7, low=0.4, high=1.0)
POT_COOLING_K_S: Final = 0.15  # a small pot off the heat at 115 C
STEP_S: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowl:
    """
    The bowl that the whites are beaten in.

    Attributes
    ----------
    material
        What it is made of.
    mass_g
        Its mass. [g]
    start_c
        Its temperature at the pour; a bowl rinsed with hot water takes less from the syrup. [C]
    """

    material: PanMaterial = PanMaterial.STEEL
    mass_g: float = 900.0
    start_c: float = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PourHeat:
    """
    Where the heat of one pour goes, counted from the temperature of melting ice.

    Attributes
    ----------
    before_j
        In whites, their dry sugar and the warming part of the bowl at the start. [J]
    poured_j
        Brought by the syrup. [J]
    lost_j
        Given to the room until the end of the history. [J]
    after_j
        Left in foam and bowl. [J]
    """

    before_j: float
    poured_j: float
    lost_j: float
    after_j: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """
    One pour.

    Attributes
    ----------
    peak_c
        Hottest that the whites get. [C]
    history, cautious
        Times [s] and temperatures [C] of the middle and of the coolest case.
    heat
        Account of the middle case.
    cools_to_room_warm_min
        Minutes of beating from the end of the pour until the foam is at 28 C, ready for butter. [min]
    """

    peak_c: Estimate
    history: tuple[tuple[float, float], ...]
    cautious: tuple[tuple[float, float], ...]
    heat: PourHeat
    cools_to_room_warm_min: Estimate


def pour_syrup(
    *,
    whites_g: float,
    whites_c: float,
    syrup_g: float,
    syrup_share: float,
    syrup_c: float,
    bowl: Bowl,
    pour_s: float = 45.0,
    dry_sugar_g: float = 0.0,
    room_c: float = 21.0,
) -> Pour:
    """
    Follow the whites through the pour and the beating after it.

    Parameters
    ----------
    whites_g, whites_c
        Whites and their temperature. [g], [C] 0 to 45
    syrup_g
        Syrup in the pot. [g]
    syrup_share
        Its solids. [1], 0.5 to 0.98
    syrup_c
        Its temperature at the first drop. [C], 90 to 150
    bowl
        The bowl; the part of it that warms is taken as 0.4 to 1.0.
    pour_s
        Length of the pour. [s], 5 to 600
    dry_sugar_g
        Sugar that is in the whites already. [g]
    room_c
        Room. [C], 5 to 40

    Returns
    -------
    pour
        Peak with its range, histories, and where the heat went.

    Raises
    ------
    OutOfRange
        Outside those spans.

    Notes
    -----
    Foam and the warming part of the bowl are one temperature. Syrup enters evenly, cooling 0.15 K/s in the pot, and 2
    to 8 % of it never arrives. The bowl loses 3 to 7 W/K while the whisk runs. Heat of mixing is left out.
    """
    require_range("whites", whites_g, 10.0, 20_000.0, "g")
    require_range("temperature of the whites", whites_c, 0.0, 45.0, "C")
    require_range("syrup", syrup_g, 10.0, 40_000.0, "g")
    require_range("solids of the syrup", syrup_share, 0.5, 0.98, "of the syrup")
    require_range("temperature of the syrup", syrup_c, 90.0, 150.0, "C")
    require_range("bowl", bowl.mass_g, 50.0, 20_000.0, "g")
    require_range("temperature of the bowl", bowl.start_c, 0.0, 80.0, "C")
    require_range("pour", pour_s, 5.0, 600.0, "s")
    require_range("dry sugar", dry_sugar_g, 0.0, 20_000.0, "g")
    require_range("room temperature", room_c, 5.0, 40.0, "C")
    scale = ((whites_g + syrup_g + dry_sugar_g) / 600.0) ** (2.0 / 3.0)

    def case(loss: float, left: float, part: float, cp_share: float) -> tuple[list[tuple[float, float]], PourHeat]:
        return _follow(
            whites_g=whites_g,
            whites_c=whites_c,
            syrup_g=syrup_g * (1.0 - left),
            syrup_share=syrup_share,
            syrup_c=syrup_c,
            bowl=bowl,
            bowl_j_k=bowl.mass_g * MATERIAL_CP[bowl.material] * part,
            pour_s=pour_s,
            dry_sugar_g=dry_sugar_g,
            room_c=room_c,
            loss_w_k=loss * scale,
            cp_share=cp_share,
        )

    middle, heat = case(LOSS_W_K.value, LEFT_BEHIND.value, BOWL_PART.value, 1.0)
    # A bowl warmer than the foam helps it, so the cautious part of it depends on which is warmer.
    cool_bowl = bowl.start_c < 60.0
    few, much = (BOWL_PART.low, BOWL_PART.high) if cool_bowl else (BOWL_PART.high, BOWL_PART.low)
    # Above 100 C the syrup's specific heat is the least known; the lower end is water and crystals side by side.
    cool, _ = case(LOSS_W_K.high, LEFT_BEHIND.high, much, 1.0 - 2 * CP_UNCERTAINTY)
    warm, _ = case(LOSS_W_K.low, LEFT_BEHIND.low, few, 1.0 + CP_UNCERTAINTY)
    peaks = [max(celsius for _, celsius in points) for points in (cool, middle, warm)]
    minutes = [_minutes_to(points, pour_s, 28.0) for points in (cool, middle, warm)]
    return Pour(
        peak_c=Estimate(value=peaks[1], low=min(peaks), high=max(peaks)),
        history=tuple(middle),
        cautious=tuple(cool),
        heat=heat,
        cools_to_room_warm_min=Estimate(value=minutes[1], low=min(minutes), high=max(minutes)),
    )


def _follow(
    *,
    whites_g: float,
    whites_c: float,
    syrup_g: float,
    syrup_share: float,
    syrup_c: float,
    bowl: Bowl,
    bowl_j_k: float,
    pour_s: float,
    dry_sugar_g: float,
    room_c: float,
    loss_w_k: float,
    cp_share: float,
) -> tuple[list[tuple[float, float]], PourHeat]:
    """Step through one case; heat is booked step by step, and the temperature read off it."""
    fixed_j_k = whites_g * WHITE_CP + dry_sugar_g * DRY_SUGAR_CP + bowl_j_k
    before = (fixed_j_k - bowl_j_k) * whites_c + bowl_j_k * bowl.start_c
    # Below 100 C the syrup's heat content is a parabola in the temperature, a T + b T^2, so it can be read backwards.
    b = cp_share * (float(enthalpy(syrup_share, 100.0)) - 100.0 * float(specific_heat(syrup_share, 0.0))) / 10_000.0
    a = cp_share * float(specific_heat(syrup_share, 0.0))
    held, poured, lost = before, 0.0, 0.0
    celsius = before / fixed_j_k
    history = [(0.0, celsius)]
    clock, arrived = 0.0, 0.0
    end = pour_s + 3600.0
    while clock < end - 1e-9:
        step = min(STEP_S, pour_s - clock) if clock < pour_s - 1e-9 else 10.0 * STEP_S
        if clock < pour_s - 1e-9:
            grams = syrup_g * step / pour_s
            gain = grams * cp_share * float(enthalpy(syrup_share, max(syrup_c - POT_COOLING_K_S * clock, 60.0)))
            arrived += grams
            poured += gain
            held += gain
        leak = loss_w_k * (celsius - room_c) * step
        held -= leak
        lost += leak
        clock += step
        slope, bend = fixed_j_k + arrived * a, arrived * b
        celsius = 2.0 * held / (slope + (slope * slope + 4.0 * bend * held) ** 0.5)
        history.append((clock, celsius))
        if clock > pour_s and celsius < min(27.0, room_c + 1.0):
            break
    return history, PourHeat(before_j=before, poured_j=poured, lost_j=lost, after_j=held)


def _minutes_to(history: list[tuple[float, float]], pour_s: float, celsius: float) -> float:
    """Minutes after the pour at which the foam first stands at a temperature; the whole history if it never does."""
    for clock, now in history:
        if clock >= pour_s and now <= celsius:
            return (clock - pour_s) / 60.0
    return (history[-1][0] - pour_s) / 60.0
