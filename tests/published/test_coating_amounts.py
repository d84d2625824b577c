"""Amounts of icing, paste, ganache and syrup against published kitchen figures and household weights."""

from __future__ import annotations

from importlib.resources import files

import pytest

from tierwright.coating import (
    Chocolate,
    CoatStyle,
    Season,
    Spread,
    TierToCoat,
    coat,
    density,
    ganache_density,
    kind,
    shell_volume_ml,
    split_ganache,
    thin_coat_ml,
)
from tierwright.coating.fillings import soak_ml
from tierwright.coating.rolled import cover_size_mm
from tierwright.coating.strength import GRAVITY, bearing_depth_mm, slump_thickness_mm
from tierwright.coating.tables import amount, usual_thickness
from tierwright.shapes import Outline
from tierwright.sizing.model import Tier, TierKind
from tierwright.units import CUP_ML, INCH_MM, POUND_G, TABLESPOON_ML, Measures
from tierwright.words import Finish
from tierwright.working import Estimate

CUP = CUP_ML[Measures.US]
TABLESPOON = TABLESPOON_ML[Measures.US]
TALL_MM = 4 * INCH_MM


def round_in(inches: float) -> Outline:
    return Outline.round(inches * INCH_MM)


# Arithmetic of the common quarter-inch rule: (side + top) x 1/4 in, plus 1/3 in per filling, of rounds 4 in tall,
# in US cups of 14.4375 cubic inches, worked by hand for one, two and three fillings and printed to a tenth of a cup.
ICING_CUPS = [
    (6, 2.4, 3.1, 3.8),
    (8, 3.8, 4.9, 6.1),
    (10, 5.3, 7.2, 9.0),
    (12, 7.2, 9.8, 12.4),
    (14, 9.3, 12.8, 16.4),
]


@pytest.mark.parametrize(("inches", "one", "two", "three"), ICING_CUPS)
def test_icing_by_the_quarter_inch_rule(inches: float, one: float, two: float, three: float) -> None:
    outline = round_in(inches)
    outside = thin_coat_ml(outline, TALL_MM, INCH_MM / 4)
    filling = outline.area_mm2 * INCH_MM / 3 / 1000
    # Half of the last printed digit, and a hundredth for the rounding of its terms.
    cups = [(outside + n * filling) / CUP for n in (1, 2, 3)]
    assert cups == pytest.approx([one, two, three], abs=0.06)


@pytest.mark.parametrize("inches", [6, 8, 10, 12, 14])
def test_true_coat_is_a_little_more_than_the_rule(inches: float) -> None:
    # The rule leaves out the ring where side meets top and the growth of the perimeter: under 9 % at a quarter inch.
    outline, thick = round_in(inches), INCH_MM / 4
    rule = thin_coat_ml(outline, TALL_MM, thick)
    true = shell_volume_ml(outline, TALL_MM, side_mm=thick, top_mm=thick)
    assert rule < true < 1.09 * rule


@pytest.mark.parametrize(
    ("inches", "pounds"),
    [(6, 1.1), (8, 1.4), (10, 1.7), (12, 2.1), (14, 2.6), (16, 3.0)],
)
def test_fondant_at_an_eighth_of_an_inch(inches: float, pounds: float) -> None:
    # Hand arithmetic: round sheet of D + 2 H + 1 in, 3.2 mm, 1.35 g/ml, 4 in tall; printed to a tenth of a pound.
    width, length = cover_size_mm(round_in(inches), 0.0, TALL_MM, INCH_MM)
    assert width == pytest.approx((inches + 9) * INCH_MM)
    mass = Outline.round(width).area_mm2 * 3.2 / 1000 * 1.35
    assert width == length
    assert mass / POUND_G == pytest.approx(pounds, abs=0.06)


@pytest.mark.parametrize(
    ("inches", "pounds"),
    # A practitioners' table for rounds 4 in tall (common practice), printed to half a pound. On large tiers it runs up
    # to two thirds above the geometry (thicker rolling, more trim): hence the wide floor of 1/1.67.
    [(6, 1.0), (8, 1.5), (10, 2.0), (12, 3.0), (14, 4.0), (16, 5.0)],
)
def test_rolled_fondant_lies_near_the_kitchen_table(inches: float, pounds: float) -> None:
    tier = _tier(inches * INCH_MM, layers=2, filling_mm=0.0, layer_mm=TALL_MM / 2)
    coated = coat(
        [
            TierToCoat(
                cake=tier,
                style=CoatStyle.ROLLED,
                sponge_g_per_ml=Estimate.exact(0.45),
                coat=Spread(kind="rolled_fondant", formula="paste"),
                undercoat=Spread(kind="dark_ganache", formula="ganache"),
            )
        ]
    ).tiers[0]
    rolled = coated.sheets[0].roll_out_g.value / POUND_G
    assert 0.6 * pounds < rolled < 1.4 * pounds


