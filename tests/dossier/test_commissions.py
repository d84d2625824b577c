"""Three commissions of different kinds, and what a skilled maker expects of each (common practice)."""

from __future__ import annotations

import pytest
from tests.dossier.scenes import commission, kitchen

from tierwright.brief import Commission, Kitchen
from tierwright.dossier import Dossier, prepare
from tierwright.sugar import find_target, sugar_and_water
from tierwright.water import air_pressure_pa, boiling_point_c
from tierwright.working import Severity

ROUNDS_CM = (15, 18, 20, 23, 25, 28, 30)
METRIC_PANS = [{"pan": f"round_{cm}x7_5_cm", "count": 3} for cm in ROUNDS_CM if cm != 28]

SMALL_OVEN = {"name": "Small", "width": "46 cm", "depth": "40 cm", "height": "34 cm", "shelves": 1}


def meadow() -> tuple[Commission, Kitchen]:
    """96 people in a meadow at 2,450 m in July, from a kitchen at 1,650 m, the last kilometres on gravel."""
    return (
        commission(
            guests={"invited": 110, "attending": 96, "eating_cake": "80 to 85 %"},
            venue={"altitude": "2450 m", "temperature": "29 C", "humidity": "25 %"},
            travel={"surface": "gravel", "time": "75 min"},
        ),
        kitchen(altitude="1650 m", pans=METRIC_PANS),
    )


@pytest.fixture(scope="module")
def outdoor() -> Dossier:
    return prepare(*meadow())


def test_portions_for_a_meadow(outdoor: Dossier) -> None:
    # 80 to 85 % of 96 are 77 to 82 portions, a few more wanted so as not to run short.
    assert 77 <= outdoor.sizing.demand.mean <= 82
    assert 80 <= outdoor.sizing.demand.wanted <= 92
    assert outdoor.sizing.stack.portions >= outdoor.sizing.demand.wanted


def test_every_chemically_leavened_batter_is_offered_changes_for_the_kitchens_height(outdoor: Dossier) -> None:
    # Extension table for 5,000 ft: 1/8 to 1/4 tsp less powder per tsp, 0 to 2 tbsp less sugar and 2 to 4 tbsp more
    # liquid per cup, an oven 15 to 25 F hotter (University of Wyoming Extension).
    for work in outdoor.formulas.works:
        if work.formula.text.kind.is_batter:
            keys = " ".join(proposal.key for proposal in work.proposals)
            assert all(word in keys for word in ("leavening", "sugar", "liquid", "oven")), keys
            assert work.formula.applied == (), "nothing is applied unasked"


def test_sugar_is_cooked_by_its_solids_at_the_kitchens_height() -> None:
    # Water boils near 94.5 C at 1,650 m, so the usual rule stops a syrup for 118 C at 112.6 C. At equal solids a strong
    # syrup comes down a little more than water does (by T^2 in the law of Clausius and Clapeyron): 112.0 C.
    assert boiling_point_c(air_pressure_pa(1650.0)) == pytest.approx(94.5, abs=0.3)
    target = find_target(sugar_and_water(400, 130), altitude_m=1650.0, sea_level_c=118.0)
    assert target.true_c.value == pytest.approx(112.6, abs=0.7)
    assert target.true_c.value < 112.6


def test_curd_and_warmth_are_called_out_before_the_road(outdoor: Dossier) -> None:
    stops = [q for q in outdoor.notes.questions if q.severity >= Severity.STOP and q.sheet == "coats"]
    assert any("curd" in q.text for q in stops)


def test_a_vegan_tier_is_not_offered_to_a_guest_with_a_milk_allergy() -> None:
    made = prepare(
        commission(
            guests={"invited": 110, "attending": 110, "eating_cake": "80 to 90 %"},
            diets=[{"diet": "vegan", "count": 12, "reason": "ethics"}],
            allergies=[{"allergen": "milk", "count": 1, "severity": "severe"}],
            venue={"temperature": "22 C", "outdoors": False},
        ),
        kitchen(altitude="100 m", pans=METRIC_PANS),
    )
    first = made.notes.questions[0]
    assert first.severity is Severity.DANGER
    assert "Milk is in" in first.text
    assert "promise the guest nothing from this cake" in first.change
    top = made.sizing.stack.tiers[-1]
    assert top.cutting is not None
    # Others take of it too: twelve vegans need more than twelve portions.
    assert top.cutting.portions >= 16
    assert top.outline.width_mm >= 170


def test_four_small_orders_round_one_small_oven() -> None:
    # Two 20 cm pans go on a shelf of 46 by 40 cm at a time, a 25 cm pan alone; two layers a tier.
    made = prepare(
        commission(
            guests={"invited": 60, "attending": 50, "eating_cake": "85 %"},
            cake={
                "layers": 2,
                "fixed": [
                    {"number": 1, "width": "25 cm"},
                    {"number": 2, "width": "20 cm"},
                    {"number": 3, "width": "15 cm"},
                ],
            },
        ),
        kitchen(pans=METRIC_PANS, ovens=[SMALL_OVEN]),
    )
    assert made.bakes.loads is not None
    widths = {tier.number: round(tier.outline.width_mm) for tier in made.sizing.stack.tiers}
    assert widths == {1: 250, 2: 200, 3: 150}
    for load in made.bakes.loads.loads:
        held = [pan.key.split(".")[1] for shelf in load.shelves for pan in shelf.pans if pan.key.startswith("tier")]
        assert held.count("1") <= 1
        assert held.count("2") <= 2
