"""Air pressure and boiling water against the documents that define them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.errors import OutOfRange
from tierwright.water import air_pressure_pa, boiling_point_c, latent_heat_j_kg, saturation_pressure_pa

# IAPWS R7-97(2012), Table 35: computer-program check values of the saturation pressure.
IAPWS_TABLE_35 = [(300.0, 0.353658941e-2), (500.0, 0.263889776e1), (600.0, 0.123443146e2)]
# IAPWS R7-97(2012), Table 36: computer-program check values of the saturation temperature.
IAPWS_TABLE_36 = [(0.1e6, 372.755919), (1.0e6, 453.035632), (10.0e6, 584.149488)]
# U.S. Standard Atmosphere 1976, main tables, by geometric altitude.
STANDARD_ATMOSPHERE = [
    (0, 101325),
    (500, 95461),
    (1000, 89876),
    (1500, 84560),
    (2000, 79501),
    (3000, 70121),
    (4000, 61660),
]
# Colorado State University Extension, high-altitude food preparation: feet and whole degrees Fahrenheit.
GUIDANCE_FEET_DEGF = [(2000, 208), (5000, 203), (7500, 198), (10_000, 194)]
# Steam tables (IAPWS-97 as printed): latent heat at saturation, kJ/kg.
STEAM_TABLE_LATENT = [(0.01, 2500.9), (25.0, 2441.7), (60.0, 2357.7), (100.0, 2256.5)]
kitchens = st.floats(min_value=-500.0, max_value=6000.0)


@pytest.mark.parametrize(("kelvin", "published_mpa"), IAPWS_TABLE_35)
def test_saturation_pressure_matches_iapws_check_values(kelvin: float, published_mpa: float) -> None:
    # Nine digits are printed.
    assert saturation_pressure_pa(kelvin - 273.15) / 1e6 == pytest.approx(published_mpa, rel=2e-9)


@pytest.mark.parametrize(("pressure", "published"), IAPWS_TABLE_36)
def test_boiling_point_matches_iapws_check_values(pressure: float, published: float) -> None:
    # Printed to 1 uK, so half of that is the whole allowance.
    assert boiling_point_c(pressure) + 273.15 == pytest.approx(published, abs=5.1e-7)


def test_vapour_over_ice_matches_iapws_check_value() -> None:
    # IAPWS R14-08(2011), section 6: 8.94735 Pa at 230 K, six digits printed.
    assert saturation_pressure_pa(230.0 - 273.15) == pytest.approx(8.94735, rel=1e-6)


def test_ice_and_water_meet_at_the_triple_point() -> None:
    assert saturation_pressure_pa(0.01 - 1e-9) == pytest.approx(saturation_pressure_pa(0.01 + 1e-9), rel=1e-4)


@pytest.mark.parametrize(("metres", "pascal"), STANDARD_ATMOSPHERE)
def test_pressure_matches_the_standard_atmosphere(metres: float, pascal: float) -> None:
    # Printed to whole pascals.
    assert air_pressure_pa(metres) == pytest.approx(pascal, abs=0.6)


@pytest.mark.parametrize(("celsius", "kilojoule"), STEAM_TABLE_LATENT)
def test_latent_heat_matches_steam_tables(celsius: float, kilojoule: float) -> None:
    # Printed to 0.1 kJ/kg; the supplementary release differs from the industrial one, most at 0 degC.
    assert latent_heat_j_kg(celsius) / 1000 == pytest.approx(kilojoule, abs=0.3)


@pytest.mark.parametrize(("feet", "fahrenheit"), GUIDANCE_FEET_DEGF)
def test_agrees_with_kitchen_guidance(feet: float, fahrenheit: float) -> None:
    celsius = boiling_point_c(air_pressure_pa(feet * 0.3048))
    assert celsius * 9 / 5 + 32 == pytest.approx(fahrenheit, abs=0.6)


def test_agrees_with_coolprop() -> None:
    props = pytest.importorskip("CoolProp.CoolProp")
    for celsius in (5.0, 20.0, 60.0, 95.0, 120.0):
        kelvin = celsius + 273.15
        assert saturation_pressure_pa(celsius) == pytest.approx(
            props.PropsSI("P", "T", kelvin, "Q", 0, "Water"), rel=1e-4
        )
        vapour, liquid = (props.PropsSI("H", "T", kelvin, "Q", q, "Water") for q in (1, 0))
        assert latent_heat_j_kg(celsius) == pytest.approx(vapour - liquid, rel=2e-4)


@given(low=kitchens, high=kitchens)
def test_higher_kitchens_never_boil_hotter(low: float, high: float) -> None:
    low, high = sorted((low, high))
    # Two heights a hair apart differ by less than the arithmetic can tell.
    assert boiling_point_c(air_pressure_pa(high)) <= boiling_point_c(air_pressure_pa(low)) + 1e-9


@given(st.floats(min_value=0.011, max_value=370.0))
def test_boiling_undoes_saturation(celsius: float) -> None:
    assert boiling_point_c(saturation_pressure_pa(celsius)) == pytest.approx(celsius, abs=1e-5)


@pytest.mark.parametrize("metres", [-501.0, 6001.0, float("nan")])
def test_refuses_altitudes_without_kitchens(metres: float) -> None:
    with pytest.raises(OutOfRange, match="altitude"):
        air_pressure_pa(metres)


def test_refuses_pressures_off_the_saturation_line() -> None:
    with pytest.raises(OutOfRange, match="pressure"):
        boiling_point_c(600.0)
    with pytest.raises(OutOfRange, match="temperature"):
        saturation_pressure_pa(400.0)
    with pytest.raises(OutOfRange, match="temperature"):
        latent_heat_j_kg(-5.0)