@pytest.mark.parametrize(
    ("inches", "grams", "thickness_mm"),
    # Outside amounts of ganache for rounds 4 in tall (common practice); the thickness is arithmetic on 1.18 g/ml.
    [(6, 350, 4.4), (8, 400, 3.5), (10, 450, 2.9), (12, 500, 2.5)],
)
def test_published_ganache_amounts_imply_our_range_of_thickness(
    inches: float, grams: float, thickness_mm: float
) -> None:
    outline = round_in(inches)
    per_mm = thin_coat_ml(outline, TALL_MM, 1.0) * 1.18
    # Printed to a tenth of a millimetre.
    assert grams / per_mm == pytest.approx(thickness_mm, abs=0.05)
    usual = usual_thickness(CoatStyle.GANACHE, Finish.SMOOTH).side_mm
    # 2.49 mm rounds to the low end of the table.
    assert usual.low - 0.05 <= grams / per_mm <= usual.high


def test_soak_spans_the_two_published_habits() -> None:
    # One tablespoon on top and bottom each of a 9 in layer; a third of a cup poured on one side of an 8 in layer.
    usual = amount("soak_ml_per_cm2").value
    sparing = TABLESPOON / (round_in(9).area_mm2 / 100)
    generous = CUP / 3 / (round_in(8).area_mm2 / 100)
    # The table is printed to a thousandth and to a hundredth.
    assert usual.low == pytest.approx(sparing, abs=0.0005)
    assert usual.high == pytest.approx(generous, abs=0.005)
    assert usual.value == pytest.approx((usual.low * usual.high) ** 0.5, abs=0.005)
    # A single layer has one brushed side.
    assert soak_ml(round_in(9), 1, usual).low == pytest.approx(TABLESPOON, rel=0.01)


def test_icing_of_a_large_job_is_about_38_g_a_portion() -> None:
    # A 420-portion wedding cake is recorded to have taken 35 lb of buttercream: 37.8 g for each 1 x 2 in portion. The
    # source says nothing of thickness, so agreement within a third is all that is asked.
    recorded = 35 * POUND_G / 420
    assert recorded == pytest.approx(37.8, abs=0.05)
    buttercream = Spread(kind="powdered_buttercream", formula="buttercream")
    orders = [
        TierToCoat(
            cake=_tier(inches * INCH_MM, number=place, layers=3, filling_mm=7.0, layer_mm=30.0),
            style=CoatStyle.FULL,
            sponge_g_per_ml=Estimate.exact(0.45),
            filling=buttercream,
            coat=buttercream,
        )
        for place, inches in enumerate((16, 14, 12, 10, 8, 6), start=1)
    ]
    portions = sum(order.cake.outline.area_mm2 / (2 * INCH_MM**2) for order in orders)
    need = coat(orders).needs[0].grams.value
    assert need / portions == pytest.approx(recorded, rel=0.33)


def test_icing_of_three_tiers_of_15_20_25_cm() -> None:
    # Hand arithmetic for rounds 10 cm tall with two fillings by the quarter-inch rule: about 3.6 litres.
    outlines = [Outline.round(cm * 10) for cm in (15, 20, 25)]
    litres = sum(
        thin_coat_ml(outline, 100.0, INCH_MM / 4) + 2 * outline.area_mm2 * INCH_MM / 3 / 1000 for outline in outlines
    )
    assert litres / 1000 == pytest.approx(3.6, abs=0.15)


