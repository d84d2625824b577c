"""How much a filling or coat stands: yield stress by temperature, squeeze, slide and slump."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Final

from tierwright.coating.tables import Kind, solid_fat, stiffnesses
from tierwright.errors import require_range
from tierwright.working import Estimate

GRAVITY: Final = 9.80665
"""Standard gravity; 3rd CGPM 1901. [m/s2]"""

FAT_EXPONENT: Final = 2.5
"""A fat's crystal network stiffens as its solid part to the power 1/(3 - D); reported D of butterfat run from about 2.5
to 2.7, so the power from 2 to 3. Narine and Marangoni, Physical Review E 59 (1999) 1908; Gomez Herrera, Grasas y
Aceites 55 (2004) 2. Taken here for yield stress too. [-]"""

COLDEST_C: Final = -5.0
HOTTEST_C: Final = 45.0


def solid_fat_percent(fat: str, temperature_c: float) -> float:
    """
    Solid part of a fat, straight between the table's points.

    Parameters
    ----------
    fat
        ``milk``, ``cocoa`` or ``plant``.
    temperature_c
        Below the table's first point that point holds; above its last nothing is solid. [C], -5 to 45

    Returns
    -------
    solid
        [% of the fat]

    Raises
    ------
    OutOfRange
        A temperature at which no cake is served.
    """
    require_range("temperature", temperature_c, COLDEST_C, HOTTEST_C, "C", f"{fat} fat")
    points = solid_fat()[fat]
    if temperature_c <= points[0][0]:
        return points[0][1]
    for (left_c, left), (right_c, right) in pairwise(points):
        if temperature_c <= right_c:
            return left + (right - left) * (temperature_c - left_c) / (right_c - left_c)
    return 0.0


def yield_stress_pa(kind: Kind, temperature_c: float) -> Estimate:
    """
    Shear stress that a kind bears before it flows, at a temperature.

    Parameters
    ----------
    kind
        The filling or coat.
    temperature_c
        Its own temperature. [C], -5 to 45

    Returns
    -------
    stress
        The class's stress times ``(solid(T) / solid(reference)) ** 2.5`` where a fat stiffens it. [Pa]

    Raises
    ------
    OutOfRange
        A temperature at which no cake is served.

    Notes
    -----
    The range spans what kinds of one class differ by: read the result as an order of magnitude, and weigh a test layer.

    References
    ----------
    .. [1] Narine and Marangoni, Physical Review E 59 (1999) 1908.
    .. [2] Steffe, Rheological Methods in Food Process Engineering, 2nd ed. 1996.
    """
    require_range("temperature", temperature_c, COLDEST_C, HOTTEST_C, "C", kind.name)
    base = stiffnesses()[kind.stiffness].yield_pa
    if kind.fat == "none":
        return base
    share = solid_fat_percent(kind.fat, temperature_c) / solid_fat_percent(kind.fat, kind.reference_c)
    factor: float = share**FAT_EXPONENT
    return base * factor


def bearing_depth_mm(yield_pa: float, half_breadth_mm: float, pressure_pa: float) -> float:
    """
    Greatest depth of filling that does not squeeze out between two layers.

    Parameters
    ----------
    yield_pa
        Yield stress of the filling. [Pa], 0 and up
    half_breadth_mm
        Radius of the tier (for other outlines twice area over perimeter). [mm], above 0
    pressure_pa
        Load above it over its area. [Pa], above 0

    Returns
    -------
    depth
        ``(2/3) yield radius / pressure``. [mm]

    Raises
    ------
    OutOfRange
        A negative stress, or no load.

    Notes
    -----
    A plastic disc of radius R and depth h between rough plates carries the force ``2 pi yield R**3 / (3 h)`` before it
    flows: wide thin fillings bear more than narrow thick ones. Crumb counts as a rough plate.

    References
    ----------
    .. [1] J. R. Scott, Transactions of the Institution of the Rubber Industry 7 (1931) 169.
    .. [2] Covey and Stanmore, Journal of Non-Newtonian Fluid Mechanics 8 (1981) 249, plastic limit.
    """
    require_range("yield stress", yield_pa, 0.0, 1e7, "Pa")
    require_range("half breadth", half_breadth_mm, 1.0, 1000.0, "mm")
    require_range("pressure", pressure_pa, 1e-6, 1e7, "Pa")
    return 2 / 3 * yield_pa * half_breadth_mm / pressure_pa


def dam_width_mm(pressure_pa: float, depth_mm: float, bearing_mm: float, dam_yield_pa: float) -> float:
    """
    Width of a dam that holds a filling which would otherwise squeeze out.

    Parameters
    ----------
    pressure_pa
        Load above the filling over its area. [Pa]
    depth_mm, bearing_mm
        Depth of the filling, and the depth that would hold by itself. [mm]
    dam_yield_pa
        Yield stress of the dam. [Pa], above 0

    Returns
    -------
    width
        0 where the filling holds by itself; ``pressure (1 - bearing/depth) depth / (2 dam yield)`` otherwise. [mm]

    Raises
    ------
    OutOfRange
        A dam without any strength.

    Notes
    -----
    Statics of a strip of dam: the part of the load that the filling's own strength does not carry pushes outward over
    the dam's depth; shear at its top and bottom face, each as wide as the dam, holds it.
    """
    require_range("yield stress of the dam", dam_yield_pa, 1e-6, 1e7, "Pa")
    if depth_mm <= bearing_mm:
        return 0.0
    return pressure_pa * (1 - bearing_mm / depth_mm) * depth_mm / (2 * dam_yield_pa)


def sliding_share(yield_pa: float, pressure_pa: float) -> float:
    """
    Sideways force, as a share of the weight above, at which layers start to slide on a filling.

    Parameters
    ----------
    yield_pa
        Mean yield stress over the joint, dam included. [Pa]
    pressure_pa
        Load above it over its area. [Pa], above 0

    Returns
    -------
    share
        ``yield / pressure``, since shear is ``m a / A`` and pressure ``m g / A``: the acceleration over gravity. [-]

    Raises
    ------
    OutOfRange
        No load.
    """
    require_range("pressure", pressure_pa, 1e-6, 1e7, "Pa")
    return yield_pa / pressure_pa


def slump_thickness_mm(yield_pa: float, density_g_per_ml: float) -> float:
    """
    Thickest coat that stays on an upright side under its own weight.

    Parameters
    ----------
    yield_pa
        Yield stress of the coat. [Pa]
    density_g_per_ml
        [g/ml], 0.1 to 2

    Returns
    -------
    thickness
        ``yield / (density g)``. [mm]

    Raises
    ------
    OutOfRange
        A density that no coat has.

    References
    ----------
    .. [1] Lang and Rha, Journal of Texture Studies 12 (1981) 47: yield stress from the layer left on an upright plate.
    """
    require_range("density", density_g_per_ml, 0.1, 2.0, "g/ml")
    return yield_pa / (density_g_per_ml * 1000 * GRAVITY) * 1000


def warmest_c(holds: Callable[[float], bool], from_c: float) -> float | None:
    """
    Highest whole temperature below ``from_c`` at which something still holds, or None if not even at 4 C. [C]

    Parameters
    ----------
    holds
        Whether it holds at a temperature.
    from_c
        Where it does not. [C]
    """
    for temperature in range(int(from_c), 3, -1):
        if holds(float(temperature)):
            return float(temperature)
    return None
