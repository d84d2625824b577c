"""Lettering: lengths as a browser sets them, outlines as font tools read them back, circles that close."""

from __future__ import annotations

from importlib.resources import files
from io import BytesIO
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, radians, sin
from typing import Any

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import Infeasible, OutOfRange, UnknownName
from tierwright.finish.lettering import (
    Reads,
    Written,
    natural_width,
    size_for_capital,
    smallest_size,
    write_on_arc,
    write_round,
    write_straight,
)
from tierwright.finish.lettering_faces import FaceStyle

WORDS = st.text(st.sampled_from("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 &,.'-éüñŁ"), min_size=3,
                max_size=24).filter(lambda text: bool(text.strip()))  # fmt: skip
STYLES = st.sampled_from(FaceStyle)
# Widths of these words at 1,000 px in the very same files, kerned, ligatures and swashes off, as Chromium's text engine
# (HarfBuzz) lays them out: element.getBoundingClientRect().width.
BROWSER = {
    FaceStyle.UPRIGHT: (11633.0, 9693.0, 9676.0, 2910.0),
    FaceStyle.ITALIC: (11117.0, 9134.0, 9192.0, 2742.0),
    FaceStyle.BOLD: (11945.0, 9713.0, 10037.0, 2950.0),
    FaceStyle.SCRIPT: (10063.0, 11643.0, 8000.0, 4761.0),
}
SET = ("Hundred Years on the Water", "AVATAR To Wave Type", "Boathouse Supper, 1926", "LTAVY")


def font(style: FaceStyle) -> Any:
    return TTFont(BytesIO((files("tierwright.finish") / "fonts" / f"{style.value}-latin.woff2").read_bytes()))


def read_back(written: Written, pen: Any) -> Any:
    parse_path(written.path, pen)
    return pen


class TestMetrics:
    @pytest.mark.parametrize("style", FaceStyle)
    def test_widths_as_a_browser_sets_them(self, style: FaceStyle) -> None:
        for text, width in zip(SET, BROWSER[style], strict=True):
            assert natural_width(text, 100.0, style) == pytest.approx(width / 10, abs=0.005)

    @pytest.mark.parametrize("style", FaceStyle)
    def test_single_letters_by_units_per_em(self, style: FaceStyle) -> None:
        opened = font(style)
        for letter in "HgOy&7":
            units = opened["hmtx"][opened.getBestCmap()[ord(letter)]][0]
            assert natural_width(letter, 30.0, style) == pytest.approx(30.0 * units / opened["head"].unitsPerEm)

    @pytest.mark.parametrize("style", [FaceStyle.UPRIGHT, FaceStyle.ITALIC, FaceStyle.BOLD])
    def test_capitals_are_as_high_as_asked(self, style: FaceStyle) -> None:
        written = write_straight("HEI", size_mm=size_for_capital(25.0, style), style=style)
        pen = read_back(written, BoundsPen(None))
        assert pen.bounds[3] - pen.bounds[1] == pytest.approx(25.0, rel=0.02)
        assert written.capital_mm == pytest.approx(25.0)
        # The font says how high its capitals are, and means their flat tops.
        assert size_for_capital(1000 * 25.0 / 1000) * font(FaceStyle.UPRIGHT)[
            "OS/2"
        ].sCapHeight / 1000 == pytest.approx(25.0, rel=0.03)

    def test_kerning_draws_letters_together(self) -> None:
        assert natural_width("AV", 20.0) < natural_width("A", 20.0) + natural_width("V", 20.0) - 1.0
        assert natural_width("HH", 20.0) == pytest.approx(2 * natural_width("H", 20.0))


