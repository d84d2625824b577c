"""Every row of every table of the larder is whole, sourced and consistent with itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

import pytest

from tierwright.larder import (
    PARTS,
    VOLUME_ML,
    Allergen,
    Answer,
    Board,
    Flower,
    FlowerStatus,
    Group,
    Ingredient,
    Pan,
    Support,
    board,
    boards,
    find_flower,
    flower,
    flowers,
    ingredient,
    ingredients,
    normalise,
    pan,
    pan_materials,
    pans,
    support,
    supports,
)
from tierwright.larder.finding import ambiguous, names
from tierwright.larder.flora import flower_names
from tierwright.larder.tables import rows
from tierwright.shapes import Shape
from tierwright.working import Basis

TABLES = [
    "ingredients.csv", "measures.csv", "egg_grades.csv", "pans.csv", "pan_materials.csv", "boards.csv",
    "supports.csv", "flowers.csv",
]  # fmt: skip
SUGARS = ("sucrose_g", "glucose_g", "fructose_g", "lactose_g", "maltose_g")
Row = TypeVar("Row", Ingredient, Pan, Board, Support, Flower)


def over(table: Callable[[], Mapping[str, Row]]) -> Callable[[Callable[[Row], None]], Callable[[], None]]:
    """Run one check over every row of a table, and name every row that fails it; thousands of rows, few tests."""

    def of(check: Callable[[Row], None]) -> Callable[[], None]:
        def walk() -> None:
            faults = []
            for key, item in table().items():
                try:
                    check(item)
                except AssertionError as fault:
                    faults.append(f"{key}: {fault}")
            assert not faults, "\n".join(faults)

        return walk

    return of


@pytest.mark.parametrize("table", TABLES)
def test_every_row_names_its_source(table: str) -> None:
    for number, row in enumerate(rows(table), start=2):
        basis = Basis(row["basis"])
        # Common practice says it all by itself; anything else must say which.
        assert row["source"] or basis is Basis.COMMON_PRACTICE, f"{table}, line {number}"
        assert None not in row.values(), f"{table}, line {number} has too few cells"


@pytest.mark.parametrize("table", [name for name in TABLES if name != "measures.csv"])
def test_keys_are_unique(table: str) -> None:
    keys = [row["key"] for row in rows(table)]
    assert len(keys) == len(set(keys))


def test_the_tables_are_as_long_as_promised() -> None:
    assert len(ingredients()) >= 180
    assert len(flowers()) >= 80
    assert {item.group for item in ingredients().values()} == set(Group)
    assert {item.outline.shape for item in pans().values()} == set(Shape)


@over(ingredients)
def test_proximates_add_up(item: Ingredient) -> None:
    if item.proximate:
        # Analyses are rounded part by part and carbohydrate is found by difference: one gram covers both.
        assert item.composition.total_g == pytest.approx(100.0, abs=1.0)
    else:
        assert item.note or item.group is Group.LEAVENER


@over(ingredients)
def test_parts_fit_into_their_whole(item: Ingredient) -> None:
    c = item.composition
    # Half a gram for rounding; SR28 analyses sugars apart from the carbohydrate, which is found by difference.
    assert all(value is None or value >= 0 for value in (getattr(c, part) for part in PARTS))
    assert (c.saturated_g or 0) + (c.trans_g or 0) <= c.fat_g + 0.5
    assert c.fibre_g <= c.carbohydrate_g + 0.5
    if c.sugars_g is not None:
        assert c.sugars_g <= c.carbohydrate_g + 0.5
        assert (c.added_sugars_g or 0) <= c.sugars_g + 0.05
        kinds = [getattr(c, kind) for kind in SUGARS]
        if None not in kinds:
            # Galactose and trehalose are not held, and each kind is rounded.
            assert sum(kinds) == pytest.approx(c.sugars_g, abs=1.5)


@over(ingredients)
def test_energy_agrees_with_the_proximates(item: Ingredient) -> None:
    c = item.composition
    if not item.proximate or c.energy_kcal is None:
        return
    # EU Regulation 1169/2011, Annex XIV: 4, 9, 4, 7 and 2 kcal/g. SR28 uses specific factors (as low as 1.35 for
    # cocoa's carbohydrate), and a pure acid or lecithin is neither sugar nor common fat: such foods may differ by half.
    general = 4 * c.protein_g + 9 * c.fat_g + 4 * c.carbohydrate_g - 2 * c.fibre_g + 7 * c.alcohol_g
    odd = item.group in (Group.COCOA, Group.ADDITIVE, Group.SPICE, Group.FLOUR, Group.GELLING, Group.COLOUR)
    assert c.energy_kcal == pytest.approx(general, rel=0.5 if odd else 0.15, abs=25)


@over(ingredients)
def test_sugar_that_is_added_is_known(item: Ingredient) -> None:
    # 21 CFR 101.9(c)(6)(iii): sugars, syrups and honey count as added whole; plain fruit, milk and flour hold none.
    c = item.composition
    if item.group in (Group.SUGAR, Group.SYRUP):
        assert c.added_sugars_g == c.sugars_g
    elif item.group in (Group.FLOUR, Group.STARCH, Group.FRUIT, Group.VEGETABLE, Group.BUTTER, Group.SEED):
        assert c.added_sugars_g == 0
    else:
        assert c.added_sugars_g is not None


@over(ingredients)
def test_measures_are_ordered_ranges(item: Ingredient) -> None:
    seen: set[tuple[str, str]] = set()
    for measure in item.measures:
        assert measure.grams.low < measure.grams.high, f"{measure.unit} {measure.way} has no range"
        assert measure.grams.low > 0
        assert (measure.unit, measure.way) not in seen
        seen.add((measure.unit, measure.way))
        assert item.measure(measure.unit, measure.way) is measure


@over(ingredients)
def test_volumes_follow_from_one_another(item: Ingredient) -> None:
    # 1 cup = 16 tbsp = 48 tsp (NIST, Metric Household, SP 430); five printed digits.
    for measure in item.measures:
        if measure.unit == "cup":
            assert item.measure("tbsp", measure.way).grams.value == pytest.approx(measure.grams.value / 16, rel=1e-4)
            assert item.measure("tsp", measure.way).grams.value == pytest.approx(measure.grams.value / 48, rel=1e-4)


@over(ingredients)
def test_densities_are_those_of_food(item: Ingredient) -> None:
    density = item.density_g_per_ml
    if density is None:
        assert not any(measure.unit in VOLUME_ML for measure in item.measures)
    elif item.liquid:
        assert 0.75 <= density.value <= 1.45  # strong alcohol to glucose syrup
    else:
        assert 0.05 <= density.value <= 1.5  # freeze-dried fruit to salt


@over(ingredients)
def test_unknown_is_never_absent(item: Ingredient) -> None:
    assert not set(item.contains) & set(item.ask_about), "certain and doubtful at once"
    assert item.ask_supplier == bool(item.ask_about or item.ask_reason)
    if item.ask_supplier:
        assert item.ask_reason
    if item.group in (Group.CHOCOLATE, Group.COLOUR, Group.CONFECTION, Group.BISCUIT):
        own = item.key in ("royal_icing", "caramel_sauce")  # made in this kitchen of named parts
        assert item.ask_supplier or own
    if item.group is Group.FLAVOURING and item.key != "vanilla_bean":
        assert item.ask_supplier


@over(ingredients)
def test_diet_agrees_with_allergens(item: Ingredient) -> None:
    if {Allergen.MILK, Allergen.EGG, Allergen.FISH} & set(item.contains):
        assert item.vegan is Answer.NO
    if item.vegan is not Answer.YES or item.vegetarian is not Answer.YES:
        assert item.diet_reason
    if item.vegetarian is not Answer.YES:
        assert item.vegan is not Answer.YES
    # SR28 gives plain cocoa mass 2 mg, a trace of analysis; milk, egg and gelatine bring far more.
    if (item.composition.cholesterol_mg or 0) > 3:
        assert item.vegan is not Answer.YES


@over(ingredients)
def test_components_are_ingredients_in_descending_order(item: Ingredient) -> None:
    shares = [part.share for part in item.components if part.share is not None]
    assert shares == sorted(shares, reverse=True)
    assert all(0 < share <= 1 for share in shares)
    for part in item.components:
        whole = ingredient(part.key)
        if not part.ask:
            # What a certain part certainly holds, the compound holds or asks about.
            assert set(whole.contains) <= set(item.contains) | set(item.ask_about)


@over(ingredients)
def test_keeping_is_an_ordered_span(item: Ingredient) -> None:
    keeping = item.keeping
    assert 0 < keeping.unopened_days.low <= keeping.unopened_days.high
    assert 0 < keeping.opened_days.low <= keeping.opened_days.high
    assert keeping.source.text


def test_names_are_unique_once_normalised() -> None:
    claimed: dict[str, str] = {}
    for item in ingredients().values():
        for name in {normalise(text) for text in (item.name_us, item.name_uk, *item.aliases)}:
            assert claimed.setdefault(name, item.key) == item.key
    assert set(claimed) <= set(names())


def test_ambiguous_words_offer_what_there_is() -> None:
    for words, (keys, ask) in ambiguous().items():
        assert len(keys) >= 2 or words == "sherry"
        assert ask
        for key in keys:
            assert key in ingredients()
        if words in names():
            assert names()[words].key in keys, "a name that is also ambiguous must be among its own choices"


@over(pans)
def test_pans(item: Pan) -> None:
    assert pan(item.key) is item
    assert 20 <= item.depth_mm <= 110
    assert item.materials
    assert set(item.materials) <= set(pan_materials())
    assert item.volume_ml == pytest.approx(item.outline.area_mm2 * item.depth_mm / 1000)


@over(boards)
def test_boards(item: Board) -> None:
    assert board(item.key) is item
    assert 1 <= item.thickness_mm.low <= item.thickness_mm.high <= 20
    assert 0 < item.mass_g < 6000


@over(supports)
def test_supports(item: Support) -> None:
    assert support(item.key) is item
    assert 0 <= item.inner_mm < item.outer_mm < 60
    assert item.strength_mpa.low < item.strength_mpa.high
    assert item.youngs_modulus_mpa.low < item.youngs_modulus_mpa.high


@over(flowers)
def test_flowers(item: Flower) -> None:
    assert flower(item.key) is item
    assert item.botanical[0].isupper()
    assert item.may_touch_food is (item.status is FlowerStatus.EDIBLE)
    assert find_flower(item.botanical) is item
    if item.status is not FlowerStatus.EDIBLE:
        assert item.part.startswith("none")


def test_flower_names_are_unique() -> None:
    assert len(flower_names()) > len(flowers())
    assert find_flower("pressed unicorns") is None