# Household weights of USDA SR28 (public domain): NDB number, measure in its WEIGHT table, millilitres, and the kind
# whose range of density has to hold it.
SR28_WEIGHTS = [
    ("01053", "cup, whipped", CUP, "whipped_cream"),
    ("01017", "cup", CUP, "cream_cheese"),
    ("19228", "tbsp creamy", TABLESPOON, "cream_cheese"),
    ("19228", "tbsp whipped", TABLESPOON, "swiss_buttercream"),
    ("19230", "tbsp creamy", TABLESPOON, "powdered_buttercream"),
    ("19297", "tbsp", TABLESPOON, "jam"),
    ("19303", "cup", CUP, "jam"),
    ("19333", "cup", CUP, "curd"),
    ("19212", "cup", CUP, "pastry_cream"),
    ("19207", "cup", CUP, "pastry_cream"),
    ("44158", "cup", CUP, "fruit_filling"),
    ("43098", "cup", CUP, "fruit_filling"),
    ("09302", "cup", CUP, "fresh_fruit"),
    ("19364", "tbsp", TABLESPOON, "caramel"),
    ("12195", "tbsp", TABLESPOON, "praline"),
]


@pytest.mark.parametrize(("number", "measure", "ml", "key"), SR28_WEIGHTS)
def test_density_holds_the_household_weight(number: str, measure: str, ml: float, key: str) -> None:
    of = density(key)
    grams = _sr28(number, measure)
    # A spoon of SR28 is rounded to whole grams: half a gram in 14.8 ml.
    assert of.low - 0.034 <= grams / ml <= of.high + 0.034


def test_ganache_density_is_that_of_its_parts() -> None:
    # Additive volumes by hand: 200 g at 1.30 are 153.85 ml, 100 g at 1.006 are 99.40 ml, together 253.25 ml.
    assert ganache_density(2.0) == pytest.approx(300 / 253.25, rel=1e-4)
    for key, ratio in (("dark_ganache", 2.0), ("milk_ganache", 3.0), ("white_ganache", 3.0)):
        of = kind(key).density_g_per_ml
        assert of.low <= ganache_density(ratio) <= of.high


@pytest.mark.parametrize(
    ("chocolate", "season", "chocolate_g"),
    # By hand, 900 g of ganache: 2 to 1, 3 to 1, 3 to 1, and in summer 4 to 1 for white.
    [
        (Chocolate.DARK, Season.COOL, 600.0),
        (Chocolate.MILK, Season.COOL, 675.0),
        (Chocolate.WHITE, Season.COOL, 675.0),
        (Chocolate.WHITE, Season.SUMMER, 720.0),
    ],
)
def test_ganache_split(chocolate: Chocolate, season: Season, chocolate_g: float) -> None:
    split = split_ganache(chocolate, season, 900.0)
    assert split.chocolate_g.value == pytest.approx(chocolate_g)
    assert split.chocolate_g.value + split.cream_g.value == pytest.approx(900.0)
    assert split.disagreement


def test_squeeze_film_carries_what_scott_says() -> None:
    # Scott 1931, plastic limit: F = 2 pi tau R^3 / (3 h). By hand: tau 150 Pa, R 0.1 m, h 0.01 m gives 31.416 N.
    tau, radius_m, depth_m = 150.0, 0.1, 0.01
    force_n = 31.4159
    pressure = force_n / (3.14159 * radius_m**2)
    assert bearing_depth_mm(tau, radius_m * 1000, pressure) == pytest.approx(depth_m * 1000, rel=1e-4)


def test_coat_on_an_upright_side() -> None:
    # Lang and Rha 1981: tau = rho g h. 98.0665 Pa hold 10 mm of a coat of the density of water.
    assert slump_thickness_mm(10 * GRAVITY, 1.0) == pytest.approx(10.0, rel=1e-12)


def _tier(
    width_mm: float, *, number: int = 1, layers: int = 3, filling_mm: float = 8.0, layer_mm: float = 30.0
) -> Tier:
    return Tier(
        number=number,
        name="only",
        kind=TierKind.CAKE,
        outline=Outline.round(width_mm),
        pan="",
        layers=layers,
        layer_height_mm=layer_mm,
        filling_mm=filling_mm,
        height_mm=layers * layer_mm + (layers - 1) * filling_mm,
        keepsake=False,
        flavour=0,
        cutting=None,
    )


def _sr28(number: str, measure: str) -> float:
    """Grams of one of a food's household measures, from SR28's own file."""
    text = files("usda_nutrition").joinpath("data", "sr28", "WEIGHT.txt").read_text(encoding="latin-1")
    for line in text.splitlines():
        food, _, count, name, grams, *_ = [cell.strip("~") for cell in line.split("^")]
        if food == number and name == measure:
            return float(grams) / float(count)
    raise LookupError(f"{number} {measure}")
