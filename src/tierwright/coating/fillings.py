"""What goes inside: fillings with their dams, and the soak."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.coating.areas import MM2_PER_CM2, MM3_PER_ML, ring_area_mm2
from tierwright.errors import require_range
from tierwright.ranges import through
from tierwright.shapes import Outline
from tierwright.working import NOTHING, Estimate

DEEPEST_FILLING_MM = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FillingVolumes:
    """Volume of all fillings of a tier without the dam, and of the dams. [ml]"""

    filling_ml: Estimate
    dam_ml: Estimate


def filling_volumes(outline: Outline, depth_mm: float, gaps: int, dam_width_mm: Estimate | None) -> FillingVolumes:
    """
    Volume of the fillings of one tier.

    Parameters
    ----------
    outline
        The cake's outline; a dam runs along its inside edge.
    depth_mm
        Depth of each filling; the dam is as high. [mm], 0 to 40
    gaps
        Number of fillings, 0 to 20.
    dam_width_mm
        Width of the piped ring, or None for no dam. [mm]

    Returns
    -------
    volumes
        ``gaps x depth x (A - ring)`` and ``gaps x depth x ring``; the filling's volume is uncertain by 10 % either way,
        since a spatula is no gauge.

    Raises
    ------
    OutOfRange
        A depth or a number outside its range.
    """
    require_range("depth of the filling", depth_mm, 0.0, DEEPEST_FILLING_MM, "mm", outline.describe())
    require_range("number of fillings", gaps, 0, 20, "", outline.describe())
    per_mm2 = gaps * depth_mm / MM3_PER_ML
    if per_mm2 == 0:
        return FillingVolumes(filling_ml=NOTHING, dam_ml=NOTHING)
    dam = NOTHING if dam_width_mm is None else through(lambda width: ring_area_mm2(outline, width), dam_width_mm)
    inside = outline.area_mm2 - dam.value
    return FillingVolumes(filling_ml=Estimate.within(inside * per_mm2, 0.10), dam_ml=dam * per_mm2)


def soaked_sides(layers: int) -> int:
    """Cut sides that are brushed: top and bottom of every layer but the underside that lies on the board."""
    return max(0, 2 * layers - 1)


def soak_ml(outline: Outline, layers: int, ml_per_cm2: Estimate) -> Estimate:
    """
    Syrup that the layers of a tier take up.

    Parameters
    ----------
    outline, layers
        The cake, and how many layers it has.
    ml_per_cm2
        Syrup on one cut side. [ml/cm2], 0 to 1

    Returns
    -------
    volume
        ``(2 layers - 1) x A x rate``; it soaks in and adds mass, no height. [ml]

    Raises
    ------
    OutOfRange
        A rate outside 0 to 1 ml/cm2: a wet sponge holds no more.
    """
    require_range("soak", ml_per_cm2.high, 0.0, 1.0, "ml/cm2", outline.describe())
    require_range("soak", ml_per_cm2.low, 0.0, 1.0, "ml/cm2", outline.describe())
    return ml_per_cm2 * (soaked_sides(layers) * outline.area_mm2 / MM2_PER_CM2)
