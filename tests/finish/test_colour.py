"""Colours as numbers: against the published pairs, the standards' own anchors, and colour-science."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tierwright.errors import OutOfRange
from tierwright.finish.colour import (
    LARGE_PER_DISTANCE,
    WHITES,
    Lab,
    White,
    adapted,
    ciede2000,
    contrast,
    delta_e_76,
    delta_e_2000,
    hex_of_lab,
    is_on_screen,
    lab_of_hex,
    lab_of_xyz,
    read_colour,
    srgb_of_xyz,
    to_d65,
    xyz_of_lab,
    xyz_of_srgb,
)

with warnings.catch_warnings():
    # The library warns about plotting packages that a test has no use for.
    warnings.simplefilter("ignore")
    import colour as colour_science

# Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21, table 1: all 34 pairs, printed to four decimals.
PAIRS = """
50.0000 2.6772 -79.7751 50.0000 0.0000 -82.7485 2.0425
50.0000 3.1571 -77.2803 50.0000 0.0000 -82.7485 2.8615
50.0000 2.8361 -74.0200 50.0000 0.0000 -82.7485 3.4412
50.0000 -1.3802 -84.2814 50.0000 0.0000 -82.7485 1.0000
50.0000 -1.1848 -84.8006 50.0000 0.0000 -82.7485 1.0000
50.0000 -0.9009 -85.5211 50.0000 0.0000 -82.7485 1.0000
50.0000 0.0000 0.0000 50.0000 -1.0000 2.0000 2.3669
50.0000 -1.0000 2.0000 50.0000 0.0000 0.0000 2.3669
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0009 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0010 7.1792
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0011 7.2195
50.0000 2.4900 -0.0010 50.0000 -2.4900 0.0012 7.2195
50.0000 -0.0010 2.4900 50.0000 0.0009 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0010 -2.4900 4.8045
50.0000 -0.0010 2.4900 50.0000 0.0011 -2.4900 4.7461
50.0000 2.5000 0.0000 50.0000 0.0000 -2.5000 4.3065
50.0000 2.5000 0.0000 73.0000 25.0000 -18.0000 27.1492
50.0000 2.5000 0.0000 61.0000 -5.0000 29.0000 22.8977
50.0000 2.5000 0.0000 56.0000 -27.0000 -3.0000 31.9030
50.0000 2.5000 0.0000 58.0000 24.0000 15.0000 19.4535
50.0000 2.5000 0.0000 50.0000 3.1736 0.5854 1.0000
50.0000 2.5000 0.0000 50.0000 3.2972 0.0000 1.0000
50.0000 2.5000 0.0000 50.0000 1.8634 0.5757 1.0000
50.0000 2.5000 0.0000 50.0000 3.2592 0.3350 1.0000
60.2574 -34.0099 36.2677 60.4626 -34.1751 39.4387 1.2644
63.0109 -31.0961 -5.8663 62.8187 -29.7946 -4.0864 1.2630
61.2901 3.7196 -5.3901 61.4292 2.2480 -4.9620 1.8731
35.0831 -44.1164 3.7933 35.0232 -40.0716 1.5901 1.8645
22.7233 20.0904 -46.6940 23.0331 14.9730 -42.5619 2.0373
36.4612 47.8580 18.3852 36.2715 50.5065 21.2231 1.4146
90.8027 -2.0831 1.4410 91.1528 -1.6435 0.0447 1.4441
90.9257 -0.5406 -0.9208 88.6381 -0.8985 -0.7239 1.5381
6.7747 -0.2908 -2.4247 5.8714 -0.0985 -2.2286 0.6377
2.0776 0.0795 -1.1350 0.9033 -0.0636 -0.5514 0.9082
"""
TABLE = [tuple(float(cell) for cell in line.split()) for line in PAIRS.strip().splitlines()]
HEXES = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}")
LABS = st.builds(Lab, lightness=st.floats(0, 100), a=st.floats(-100, 100), b=st.floats(-100, 100))


class TestPublished:
    def test_all_pairs_are_here(self) -> None:
        assert len(TABLE) == 34

    @pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row[6]}")
    def test_ciede2000(self, row: tuple[float, ...]) -> None:
        first, second = np.array(row[:3]), np.array(row[3:6])
        assert float(ciede2000(first, second)) == pytest.approx(row[6], abs=0.5e-4)
        assert float(ciede2000(second, first)) == pytest.approx(row[6], abs=0.5e-4)

    def test_white_and_black_of_srgb(self) -> None:
        # IEC 61966-2-1: white is D65 itself, so that it is without hue.
        white = lab_of_hex("#ffffff")
        assert (white.lightness, white.a, white.b) == pytest.approx((100.0, 0.0, 0.0), abs=1e-9)
        assert lab_of_hex("#000").array() == pytest.approx(np.zeros(3), abs=1e-9)

    def test_bradford_matrix_to_d50(self) -> None:
        # The matrix that ICC profiles of sRGB carry in their chad tag, as sRGB profiles print it.
        made = adapted(np.eye(3), White.D65, White.D50).T
        printed = [[1.0479, 0.0229, -0.0502], [0.0296, 0.9904, -0.0171], [-0.0092, 0.0151, 0.7519]]
        assert made == pytest.approx(np.array(printed), abs=1e-4)

    def test_wcag_anchors(self) -> None:
        # W3C: black on white is 21:1, and #767676 is the lightest grey that passes 4.5:1 on white.
        white = lab_of_hex("#fff")
        assert contrast(lab_of_hex("#000"), white, size_mm=10).ratio == pytest.approx(21.0, abs=1e-9)
        assert contrast(lab_of_hex("#767676"), white, size_mm=10).reads
        assert not contrast(lab_of_hex("#777777"), white, size_mm=10).reads


class TestAgainstColourScience:
    rng = np.random.default_rng(2)
    xyz = rng.uniform(0.002, 1.0, (200, 3))

    @pytest.mark.parametrize("white", White)
    def test_lab_of_xyz(self, white: White) -> None:
        xy = colour_science.XYZ_to_xy(WHITES[white])
        assert lab_of_xyz(self.xyz, white) == pytest.approx(colour_science.XYZ_to_Lab(self.xyz, xy), abs=1e-9)

    def test_srgb(self) -> None:
        srgb = self.rng.uniform(0, 1, (200, 3))
        # The library takes the standard's matrix of four decimals.
        assert xyz_of_srgb(srgb) == pytest.approx(colour_science.sRGB_to_XYZ(srgb), abs=2e-4)

    def test_adaptation(self) -> None:
        theirs = colour_science.chromatic_adaptation(
            self.xyz, WHITES[White.D50], WHITES[White.D65], method="Von Kries", transform="Bradford"
        )
        assert adapted(self.xyz, White.D50, White.D65) == pytest.approx(theirs, abs=1e-9)

    def test_differences(self) -> None:
        first = self.rng.uniform([0, -80, -80], [100, 80, 80], (2000, 3))
        second = first + self.rng.normal(0, 15, (2000, 3))
        assert ciede2000(first, second) == pytest.approx(colour_science.delta_E(first, second, "CIE 2000"), abs=1e-9)
        assert delta_e_76(Lab.of(first[0]), Lab.of(first[0] + 1)) == pytest.approx(
            float(colour_science.delta_E(first[0], first[0] + 1, "CIE 1976"))
        )

    def test_hue_and_chroma(self) -> None:
        lab = Lab(lightness=60, a=-30, b=-12)
        assert (lab.lightness, lab.chroma, lab.hue_deg) == pytest.approx(
            tuple(colour_science.models.Jab_to_JCh([60, -30, -12]))
        )


class TestLaws:
    @given(HEXES)
    def test_a_hex_comes_back(self, text: str) -> None:
        lab = lab_of_hex(text)
        assert hex_of_lab(lab) == text
        assert is_on_screen(lab)

    @given(LABS)
    def test_lab_comes_back_from_xyz(self, lab: Lab) -> None:
        assert lab_of_xyz(xyz_of_lab(lab.array())) == pytest.approx(lab.array(), abs=1e-9)
        if is_on_screen(lab):
            back = lab_of_xyz(xyz_of_srgb(np.clip(srgb_of_xyz(xyz_of_lab(lab.array())), 0, 1)))
            assert delta_e_76(Lab.of(back), lab) < 1.0  # a screen's edge may cut off a hair

    @given(LABS, LABS)
    def test_difference_is_mutual_and_nought_only_of_itself(self, one: Lab, other: Lab) -> None:
        assert delta_e_2000(one, other) == pytest.approx(delta_e_2000(other, one), abs=1e-9)
        assert delta_e_2000(one, one) == 0.0

    @given(HEXES, HEXES)
    def test_contrast_is_mutual_and_bounded(self, one: str, other: str) -> None:
        letters, ground = lab_of_hex(one), lab_of_hex(other)
        there, back = contrast(letters, ground, size_mm=5), contrast(ground, letters, size_mm=5)
        assert there == back
        assert 1.0 <= there.ratio <= 21.0 + 1e-9

    def test_large_letters_need_less(self) -> None:
        grey, white = lab_of_hex("#888"), lab_of_hex("#fff")
        just = LARGE_PER_DISTANCE * 1000.0
        assert contrast(grey, white, size_mm=just + 0.01, distance_mm=1000).reads
        assert not contrast(grey, white, size_mm=just - 0.01, distance_mm=1000).reads

    def test_same_colour_under_another_white(self) -> None:
        # An instrument that answers in D50 calls a perfect white L* 100 too.
        assert to_d65(Lab(lightness=100, a=0, b=0), White.D50).array() == pytest.approx([100, 0, 0], abs=1e-9)
        yellow = Lab(lightness=80, a=5, b=60)
        assert to_d65(yellow, White.D65) is yellow
        assert 0.5 < delta_e_76(to_d65(yellow, White.D50), yellow) < 8


class TestReading:
    def test_what_a_brief_may_hold(self) -> None:
        assert read_colour(" #FED ") == lab_of_hex("#ffeedd")
        assert read_colour("lab 93 0.5 -14") == Lab(lightness=93, a=0.5, b=-14)
        assert read_colour("Lab(93, 0.5, -14)") == Lab(lightness=93, a=0.5, b=-14)
        assert read_colour("boathouse blue") is None

    def test_three_numbers_that_are_no_colour(self) -> None:
        with pytest.raises(OutOfRange):
            read_colour("lab 130 0 0")

    @pytest.mark.parametrize("text", ["#12", "f4ead2", "#ggg", ""])
    def test_no_hex(self, text: str) -> None:
        with pytest.raises(ValueError, match="a colour such as"):
            lab_of_hex(text)

    def test_words_for_three_numbers(self) -> None:
        assert Lab(lightness=93.04, a=-0.04, b=14).describe() == "lab 93 0 14"
        assert read_colour(Lab(lightness=93.04, a=-0.4, b=14).describe()) == Lab(lightness=93, a=-0.4, b=14)