class TestOutlines:
    @given(WORDS, STYLES, st.floats(5, 80))
    @settings(max_examples=20, deadline=None)
    def test_bounds_and_length_read_back_from_the_path(self, text: str, style: FaceStyle, size: float) -> None:
        written = write_straight(text, size_mm=size, style=style)
        x0, y0, x1, y1 = read_back(written, BoundsPen(None)).bounds
        # The path runs down where the bounds run up, and is written to a thousandth.
        assert (x0, -y1, x1, -y0) == pytest.approx(written.bounds_mm, abs=2e-3)
        assert written.length_mm == pytest.approx(natural_width(text, size, style))
        assert sum(letter.advance_mm for letter in written.letters) == pytest.approx(written.length_mm)

    def test_area_against_the_area_pen(self) -> None:
        # No two outlines of these letters overlap, so that signed areas add up to the inked one.
        written = write_straight("BoathouseH8", size_mm=40.0)
        signed = read_back(written, AreaPen(None)).value
        assert written.ink_mm2 == pytest.approx(abs(signed), rel=2e-3)

    @given(WORDS, STYLES)
    @settings(max_examples=10, deadline=None)
    def test_a_template_face_down_is_the_mirror_image(self, text: str, style: FaceStyle) -> None:
        there = write_straight(text, size_mm=20.0, style=style)
        back = write_straight(text, size_mm=20.0, style=style, mirrored=True)
        straight, turned = read_back(there, RecordingPen()), read_back(back, RecordingPen())
        for (what, points), (same, mirrored) in zip(straight.value, turned.value, strict=True):
            assert what == same
            for (x, y), (mx, my) in zip(points, mirrored, strict=True):
                assert (mx, my) == pytest.approx((-x, y), abs=2e-3)
        assert back.is_mirrored
        assert back.bounds_mm == pytest.approx(
            (-there.bounds_mm[2], there.bounds_mm[1], -there.bounds_mm[0], there.bounds_mm[3]), abs=1e-6
        )

    def test_its_middle_lies_where_it_was_put(self) -> None:
        written = write_straight("Supper", size_mm=20.0, middle_mm=(100.0, 40.0))
        first, last = written.letters[0], written.letters[-1]
        assert (first.at_mm[0] + last.at_mm[0] + last.advance_mm) / 2 == pytest.approx(100.0)
        assert first.at_mm[1] == last.at_mm[1] == 40.0

    def test_fits_a_length_but_never_grows(self) -> None:
        assert write_straight("Supper", size_mm=60.0, fit_mm=90.0).length_mm == pytest.approx(90.0)
        assert write_straight("Supper", size_mm=10.0, fit_mm=900.0).size_mm == 10.0


class TestArcs:
    @pytest.mark.parametrize("reads", Reads)
    @given(text=WORDS, radius=st.floats(80, 300))
    @settings(max_examples=10, deadline=None)
    def test_every_foot_stands_square_on_the_arc(self, text: str, radius: float, reads: Reads) -> None:
        written = write_on_arc(text, size_mm=12.0, radius_mm=radius, reads=reads)
        way = 1 if reads is Reads.OUTWARD else -1
        for letter in written.letters:
            wide = natural_width(letter.letter, written.size_mm) / 2
            turn = radians(letter.turn_deg)
            foot = (letter.at_mm[0] + wide * cos(turn), letter.at_mm[1] + wide * sin(turn))
            assert hypot(*foot) == pytest.approx(radius, abs=1e-9)
            # Up from the foot is away from the middle, or towards it.
            up = (-sin(turn), cos(turn))
            assert way * (up[0] * foot[0] + up[1] * foot[1]) == pytest.approx(radius, abs=1e-9)

    def test_reads_over_the_far_side_and_along_the_near_side(self) -> None:
        far = write_on_arc("Boathouse", size_mm=12.0, radius_mm=120.0)
        near = write_on_arc("Boathouse", size_mm=12.0, radius_mm=120.0, reads=Reads.INWARD)
        for written, side in ((far, 1), (near, -1)):
            xs = [letter.at_mm[0] for letter in written.letters]
            assert xs == sorted(xs)  # left to right as one reads
            assert all(side * letter.at_mm[1] > 0 for letter in written.letters)
            assert written.bounds_mm[0] == pytest.approx(-written.bounds_mm[2], abs=2.0)

    def test_fits_its_angle(self) -> None:
        written = write_on_arc("A hundred years on the water", size_mm=60.0, radius_mm=100.0, most_deg=180.0)
        assert written.length_mm == pytest.approx(pi * 100.0)
        angles = [degrees(atan2(letter.at_mm[1], letter.at_mm[0])) for letter in written.letters]
        assert angles == sorted(angles, reverse=True)
        assert angles[0] - angles[-1] < 180.0


