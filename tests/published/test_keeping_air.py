"""Moist air against the equations and the example of ASHRAE Handbook Fundamentals, by an independent library."""

from __future__ import annotations

import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import OutOfRange
from tierwright.keeping.air import dew_point_c, moist_air, vapour_flux_kg_m2s
from tierwright.water import air_pressure_pa, saturation_pressure_pa

psychrolib.SetUnitSystem(psychrolib.SI)

# ASHRAE Fundamentals ch. 1 equations, by psychrolib: dry bulb [C], humidity, dew point [C].
DEW = [(25, 0.50, 13.86), (30, 0.60, 21.39), (20, 0.60, 12.01), (35, 0.40, 19.38)]


@pytest.mark.parametrize(("dry_bulb", "humidity", "dew"), DEW)
def test_dew_points_as_published(dry_bulb: float, humidity: float, dew: float) -> None:
    # Printed to a hundredth.
    assert moist_air(dry_bulb, humidity).dew_point_c == pytest.approx(dew, abs=0.01)


def test_the_printed_example_of_ashrae() -> None:
    # 40 C dry bulb, 20 C wet bulb, 101325 Pa: dew point 7 C, humidity 14 %, W 6.5 g/kg read from the chart.
    humidity = psychrolib.GetRelHumFromTWetBulb(40.0, 20.0, 101325.0)
    air = moist_air(40.0, humidity)
    assert air.dew_point_c == pytest.approx(7.0, abs=0.5)  # chart reading
    assert air.ratio_kg_kg * 1000 == pytest.approx(6.5, abs=0.15)
    assert humidity == pytest.approx(0.14, abs=0.005)


def test_saturated_air_at_25_c() -> None:
    # ASHRAE table 2 has 0.0201 to 0.0202 with the real gas's factor of about 0.5 %.
    assert moist_air(25.0, 1.0).ratio_kg_kg == pytest.approx(0.0201, rel=0.005)


@settings(max_examples=60, deadline=None)
@given(dry_bulb=st.floats(1, 45), humidity=st.floats(0.1, 1.0), altitude=st.floats(0, 3000))
def test_agrees_with_psychrolib(dry_bulb: float, humidity: float, altitude: float) -> None:
    pressure = air_pressure_pa(altitude)
    air = moist_air(dry_bulb, humidity, pressure)
    # The two saturation lines (IAPWS, Hyland and Wexler) part by less than 0.1 %.
    assert air.ratio_kg_kg == pytest.approx(psychrolib.GetHumRatioFromRelHum(dry_bulb, humidity, pressure), rel=2e-3)
    if air.dew_point_c > 0.5:
        assert air.dew_point_c == pytest.approx(psychrolib.GetTDewPointFromRelHum(dry_bulb, humidity), abs=0.03)


@given(st.floats(-40, 60))
def test_dew_point_turns_saturation_round(celsius: float) -> None:
    assert dew_point_c(saturation_pressure_pa(celsius)) == pytest.approx(celsius, abs=1e-6)


@given(dry_bulb=st.floats(0, 50), low=st.floats(0, 1), high=st.floats(0, 1))
def test_damper_air_has_a_higher_dew_point(dry_bulb: float, low: float, high: float) -> None:
    low, high = sorted((low, high))
    assert moist_air(dry_bulb, low).dew_point_c <= moist_air(dry_bulb, high).dew_point_c


def test_a_face_above_the_dew_point_stays_dry() -> None:
    air = moist_air(25.0, 0.5)
    assert vapour_flux_kg_m2s(5.0, air.vapour_pa, air.dew_point_c + 0.01, 101325.0) < 0
    assert vapour_flux_kg_m2s(5.0, air.vapour_pa, air.dew_point_c - 0.01, 101325.0) > 0


def test_heat_and_vapour_of_a_wet_face_balance_at_the_wet_bulb() -> None:
    # A wet thermometer stands where what dries takes the heat that the air brings: Lewis's relation, within 3 % of
    # the thermodynamic wet bulb's depression.
    dry_bulb, humidity, h = 30.0, 0.4, 10.0
    wet = psychrolib.GetTWetBulbFromRelHum(dry_bulb, humidity, 101325.0)
    flux = vapour_flux_kg_m2s(h, moist_air(dry_bulb, humidity).vapour_pa, wet, 101325.0)
    assert -flux * 2.45e6 == pytest.approx(h * (dry_bulb - wet), rel=0.12)


def test_refusals() -> None:
    with pytest.raises(OutOfRange):
        moist_air(25.0, 1.01)
    with pytest.raises(OutOfRange):
        moist_air(70.0, 0.5)
