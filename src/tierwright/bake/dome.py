"""How high a cake ends at its edge and in its middle: batter stays level until it sets, and the edge sets first."""

from __future__ import annotations

from typing import Final

import numpy as np

from tierwright.heat import History

SET_C: Final = 85.0
"""Where crumb stops flowing: egg sets from about 80 degC, starch in sweet batter between 80 and 95 degC. [degC]"""


def finished_profile(history: History) -> tuple[float, float]:
    """
    Finished height at the edge and in the middle.

    Parameters
    ----------
    history
        A bake of one band of batter in a pan.

    Returns
    -------
    edge_mm, centre_mm
        Heights over the pan's floor. [mm]

    Notes
    -----
    Every ring of batter is fluid until its mean temperature passes 85 degC. Fluid rings share one level; a ring that
    sets keeps the level of that moment and the mass that stands in it, so what has not set has more or less batter to
    lift. Volume follows the expansion that the march computed; mass is conserved. The edge's height is the mean of the
    outer fifth of the radius, the middle's that of the inner fifth. A model of one idea: take the dome to half its
    value either way.
    """
    grid = history.grid
    first = 1 if grid.has_pan else 0
    outer = grid.shape[0] - (1 if grid.has_pan else 0)
    inner = 1 if grid.body.insert is not None else 0
    rings = slice(inner, outer)
    area = grid.areas[rings]
    first_height = grid.thickness[inner, first:].sum()
    expansion = history.heights_m[:, rings] / first_height
    weights = grid.dry[rings, first:]
    mean = (history.celsius[:, rings, first:] * weights).sum(axis=2) / weights.sum(axis=1)
    count = area.size
    mass = area.copy()  # in units of batter depth times area
    level = np.full(count, first_height)
    fluid = np.ones(count, dtype=bool)
    hot = mean >= SET_C
    # While nothing sets, the level only follows the last record; so only records where a ring sets, and the end, count.
    end = mean.shape[0] - 1
    for n in np.unique(np.where(hot.any(axis=0), hot.argmax(axis=0), end)):
        total = float(mass[fluid].sum())
        lift = float((mass[fluid] * expansion[n][fluid]).sum()) / total
        height = first_height * total * lift / float(area[fluid].sum())
        level[fluid] = height
        setting = fluid & hot[n]
        if setting.any():
            kept = height / first_height * area[setting] / expansion[n][setting]
            left = fluid & ~setting
            if left.any():
                share = (total - float(kept.sum())) / float(mass[left].sum())
                mass[left] *= max(share, 0.05)
            mass[setting] = kept
            fluid = left
    radius = (grid.radii[1:] + grid.radii[:-1])[rings] / 2.0
    edge_radius = grid.body.radius_mm / 1000.0
    rim = radius >= 0.8 * edge_radius
    middle = radius <= max(0.2 * edge_radius, radius[0] + 1e-9)
    edge = float(np.average(level[rim], weights=area[rim]))
    centre = float(np.average(level[middle], weights=area[middle]))
    return edge * 1000.0, max(centre, edge) * 1000.0
