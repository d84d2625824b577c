"""Heat, volume and verdict of meringues."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tierwright.errors import MissingData, OutOfRange
from tierwright.sugar.cooking import PanMaterial
from tierwright.sugar.lethality import d_values, egg_limits, log_kill, meets, time_at_or_above
from tierwright.sugar.meringue import plan_meringue
from tierwright.sugar.meringue_model import (
    HeatVerdict,
    MeringueKind,
    MeringuePlan,
    Whites,
    area_covered_mm2,
    foam_kinds,
)
from tierwright.sugar.pouring import Bowl, pour_syrup
from tierwright.sugar.properties import enthalpy
from tierwright.working import Estimate, Severity


def italian(**changes: object) -> MeringuePlan:
    given = {"whites": Whites.FRESH, "whites_g": 200.0, "sugar_g": 400.0, "altitude_m": 0.0} | changes
    return plan_meringue(MeringueKind.ITALIAN, **given)  # type: ignore[arg-type]


@given(
    whites=st.floats(100, 2000),
    ratio=st.floats(0.8, 2.5),
    syrup_c=st.floats(100, 125),
    share=st.floats(0.7, 0.93),
    whites_c=st.floats(2, 30),
    bowl_g=st.floats(200, 4000),
    pour_s=st.floats(10, 240),
)
@settings(max_examples=40, deadline=None)
def test_heat_of_a_pour_is_conserved_and_lies_between_its_parts(
    whites: float, ratio: float, syrup_c: float, share: float, whites_c: float, bowl_g: float, pour_s: float
) -> None:
    pour = pour_syrup(
        whites_g=whites,
        whites_c=whites_c,
        syrup_g=whites * ratio / share,
        syrup_share=share,
        syrup_c=syrup_c,
        bowl=Bowl(mass_g=bowl_g),
        pour_s=pour_s,
    )
    heat = pour.heat
    assert heat.before_j + heat.poured_j == pytest.approx(heat.lost_j + heat.after_j, rel=1e-9)
    # What is left, counted anew from the last temperature: whites 3.9, steel bowl 0.5 of which 0.7 warms, 96 % of the
    # syrup by the heat content that pots are boiled with.
    end_c = pour.history[-1][1]
    syrup_j = 0.96 * whites * ratio / share * float(enthalpy(share, end_c))
    assert heat.after_j == pytest.approx((whites * 3.9 + bowl_g * 0.5 * 0.7) * end_c + syrup_j, rel=1e-9)
    assert min(whites_c, 20.0) <= pour.peak_c.low <= pour.peak_c.value <= pour.peak_c.high < syrup_c


def test_mixing_without_loss_is_the_textbook_mixture() -> None:
    # 100 g of water-like syrup is no whites: worked by hand instead. 200 g whites (3.9 J/g K) at 20 C and 450 g of an
    # 87 % syrup at 116 C. Heat contents, hand-integrated cp (4.187 - 2.184 + 0.00653 T, flat above 100 C):
    # syrup 96 %: 432 g x (2.003 x 116 + 0.00653 x (5000 + 1600)) = 119.0 kJ; bowl 900 x 0.5 x 0.7 = 315 J/K.
    # 780 x 20 + 315 x 20 + 119 000 = 140 900 = (1095 + 432 x 2.003) T + 432 x 0.003263 T^2 -> 67.8 C.
    pour = pour_syrup(
        whites_g=200, whites_c=20, syrup_g=450, syrup_share=0.87, syrup_c=116, bowl=Bowl(), pour_s=5.0, room_c=20.0
    )
    # In 5 s the bowl loses a few hundred joules, a fifth of a degree, and the syrup cools by 0.4 C in the pot.
    assert pour.peak_c.value == pytest.approx(67.8, abs=0.5)


def test_a_heavier_colder_bowl_and_a_slower_pour_take_heat_from_the_whites() -> None:
    base = italian().hottest_c.value
    assert italian(bowl=Bowl(mass_g=2500)).hottest_c.value < base
    assert italian(bowl=Bowl(start_c=55)).hottest_c.value > base
    assert italian(pour_s=180.0).hottest_c.value < base
    assert italian(whites_c=5.0).hottest_c.value < base
    assert italian(altitude_m=2500.0).hottest_c.value < base
    assert italian(bowl=Bowl(material=PanMaterial.PLASTIC, mass_g=300)).hottest_c.value > base - 5


def test_a_usual_boiled_sugar_batch_is_not_relied_on() -> None:
    plan = italian()
    assert plan.verdict is HeatVerdict.NOT_RELIED_ON
    assert "Use pasteurised whites" in plan.verdict_text
    # Common practice: measured foams after the pour stand in the sixties.
    assert 58 <= plan.hottest_c.value <= 70
    assert plan.hottest_c.low < 71.1
    dangers = [q for q in plan.notes.questions if q.severity is Severity.DANGER]
    assert [q.key for q in dangers] == ["meringue.meringue.whites"]
    assert {c.step for c in plan.notes.cautions} >= {"pour", "whites"}


@pytest.mark.parametrize("whites", [Whites.PASTEURISED, Whites.DRIED])
def test_pasteurised_whites_need_no_proof(whites: Whites) -> None:
    plan = italian(whites=whites)
    assert plan.verdict is HeatVerdict.PASTEURISED
    assert plan.holding.egg_heat_treated
    assert not [q for q in plan.notes.questions if q.severity is Severity.DANGER]


# One step either side of the published limits: FSIS 160 F at once; Food Code 155 F for 17 s.
@pytest.mark.parametrize(
    ("celsius", "seconds", "verdict"),
    [
        (71.1, 0.0, HeatVerdict.IF_MEASURED),
        (71.0, 0.0, HeatVerdict.NOT_RELIED_ON),
        (68.3, 17.0, HeatVerdict.IF_MEASURED),
        (68.3, 16.0, HeatVerdict.NOT_RELIED_ON),
        (68.2, 60.0, HeatVerdict.NOT_RELIED_ON),
        (60.0, 600.0, HeatVerdict.NOT_RELIED_ON),
    ],
)
def test_warmed_kinds_at_the_published_limits(celsius: float, seconds: float, verdict: HeatVerdict) -> None:
    for kind in (MeringueKind.SWISS, MeringueKind.SEVEN_MINUTE):
        plan = plan_meringue(kind, whites=Whites.FRESH, whites_g=200, sugar_g=400, warmed_to_c=celsius, held_s=seconds)
        assert plan.verdict is verdict


def test_the_pasteurisers_table_for_plain_white_is_never_held_against_sugared_white() -> None:
    plan = plan_meringue(
        MeringueKind.SWISS, whites=Whites.FRESH, whites_g=200, sugar_g=400, warmed_to_c=58.0, held_s=600.0
    )
    met = {check.limit.key for check in plan.checks if check.met}
    assert met == {"albumen-134", "albumen-132"}
    assert plan.verdict is HeatVerdict.NOT_RELIED_ON


def test_raw_meringue_is_called_raw() -> None:
    plan = plan_meringue(MeringueKind.FRENCH, whites=Whites.FRESH, whites_g=100, sugar_g=200)
    assert plan.verdict is HeatVerdict.RAW
    assert plan.logs.high == 0.0


def test_mass_water_and_volume_of_a_raw_meringue_by_hand() -> None:
    # 100 g white (87.6 g water) and 200 g sugar: 300 g, 29.2 % water; at 0.25 g/ml 1200 ml.
    plan = plan_meringue(MeringueKind.FRENCH, whites=Whites.PASTEURISED, whites_g=100, sugar_g=200)
    assert plan.mass_g == pytest.approx(300.0)
    assert plan.water_share == pytest.approx(0.292, abs=1e-4)
    assert plan.volume_ml.value == pytest.approx(1200.0)
    # Overrun = (flat volume's density / foam's density - 1): flat 300 / (96.6 + 141.7) = 1.259 g/ml -> 404 %.
    assert plan.overrun_percent.value == pytest.approx(404, abs=3)
    # 69.5 % sucrose in its water: Starzak and Peacock about 0.83, and 0.42 g of salt to 88 g of water takes 0.003.
    assert plan.water_activity == pytest.approx(0.829, abs=0.006)
    # A cup of one's own takes the place of the table.
    own = plan_meringue(MeringueKind.FRENCH, whites=Whites.PASTEURISED, whites_g=100, sugar_g=200, cup_weight_g_ml=0.2)
    assert own.volume_ml.value == pytest.approx(1500.0)


def test_dried_whites_say_how_much_powder_and_pasteurised_ones_that_they_are_slow() -> None:
    dried = plan_meringue(MeringueKind.FRENCH, whites=Whites.DRIED, whites_g=200, sugar_g=300)
    powder = {figure.key: figure.value for figure in dried.notes.figures}["meringue.meringue.white_powder_g"]
    # 1 part of powder to 7 of water by weight: common practice.
    assert powder == pytest.approx(25.0)
    liquid = plan_meringue(MeringueKind.FRENCH, whites=Whites.PASTEURISED, whites_g=200, sugar_g=300)
    assert [q.key for q in liquid.notes.questions] == ["meringue.meringue.slow"]


def test_area_is_volume_over_thickness() -> None:
    area = area_covered_mm2(Estimate(value=1000, low=800, high=1300), 5.0)
    assert (area.low, area.value, area.high) == (160_000, 200_000, 260_000)


def test_lethality_of_a_ramp_is_exact() -> None:
    # Between 60 and 64.3 C with z 4.3 the rate grows tenfold: its mean is 9 / ln 10 = 3.909.
    logs = log_kill([(0.0, 60.0), (60.0, 64.3)], d_ref_min=1.0, ref_c=60.0, z_k=4.3)
    assert logs == pytest.approx(9 / 2.302585, rel=1e-6)
    assert log_kill([(0.0, 20.0), (600.0, 53.9)], d_ref_min=1.0, ref_c=60.0, z_k=4.3) == 0.0


def test_time_above_a_temperature_is_read_off_straight_pieces() -> None:
    history = [(0.0, 50.0), (10.0, 70.0), (20.0, 50.0)]
    assert time_at_or_above(history, 60.0) == pytest.approx(10.0)
    assert not meets(egg_limits()["food-code-hold"], history)


def test_damp_air_soft_ratio_and_no_acid_are_said() -> None:
    plan = plan_meringue(
        MeringueKind.FRENCH, whites=Whites.DRIED, whites_g=100, sugar_g=90, humidity_share=0.8, acid=False
    )
    assert {q.key.rsplit(".", 1)[-1] for q in plan.notes.questions} == {"ratio", "humidity", "acid"}


def test_every_row_of_the_tables_names_its_source() -> None:
    assert all(row.source for row in d_values().values())
    assert all(row.source and row.section and row.jurisdiction for row in egg_limits().values())
    assert all(row.source for row in foam_kinds().values())


class TestRefusals:
    def test_a_warmed_meringue_without_its_temperature(self) -> None:
        with pytest.raises(MissingData):
            plan_meringue(MeringueKind.SWISS, whites=Whites.FRESH, whites_g=100, sugar_g=200)

    def test_no_whites(self) -> None:
        with pytest.raises(OutOfRange, match="whites"):
            plan_meringue(MeringueKind.FRENCH, whites=Whites.FRESH, whites_g=0, sugar_g=200)

    def test_negative_sugar(self) -> None:
        with pytest.raises(OutOfRange, match="sugar"):
            plan_meringue(MeringueKind.FRENCH, whites=Whites.FRESH, whites_g=100, sugar_g=-1)

    def test_caramel_into_whites(self) -> None:
        with pytest.raises((OutOfRange, MissingData)):
            italian(syrup_sea_level_c=175.0)

    def test_humidity_above_saturation(self) -> None:
        with pytest.raises(OutOfRange, match="humidity"):
            plan_meringue(MeringueKind.FRENCH, whites=Whites.FRESH, whites_g=100, sugar_g=200, humidity_share=1.2)
