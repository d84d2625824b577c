"""Where butter and foam land together."""

from __future__ import annotations

import pytest

from tierwright.errors import MissingData, OutOfRange
from tierwright.sugar.buttercream import land
from tierwright.sugar.cream_model import CreamKind, CreamLine
from tierwright.sugar.rescue import Action


def test_a_cooled_meringue_and_soft_butter_land_right() -> None:
    # Common practice: meringue cooled to 26 to 30 C, butter at 18 to 20 C, a bowl at 20 to 24 C.
    landing = land(CreamKind.ITALIAN_BUTTERCREAM, foam_c=28.0, butter_c=18.0)
    assert landing.lands_right
    assert 20.0 <= landing.mixed.at_c <= 24.5
    assert landing.correction is None


def test_a_hot_meringue_lands_soupy_and_cold_butter_curdled() -> None:
    hot = land(CreamKind.SWISS_BUTTERCREAM, foam_c=42.0, butter_c=20.0)
    assert hot.mixed.at_c > hot.span_c[1]
    assert hot.correction is not None
    assert hot.correction.action is Action.CHILL
    cold = land(CreamKind.SWISS_BUTTERCREAM, foam_c=22.0, butter_c=6.0)
    assert cold.mixed.at_c < cold.span_c[0]
    assert cold.correction is not None
    assert cold.correction.action is Action.WARM


def test_the_butter_and_the_foam_that_are_asked_for_do_land_in_the_middle() -> None:
    landing = land(CreamKind.SWISS_BUTTERCREAM, foam_c=34.0, butter_c=20.0)
    middle = sum(landing.span_c) / 2
    assert landing.butter_wanted_c is not None
    assert landing.foam_wanted_c is not None
    with_butter = land(CreamKind.SWISS_BUTTERCREAM, foam_c=34.0, butter_c=landing.butter_wanted_c)
    with_foam = land(CreamKind.SWISS_BUTTERCREAM, foam_c=landing.foam_wanted_c, butter_c=20.0)
    # The root is found to 1e-4 C of the butter, less in the bowl.
    assert with_butter.mixed.at_c == pytest.approx(middle, abs=1e-3)
    assert with_foam.mixed.at_c == pytest.approx(middle, abs=1e-3)


def test_no_butter_can_save_a_foam_that_is_far_too_hot() -> None:
    assert land(CreamKind.ITALIAN_BUTTERCREAM, foam_c=50.0, butter_c=18.0).butter_wanted_c is None


def test_beating_warms_the_bowl() -> None:
    still = land(CreamKind.SWISS_BUTTERCREAM, foam_c=26.0, butter_c=18.0)
    beaten = land(CreamKind.SWISS_BUTTERCREAM, foam_c=26.0, butter_c=18.0, beaten_min=10.0)
    # 30 W for ten minutes is 18 kJ into about 4.5 kJ/K of bowl and cream, melting included.
    assert 1.5 < beaten.mixed.at_c - still.mixed.at_c < 6.0


def test_what_cannot_be_landed_is_refused() -> None:
    with pytest.raises(MissingData, match="ganache"):
        land(CreamKind.GANACHE, foam_c=30.0, butter_c=18.0)
    with pytest.raises(MissingData, match="butter"):
        land(CreamKind.SWISS_BUTTERCREAM, foam_c=30.0, butter_c=18.0, lines=[CreamLine(part="sugar", grams=100)])
    with pytest.raises(OutOfRange):
        land(CreamKind.SWISS_BUTTERCREAM, foam_c=70.0, butter_c=18.0)
