"""Colours as numbers: sRGB, XYZ, CIELAB and hue, what sets two colours apart, and whether letters can be read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from math import atan2, degrees, hypot
from typing import Final

import numpy as np
import numpy.typing as npt

from tierwright.errors import require_range

FloatArray = npt.NDArray[np.float64]

_HEX: Final = re.compile(r"#([0-9a-fA-F]{3}|[0-9a-fA-F]{6})")
_LAB: Final = re.compile(r"lab\s*\(?\s*(-?\d+(?:\.\d+)?)[\s,]+(-?\d+(?:\.\d+)?)[\s,]+(-?\d+(?:\.\d+)?)\s*\)?", re.I)

# Chromaticities of the whites: CIE 15:2018, table 11.3, 2-degree observer; D65 as IEC 61966-2-1 rounds it.
_WHITE_XY: Final = {"D65": (0.3127, 0.3290), "D50": (0.34567, 0.35850)}
# IEC 61966-2-1:1999, red, green and blue of sRGB.
_SRGB_XY: Final = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
# Lam's cone-like matrix, as used by ICC.1:2022, annex E.
_BRADFORD: Final = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])

LARGE_PER_DISTANCE: Final = 24.0 / 96.0 / 28.0
"""Size of type over reading distance from which WCAG counts it as large: 18 pt, 24 px of 1/96 in, at arm's length of
28 in (CSS Values and Units 4, reference pixel). [-]"""
RATIO_LARGE: Final = 3.0
RATIO_ANY: Final = 4.5
"""Least contrast of large letters and of any letters: WCAG 2.2, success criterion 1.4.3. [-]"""


class White(StrEnum):
    """The light to which a measured colour refers."""

    D65 = "D65"  # daylight; sRGB and this program
    D50 = "D50"  # the graphic trade's: many instruments answer in it


def _xyz_of_xy(x: float, y: float) -> FloatArray:
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def _matrix_to_xyz(primaries: tuple[tuple[float, float], ...], white: FloatArray) -> FloatArray:
    """Return the matrix from linear red, green, blue to XYZ: the three primaries scaled to add up to the white."""
    columns = np.stack([_xyz_of_xy(x, y) for x, y in primaries], axis=1)
    return np.asarray(columns * np.linalg.solve(columns, white), dtype=np.float64)


WHITES: Final = {White(name): _xyz_of_xy(*xy) for name, xy in _WHITE_XY.items()}
_SRGB_TO_XYZ: Final = _matrix_to_xyz(_SRGB_XY, WHITES[White.D65])
_XYZ_TO_SRGB: Final = np.linalg.inv(_SRGB_TO_XYZ)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lab:
    """
    A colour in CIELAB under D65, 2-degree observer.

    Attributes
    ----------
    lightness
        L*: 0 black to 100 white.
    a
        a*: towards red above nought, towards green below.
    b
        b*: towards yellow above nought, towards blue below.

    Raises
    ------
    OutOfRange
        A lightness outside 0 to 100, or an a* or b* beyond 128 either way.
    """

    lightness: float
    a: float
    b: float

    def __post_init__(self) -> None:
        require_range("lightness", self.lightness, 0.0, 100.0, "L*")
        require_range("a*", self.a, -128.0, 128.0, "")
        require_range("b*", self.b, -128.0, 128.0, "")

    @property
    def chroma(self) -> float:
        """C*: how far from grey."""
        return hypot(self.a, self.b)

    @property
    def hue_deg(self) -> float:
        """Hue angle: 0 red, 90 yellow, 180 green, 270 blue; 0 for a grey. [deg], 0 to 360"""
        return degrees(atan2(self.b, self.a)) % 360.0

    def array(self) -> FloatArray:
        """Return L*, a*, b* as an array."""
        return np.array([self.lightness, self.a, self.b])

    @classmethod
    def of(cls, values: FloatArray) -> Lab:
        """Return a colour of an array; what rounding put a hair outside comes back in."""
        lightness, a, b = (float(value) for value in values)
        return cls(lightness=min(100.0, max(0.0, lightness)), a=a, b=b)

    def describe(self) -> str:
        """Return the three numbers as a person writes them down, such as ``lab 93.1 0.4 14.2``."""
        return "lab " + " ".join(f"{round(value, 1) + 0.0:g}" for value in (self.lightness, self.a, self.b))


# --- arrays: the last axis holds the three numbers -------------------------------------------------------------------


def lab_of_xyz(xyz: FloatArray, white: White = White.D65) -> FloatArray:
    """
    Return CIELAB of XYZ, white being Y = 1.

    References
    ----------
    .. [1] ISO/CIE 11664-4:2019, eq. 1 to 8.
    """
    t = xyz / WHITES[white]
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), (841 / 108) * t + 4 / 29)
    return np.stack(
        [116.0 * f[..., 1] - 16.0, 500.0 * (f[..., 0] - f[..., 1]), 200.0 * (f[..., 1] - f[..., 2])], axis=-1
    )


def xyz_of_lab(lab: FloatArray, white: White = White.D65) -> FloatArray:
    """
    Return XYZ of CIELAB, white being Y = 1.

    References
    ----------
    .. [1] ISO/CIE 11664-4:2019, annex A.
    """
    fy = (lab[..., 0] + 16.0) / 116.0
    f = np.stack([fy + lab[..., 1] / 500.0, fy, fy - lab[..., 2] / 200.0], axis=-1)
    t = np.where(f > 6 / 29, f**3, (108 / 841) * (f - 4 / 29))
    return np.asarray(t * WHITES[white])


def adapted(xyz: FloatArray, source: White, target: White) -> FloatArray:
    """
    Return XYZ as it would look the same under another white (linear Bradford).

    References
    ----------
    .. [1] ICC.1:2022, annex E.
    """
    if source is target:
        return xyz
    ratio = (_BRADFORD @ WHITES[target]) / (_BRADFORD @ WHITES[source])
    matrix = np.linalg.inv(_BRADFORD) @ (ratio[:, None] * _BRADFORD)
    return np.asarray(xyz @ matrix.T)


def xyz_of_srgb(srgb: FloatArray) -> FloatArray:
    """
    Return XYZ of sRGB, each channel 0 to 1.

    References
    ----------
    .. [1] IEC 61966-2-1:1999, eq. 5 to 7; the matrix is worked from its primaries, not its four rounded digits.
    """
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((np.maximum(srgb, 0.0) + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ _SRGB_TO_XYZ.T)


def srgb_of_xyz(xyz: FloatArray) -> FloatArray:
    """Return sRGB of XYZ, each channel; below 0 or above 1 where a screen cannot show the colour."""
    linear = xyz @ _XYZ_TO_SRGB.T
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * np.maximum(linear, 0.0) ** (1 / 2.4) - 0.055)


def ciede2000(first: FloatArray, second: FloatArray) -> FloatArray:
    """
    Return CIEDE2000 between CIELAB colours, with the parametric factors 1.

    References
    ----------
    .. [1] ISO/CIE 11664-6:2014.
    .. [2] Sharma, Wu and Dalal, The CIEDE2000 color-difference formula: implementation notes, supplementary test data,
       and mathematical observations, Color Res. Appl. 30 (2005) 21, eq. 2 to 22.
    """
    L1, a1, b1 = (first[..., i] for i in range(3))
    L2, a2, b2 = (second[..., i] for i in range(3))
    mean_chroma = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0
    G = 0.5 * (1.0 - np.sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7)))
    a1, a2 = (1.0 + G) * a1, (1.0 + G) * a2
    C1, C2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360.0, np.degrees(np.arctan2(b2, a2)) % 360.0
    grey = C1 * C2 == 0.0
    turn = h2 - h1
    turn = np.where(turn > 180.0, turn - 360.0, np.where(turn < -180.0, turn + 360.0, turn))
    turn = np.where(grey, 0.0, turn)
    dL, dC = L2 - L1, C2 - C1
    dH = 2.0 * np.sqrt(C1 * C2) * np.sin(np.radians(turn / 2.0))
    total = h1 + h2
    around = np.where(total < 360.0, total + 360.0, total - 360.0)
    hue = np.where(grey, total, np.where(np.abs(h1 - h2) > 180.0, around, total) / 2.0)
    L, C = (L1 + L2) / 2.0, (C1 + C2) / 2.0
    T = (
        1.0
        - 0.17 * np.cos(np.radians(hue - 30.0))
        + 0.24 * np.cos(np.radians(2.0 * hue))
        + 0.32 * np.cos(np.radians(3.0 * hue + 6.0))
        - 0.20 * np.cos(np.radians(4.0 * hue - 63.0))
    )
    rotation = 30.0 * np.exp(-(((hue - 275.0) / 25.0) ** 2))
    R_T = -2.0 * np.sqrt(C**7 / (C**7 + 25.0**7)) * np.sin(np.radians(2.0 * rotation))
    S_L = 1.0 + 0.015 * (L - 50.0) ** 2 / np.sqrt(20.0 + (L - 50.0) ** 2)
    S_C, S_H = 1.0 + 0.045 * C, 1.0 + 0.015 * C * T
    squared = (dL / S_L) ** 2 + (dC / S_C) ** 2 + (dH / S_H) ** 2 + R_T * (dC / S_C) * (dH / S_H)
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)))


# --- single colours --------------------------------------------------------------------------------------------------


def delta_e_2000(first: Lab, second: Lab) -> float:
    """Return CIEDE2000 between two colours: about 1 is just seen side by side, below 3 passes for the same."""
    return float(ciede2000(first.array(), second.array()))


def delta_e_76(first: Lab, second: Lab) -> float:
    """Return the straight distance in CIELAB (CIE 1976)."""
    return float(np.linalg.norm(first.array() - second.array()))


def lab_of_hex(text: str) -> Lab:
    """
    Return the colour of an sRGB hex such as ``#f4ead2`` or ``#fed``.

    Raises
    ------
    ValueError
        The text is no such colour.
    """
    match = _HEX.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"a colour such as '#f4ead2', not {text!r}")
    digits = match[1] if len(match[1]) == 6 else "".join(digit * 2 for digit in match[1])
    srgb = np.array([int(digits[i : i + 2], 16) for i in (0, 2, 4)]) / 255.0
    return Lab.of(lab_of_xyz(xyz_of_srgb(srgb)))


def hex_of_lab(lab: Lab) -> str:
    """Return the sRGB hex of a colour, each channel cut off where a screen cannot follow."""
    srgb = np.clip(srgb_of_xyz(xyz_of_lab(lab.array())), 0.0, 1.0)
    return "#" + "".join(f"{round(float(channel) * 255):02x}" for channel in srgb)


def is_on_screen(lab: Lab) -> bool:
    """Whether sRGB holds the colour, so that a screen or a photograph can show it."""
    srgb = srgb_of_xyz(xyz_of_lab(lab.array()))
    return bool(np.all((srgb > -0.002) & (srgb < 1.002)))


def to_d65(lab: Lab, white: White) -> Lab:
    """Return a colour that was measured under another white as this program keeps it."""
    if white is White.D65:
        return lab
    return Lab.of(lab_of_xyz(adapted(xyz_of_lab(lab.array(), white), white, White.D65)))


def read_colour(text: str) -> Lab | None:
    """
    Read ``#f4ead2`` or ``lab 93 0 14``; None for anything else, such as the name of a recorded mix.

    Raises
    ------
    OutOfRange
        Three numbers that are no colour.
    """
    plain = text.strip()
    if _HEX.fullmatch(plain):
        return lab_of_hex(plain)
    match = _LAB.fullmatch(plain)
    return Lab(lightness=float(match[1]), a=float(match[2]), b=float(match[3])) if match else None


# --- reading letters -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """
    How letters stand out from what is behind them.

    Attributes
    ----------
    ratio
        Contrast by WCAG 2.2, 1 to 21.
    needed
        The least that the same standard asks for at this size and distance.
    lightness_difference
        Difference of L*, for the eye of somebody who sees no hue.
    """

    ratio: float
    needed: float
    lightness_difference: float

    @property
    def reads(self) -> bool:
        """Whether the letters can be read by most people."""
        return self.ratio >= self.needed


def luminance(lab: Lab) -> float:
    """Relative luminance of a colour as a screen shows it, 0 to 1 (WCAG 2.2)."""
    srgb = np.clip(srgb_of_xyz(xyz_of_lab(lab.array())), 0.0, 1.0)
    return float(xyz_of_srgb(srgb)[1])


def contrast(letters: Lab, ground: Lab, *, size_mm: float, distance_mm: float = 1500.0) -> Contrast:
    """
    Compare letters with the ground they stand on.

    Parameters
    ----------
    letters, ground
        The two colours.
    size_mm
        Size of type, from line to line of solid text; about 1.5 times the height of a capital. [mm], 1 to 1000
    distance_mm
        From how far it is read; across a cake table, unless told. [mm], 100 to 20000

    Returns
    -------
    contrast
        Ratio, the ratio that is needed, and the difference of lightness.

    References
    ----------
    .. [1] W3C, WCAG 2.2 (2023), success criterion 1.4.3 and the definitions of contrast ratio, relative luminance and
       large scale; a screen's criterion, taken over to a board by the angle that the letters fill.
    """
    require_range("size of type", size_mm, 1.0, 1000.0, "mm")
    require_range("reading distance", distance_mm, 100.0, 20000.0, "mm")
    light, dark = sorted((luminance(letters), luminance(ground)), reverse=True)
    return Contrast(
        ratio=(light + 0.05) / (dark + 0.05),
        needed=RATIO_LARGE if size_mm / distance_mm >= LARGE_PER_DISTANCE else RATIO_ANY,
        lightness_difference=abs(letters.lightness - ground.lightness),
    )
