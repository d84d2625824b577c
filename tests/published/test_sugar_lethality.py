"""Killing of Salmonella in egg against the papers that measured it."""

from __future__ import annotations

import pytest

from tierwright.errors import OutOfRange
from tierwright.sugar.lethality import d_at, d_value, d_values, log_kill, slowest_white, white_kill, z_between


def held(celsius: float, minutes: float) -> list[tuple[float, float]]:
    return [(0.0, celsius), (minutes * 60.0, celsius)]


def test_z_values_hit_both_printed_ends() -> None:
    # Schuman and Sheldon 1997 print z from 3.54 to 4.33 K; its white and yolk D values give both ends.
    white = z_between(d_value("schuman-white-55"), d_value("schuman-white-58"))
    yolk = z_between(d_value("schuman-yolk-60"), d_value("schuman-yolk-62"))
    assert white == pytest.approx(3.54, abs=0.01)
    assert yolk == pytest.approx(4.33, abs=0.01)


def test_palumbo_holds_at_the_pasteurisers_times() -> None:
    # Palumbo et al. 1996: 3.5 min at 57.7 C is 4.49 decimal reductions; at 56.6 C 0.97 (pH 7.8) and 3.24 (pH 9.3).
    for key, logs in (("palumbo-white-57", 4.49), ("palumbo-white-56-acid", 0.97), ("palumbo-white-56-old", 3.24)):
        row = d_value(key)
        found = log_kill(held(row.temperature_c, 3.5), d_ref_min=row.d_min, ref_c=row.temperature_c, z_k=4.0)
        assert found == pytest.approx(logs, abs=0.005)


def test_sugar_protects_as_garibaldi_found() -> None:
    # Garibaldi 1969: 10 % of sugar makes D 2.2 times as long in white and ten times in yolk.
    assert d_value("garibaldi-white-sugar").d_min / d_value("garibaldi-white").d_min == pytest.approx(2.2, abs=0.05)
    assert d_value("garibaldi-yolk-sugar").d_min / d_value("garibaldi-yolk").d_min == pytest.approx(10.0, abs=0.05)
    plain = white_kill(held(60.0, 2.0), sugar_share=0.0)
    sweet = white_kill(held(60.0, 2.0), sugar_share=0.6)
    assert plain.value / sweet.value == pytest.approx(2.2, rel=1e-9)
    assert plain.low / sweet.low == pytest.approx(10.0, rel=1e-9)


def test_a_worked_hold_in_sugared_white() -> None:
    # D 3.60 min at 56.6 C, z 4.3, times 2.2: 3.4 K hotter is a factor of 10^0.7907 = 6.176, so at 60 C D is 1.282 min
    # and five decimal reductions take 6.41 min; 14.5 K hotter is 10^3.372 = 2355, so at 71.1 C they take 1.01 s.
    d60 = 2.2 * d_at(60.0, d_ref_min=3.6, ref_c=56.6, z_k=4.3)
    assert d60 == pytest.approx(1.282, abs=0.001)
    assert white_kill(held(60.0, 6.41), sugar_share=0.6).value == pytest.approx(5.0, abs=0.01)
    assert white_kill(held(71.1, 1.01 / 60), sugar_share=0.6).value == pytest.approx(5.0, abs=0.03)


def test_no_measured_white_dies_more_slowly_than_is_reckoned() -> None:
    # Palumbo 1996, Schuman and Sheldon 1997, Garibaldi 1969: held for its own D, a plain white loses one power
    # of ten; what is reckoned may say less, never more, at the likely as at the cautious end.
    plain = [row for row in d_values().values() if row.medium == "white" and not row.sugar_percent]
    assert len(plain) == 6
    for row in plain:
        reckoned = white_kill(held(row.temperature_c, row.d_min), sugar_share=0.0)
        assert reckoned.low <= reckoned.value <= 1.0 + 1e-9, row.key
    assert slowest_white() == d_value("palumbo-white-56-acid")
    assert white_kill(held(56.6, 3.6), sugar_share=0.0).value == pytest.approx(1.0, rel=1e-9)


def test_sugar_counts_from_five_per_cent_and_up_to_eighty() -> None:
    plain, sweet = (white_kill(held(60.0, 2.0), sugar_share=share).value for share in (0.049, 0.6))
    assert white_kill(held(60.0, 2.0), sugar_share=0.0).value == plain
    for share in (0.05, 0.052, 0.8):
        assert white_kill(held(60.0, 2.0), sugar_share=share).value == sweet < plain
    with pytest.raises(OutOfRange):
        white_kill(held(60.0, 2.0), sugar_share=0.81)
