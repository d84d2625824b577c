"""Films of air against worked examples of the textbook."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.errors import OutOfRange
from tierwright.heat import Face, air, moving_air_film, still_air_film


def test_incropera_example_9_2() -> None:
    # Incropera and DeWitt, 6th ed., ex. 9.2: fire screen 0.71 m high, 232 degC in 23 degC: Nu 147, h 7.0 W/(m2 K).
    assert still_air_film(Face.SIDE, 710.0, 232.0, 23.0) == pytest.approx(7.0, abs=0.15)


def test_incropera_example_7_1() -> None:
    # Incropera and DeWitt, 6th ed., ex. 7.1: air at 300 degC and 6 kPa, 10 m/s over 0.5 m at 27 degC: 4.18 W/(m2 K).
    assert moving_air_film(500.0, 10.0, 27.0, 300.0, 6000.0) == pytest.approx(4.18, rel=0.02)


# Incropera and DeWitt, table A.4, air at 1 atm: K, nu 1e-6 m2/s, k 1e-3 W/(m K), Pr.
TABLE_A4 = [(250, 11.44, 22.3, 0.720), (300, 15.89, 26.3, 0.707), (350, 20.92, 30.0, 0.700), (450, 32.39, 37.3, 0.686)]


@pytest.mark.parametrize(("kelvin", "nu", "k", "prandtl"), TABLE_A4)
def test_air(kelvin: float, nu: float, k: float, prandtl: float) -> None:
    here = air(kelvin - 273.15)
    # Two tables of air differ by as much.
    assert here.viscosity_m2_s * 1e6 == pytest.approx(nu, rel=0.025)
    assert here.conductivity_w_mk * 1e3 == pytest.approx(k, rel=0.02)
    assert here.prandtl == pytest.approx(prandtl, rel=0.03)


def test_kitchen_sense() -> None:
    # Incropera and DeWitt, table 1.1: free convection in gases 2 to 25, forced 25 to 250 W/(m2 K).
    assert 2.0 < still_air_film(Face.SIDE, 100.0, 4.0, 22.0) < 6.0
    assert still_air_film(Face.SHUT_IN, 250.0, 4.0, 22.0) < still_air_film(Face.OPEN_UP, 250.0, 4.0, 22.0)
    assert 5.0 < moving_air_film(200.0, 1.0, 4.0, 22.0) < 25.0


@given(st.floats(0.05, 10.0), st.floats(0.05, 10.0))
def test_more_wind_never_takes_less(slow: float, fast: float) -> None:
    slow, fast = sorted((slow, fast))
    assert moving_air_film(200.0, slow, 4.0, 22.0) <= moving_air_film(200.0, fast, 4.0, 22.0) * (1 + 1e-12)


@given(st.floats(0.0, 200.0), st.floats(0.0, 200.0))
def test_larger_difference_never_takes_less(small: float, large: float) -> None:
    small, large = sorted((small, large))
    # The film's own temperature moves its properties a little the other way.
    low, high = (still_air_film(Face.SIDE, 150.0, 20.0 + d, 20.0) for d in (small, large))
    assert low <= high * 1.02


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="size"):
        still_air_film(Face.SIDE, 5.0, 4.0, 22.0)
    with pytest.raises(OutOfRange, match="speed"):
        moving_air_film(200.0, 100.0, 4.0, 22.0)
    with pytest.raises(OutOfRange, match="air temperature"):
        air(400.0)
