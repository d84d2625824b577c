"""Water activity of a component from what it is made of."""

from __future__ import annotations

from typing import Final

from tierwright.errors import MissingData, require_range
from tierwright.larder import Composition
from tierwright.sugar import Solute, solute, sucrose_solubility, water_activity
from tierwright.working import Estimate

SALT_PER_SODIUM: Final = 58.443 / 22.990
"""Grams of salt that hold a gram of sodium. [-]"""
MOST_MOLAL: Final = 6.0
ROOM_C: Final = 20.0

# Sorption of starch and protein beside the sugars: Oswin's form with constants of wheat flour near 20 to 25 C
# (Lomauro, Bakshi and Labuza 1985, Lebensm Wiss Technol 18:111, from memory). Water per dry matter at aw is
# a (aw/(1-aw))^n.
FLOUR_OSWIN: Final = (0.120, 0.35)


def component_activity(composition: Composition, temperature_c: float = ROOM_C) -> Estimate:
    """
    Water activity of a component.

    Parameters
    ----------
    composition
        Of 100 g as it stands: after the bake's loss, with its soak.
    temperature_c
        [C], 0 to 40

    Returns
    -------
    activity
        ``value`` by Ross's product of sugars, salt and the sorption of starch and protein; ``high`` by the sugars and
        salt alone, which is never too low; ``low`` as far below the value as ``high`` is above. [-]

    Raises
    ------
    OutOfRange
        A temperature outside its span.
    MissingData
        The composition does not say how much of its carbohydrate is sugar.

    Notes
    -----
    Sucrose beyond its solubility stays crystals. Sugar of unknown kind counts as sucrose, which binds least. An
    estimate of this kind is good to about 0.02 to 0.04: it warns, and it never takes a warning away.

    References
    ----------
    .. [1] Ross K D (1975), Food Technology 29(3):26: ``aw`` is the product over the parts, each in all the water.
    .. [2] Norrish 1966; Starzak and Peacock 1997 (``tierwright.sugar``). Oswin 1946, sorption.
    """
    require_range("temperature", temperature_c, 0.0, 40.0, "C")
    if composition.sugars_g is None:
        raise MissingData("the sugars of the composition", "its water activity")
    water = composition.water_g
    if water <= 0.05:
        return Estimate(value=0.2, low=0.0, high=0.4)
    parts, other = _dissolved(composition, temperature_c)
    salt = min((composition.sodium_mg or 0.0) / 1000.0 * SALT_PER_SODIUM, MOST_MOLAL * 58.443 * water / 1000.0)
    sugars = float(water_activity(parts, water, temperature_c, salt))
    # Dry matter that holds water by sorption: what is neither sugar, fat nor salt.
    value = sugars * _sorption(water, other) if other > 0.5 else sugars
    return Estimate(value=value, low=max(0.0, value - (sugars - value) - 0.02), high=min(1.0, sugars + 0.01))


def _dissolved(composition: Composition, temperature_c: float) -> tuple[list[tuple[Solute, float]], float]:
    known = {
        "glucose": composition.glucose_g or 0.0,
        "fructose": composition.fructose_g or 0.0,
        "maltose": composition.maltose_g or 0.0,
        "lactose": composition.lactose_g or 0.0,
    }
    total = composition.sugars_g or 0.0
    scale = min(1.0, total / sum(known.values())) if sum(known.values()) > 0 else 0.0
    known = {key: grams * scale for key, grams in known.items()}
    water = composition.water_g
    dissolves = float(sucrose_solubility(temperature_c))
    sucrose = min(total - sum(known.values()), water * dissolves / (1.0 - dissolves))
    # Lactose and the dense sugars stay within the span of their constants.
    caps = {"glucose": 0.47, "fructose": 0.78, "maltose": 0.5, "lactose": 0.16}
    parts = [(solute("sucrose"), max(sucrose, 0.0))]
    for key, grams in known.items():
        most = water * caps[key] / (1.0 - caps[key])
        parts.append((solute(key), min(grams, most)))
    other = max(composition.carbohydrate_g - total, 0.0) + composition.protein_g
    return [(kind, grams) for kind, grams in parts if grams > 0], other


def _sorption(water_g: float, dry_g: float) -> float:
    """Water activity over dry matter that sorbs: Oswin turned round. [-]"""
    a, n = FLOUR_OSWIN
    ratio: float = (water_g / dry_g / a) ** (1.0 / n)
    return ratio / (1.0 + ratio)


def sugar_share(composition: Composition) -> float:
    """Return the sugar of a component as a share of its mass. [-]"""
    return (composition.sugars_g or 0.0) / 100.0
