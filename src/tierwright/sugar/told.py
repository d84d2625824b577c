"""Temperatures in sentences: both scales, so that a sentence reads the same in every kitchen."""

from __future__ import annotations


def degrees(celsius: float, digits: int = 0) -> str:
    """
    Say a temperature.

    Parameters
    ----------
    celsius
        Temperature. [C]
    digits
        Digits after the point of the Celsius value.

    Returns
    -------
    words
        Such as ``22 C (72 F)``.
    """
    return f"{celsius:.{digits}f} C ({celsius * 1.8 + 32:.0f} F)"


def step(kelvin: float) -> str:
    """
    Say a difference of temperature.

    Parameters
    ----------
    kelvin
        Difference, its sign left out. [K]

    Returns
    -------
    words
        Such as ``5 C (9 F)``.
    """
    return f"{abs(kelvin):.0f} C ({abs(kelvin) * 1.8:.0f} F)"
