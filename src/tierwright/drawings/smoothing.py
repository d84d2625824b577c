"""Quieting the grain of a picture without touching its edges: an edge-avoiding wavelet filter.

Light is parted from colour first, so that only light is smoothed; where surfaces, their slope or their colour change,
nothing is mixed.

References
----------
.. [1] Dammertz, Sewtz, Hanika and Lensch, "Edge-avoiding a-trous wavelet transform for fast global illumination
   filtering", High Performance Graphics (2010), pp. 67-75.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

Field = npt.NDArray[np.float32]

KERNEL: Final = (1 / 16, 1 / 4, 3 / 8, 1 / 4, 1 / 16)
"""The B3 spline's taps, as in [1]."""
STEPS: Final = (1, 2, 4)
LIGHT: Final = 1.6
"""How far light may differ from its neighbour's and still be mixed with it, halved with every step. [-] By eye."""
SLOPE: Final = 0.12
PLACE_MM: Final = 9.0
COLOUR: Final = 0.04
LEAST: Final = 0.02


def quieted(light: Field, colour: Field, slope: Field, place_mm: Field) -> Field:
    """
    Return a picture with less grain.

    Parameters
    ----------
    light
        The picture, linear. [-]
    colour, slope, place_mm
        Colour, direction of the surface and place in space of what each point shows. [-], [-], [mm]

    Returns
    -------
    picture
        An even picture comes back as it was.
    """
    under = np.maximum(colour, LEAST)
    now = (light / under).astype(np.float32)
    for number, step in enumerate(STEPS):
        now = _passed(now, colour, slope, place_mm, step, LIGHT / 2**number)
    return (now * under).astype(np.float32)


def _passed(now: Field, colour: Field, slope: Field, place_mm: Field, step: int, loose: float) -> Field:
    total = np.zeros_like(now)
    weight = np.zeros((*now.shape[:2], 1), dtype=np.float32)
    bright = np.log1p(np.maximum(now, 0.0)).mean(axis=2, keepdims=True)
    for i, across in enumerate(KERNEL):
        for j, down in enumerate(KERNEL):
            by = ((i - 2) * step, (j - 2) * step)
            share = (
                across
                * down
                * np.exp(
                    -(((bright - _moved(bright, by)) / loose) ** 2)
                    - _far(slope, by) / SLOPE**2
                    - _far(colour, by) / COLOUR**2
                    - _far(place_mm, by) / (PLACE_MM * step) ** 2
                )
            )
            total += share * _moved(now, by)
            weight += share
    return np.asarray(total / weight, dtype=np.float32)


def _moved(field: Field, by: tuple[int, int]) -> Field:
    """Return a field moved by whole points; its rim is repeated."""
    high, wide = field.shape[:2]
    rows = np.clip(np.arange(high) + by[0], 0, high - 1)
    columns = np.clip(np.arange(wide) + by[1], 0, wide - 1)
    return field[rows][:, columns]


def _far(field: Field, by: tuple[int, int]) -> Field:
    return np.asarray(((field - _moved(field, by)) ** 2).sum(axis=2, keepdims=True), dtype=np.float32)