class TestCircle:
    @given(WORDS, st.floats(40, 120), st.sampled_from(Reads), STYLES)
    @settings(max_examples=12, deadline=None)
    def test_closes_on_the_circumference(self, text: str, radius: float, reads: Reads, style: FaceStyle) -> None:
        wanted = 2 * pi * radius / max(1, round(2 * pi * radius / natural_width(text + " · ", 10.0, style)))
        size = 10.0 * wanted / natural_width(text + " · ", 10.0, style)
        if not 2.0 <= size <= 60.0:
            return
        written = write_round(text, size_mm=size, radius_mm=radius, reads=reads, style=style)
        taken = sum(letter.advance_mm for letter in written.letters) + written.spacing_mm * len(written.letters)
        assert taken == pytest.approx(2 * pi * radius, abs=1e-6)
        assert written.length_mm == pytest.approx(2 * pi * radius)

    def test_every_repeat_is_the_first_turned(self) -> None:
        written = write_round("Centenary", size_mm=22.0, radius_mm=95.0, times=5)
        each = len(written.letters) // 5
        for i, letter in enumerate(written.letters):
            angle = radians(-72.0 * (i // each))
            x, y = written.letters[i % each].at_mm
            turned = (x * cos(angle) - y * sin(angle), x * sin(angle) + y * cos(angle))
            assert letter.at_mm == pytest.approx(turned, abs=1e-9)

    def test_steps_are_even_over_the_join(self) -> None:
        """The middle of the last foot is as far from that of the first as kerning and spacing say."""
        written = write_round("HHHH", size_mm=10.0, radius_mm=60.0, separator="H", times=9)
        angles = [degrees(atan2(letter.at_mm[1], letter.at_mm[0])) for letter in written.letters]
        steps = [(a - b) % 360.0 for a, b in pairwise([*angles, angles[0]])]
        assert steps == pytest.approx([360.0 / 45] * 45, abs=1e-9)

    def test_says_what_size_would_close(self) -> None:
        with pytest.raises(Infeasible, match="from where they should") as refused:
            write_round("Centenary", size_mm=30.0, radius_mm=95.0, times=5)
        better = float(refused.value.cheapest_change.split()[2])
        assert write_round("Centenary", size_mm=better, radius_mm=95.0, times=5).spacing_mm == pytest.approx(0, abs=0.1)


class TestTips:
    def test_bold_takes_a_broader_line_than_upright(self) -> None:
        bold = write_straight("Supper", size_mm=30.0, style=FaceStyle.BOLD)
        upright = write_straight("Supper", size_mm=30.0)
        assert bold.thinnest_mm > upright.thinnest_mm

    def test_breadths_of_letters_that_can_be_measured_by_hand(self) -> None:
        """The counter of an o is no wider than the o less its two strokes; an l is as thin as its serifs."""
        stem = write_straight("l", size_mm=100.0)
        assert 1.0 < stem.thinnest_mm < 10.0
        counter = write_straight("o", size_mm=100.0)
        x0, _, x1, _ = counter.bounds_mm
        assert counter.narrowest_mm < x1 - x0 - 2 * counter.thinnest_mm
        assert counter.takes(counter.narrowest_mm - 0.01)
        assert not counter.takes(counter.narrowest_mm + 0.01)

    @given(st.floats(0.5, 3.0), STYLES)
    @settings(max_examples=10, deadline=None)
    def test_smallest_size_is_just_enough(self, tip: float, style: FaceStyle) -> None:
        size = smallest_size("Supper", tip, style)
        if 2.0 <= size <= 400.0:
            written = write_straight("Supper", size_mm=size, style=style)
            assert min(written.thinnest_mm, written.narrowest_mm) == pytest.approx(tip)


class TestRefusals:
    def test_all_characters_that_are_lacking_are_named(self) -> None:
        with pytest.raises(UnknownName) as refused:
            write_straight("Supper 祝 ש ok", size_mm=20.0)
        assert "祝" in str(refused.value)
        assert "HEBREW LETTER SHIN" in str(refused.value)
        assert "ok" not in str(refused.value).split("called")[1]

    def test_other_scripts_that_are_there(self) -> None:
        for text in ("Đặng Thị", "Łódź", "Ευτυχία", "Счастье"):
            assert len(write_straight(text, size_mm=20.0).letters) == len(text)

    def test_accents_typed_apart_are_joined(self) -> None:
        assert write_straight("e\u0301", size_mm=20.0).path == write_straight("é", size_mm=20.0).path

    @pytest.mark.parametrize("text", ["", "x" * 401])
    def test_too_little_or_too_much(self, text: str) -> None:
        with pytest.raises(OutOfRange):
            write_straight(text, size_mm=20.0)

    def test_words_that_would_have_to_be_tiny(self) -> None:
        with pytest.raises(OutOfRange, match="size of type that fits"):
            write_straight("A hundred years on the water", size_mm=20.0, fit_mm=10.0)

    def test_a_space_alone_draws_nothing(self) -> None:
        written = write_straight(" ", size_mm=20.0)
        assert (written.path, written.ink_mm2, written.bounds_mm) == ("", 0.0, (0.0, 0.0, 0.0, 0.0))
        assert smallest_size(" ", 2.0) == 0.0
