"""From the weighed formulas to what the sugar room says of syrups, foams and mixed coats."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.brief import Commission, Kitchen
from tierwright.formula import FormulaWork
from tierwright.sugar import (
    CreamKind,
    CreamLine,
    CreamPlan,
    Line,
    MeringueKind,
    MeringuePlan,
    SyrupState,
    Whites,
    mix_of,
    plan_cream,
    plan_meringue,
    syrup_state,
)
from tierwright.water import air_pressure_pa
from tierwright.words import FormulaKind
from tierwright.working import Assumption, Basis, Figure, Given, Notes, Question, Severity, Source

# Larder keys by the sugar room's own parts; what differs only in crystal size or salt is one part here.
CREAM_PARTS = {
    "unsalted_butter": "butter", "salted_butter": "butter", "european_butter": "butter",
    "vegetable_shortening": "shortening", "high_ratio_shortening": "shortening", "coconut_oil": "coconut-oil",
    "cocoa_butter": "cocoa-butter", "vegan_block": "plant-block",
    "powdered_sugar": "powdered-sugar", "fondant_icing_sugar": "powdered-sugar",
    "white_sugar": "sugar", "caster_sugar": "sugar", "golden_caster_sugar": "sugar", "demerara_sugar": "sugar",
    "glucose_syrup": "glucose-syrup", "light_corn_syrup": "glucose-syrup", "honey": "honey",
    "water": "water", "whole_milk": "milk", "soy_milk": "water", "oat_milk": "water", "almond_milk": "water",
    "heavy_cream": "cream", "whipping_cream_uk": "cream", "double_cream": "cream", "mascarpone": "mascarpone",
    "cream_cheese": "cream-cheese", "condensed_milk": "condensed-milk",
    "egg_white": "egg-white", "pasteurised_egg_white": "egg-white", "egg_yolk": "egg-yolk",
    "pasteurised_egg_yolk": "egg-yolk", "dried_egg_white": "dried-white",
    "dark_chocolate_50": "dark-chocolate", "dark_chocolate_60": "dark-chocolate", "dark_chocolate_70": "dark-chocolate",
    "semisweet_chips": "dark-chocolate", "vegan_dark_chocolate": "dark-chocolate",
    "milk_chocolate": "milk-chocolate", "milk_chocolate_40": "milk-chocolate", "white_chocolate": "white-chocolate",
    "cocoa_powder": "cocoa", "dutch_cocoa": "cocoa", "plain_flour": "flour", "cornstarch": "starch",
    "leaf_gelatine": "gelatine", "gelatin_powder": "gelatine",
    "ground_almonds": "almonds", "blanched_almonds": "almonds",
}  # fmt: skip
SYRUP_PARTS = {
    "white_sugar": "sugar", "caster_sugar": "sugar", "golden_caster_sugar": "sugar", "demerara_sugar": "sugar",
    "water": "water", "glucose_syrup": "glucose-syrup", "light_corn_syrup": "corn-syrup", "invert_sugar": "invert",
    "honey": "honey", "maple_syrup": "maple", "golden_syrup": "golden", "molasses": "molasses", "dextrose": "dextrose",
    "lemon_juice": "lemon-juice", "orange_juice": "orange-juice", "cream_of_tartar": "cream-of-tartar",
    "table_salt": "salt",
}  # fmt: skip
MERINGUES = {
    FormulaKind.SWISS_BUTTERCREAM: MeringueKind.SWISS,
    FormulaKind.ITALIAN_BUTTERCREAM: MeringueKind.ITALIAN,
}
WHITES = {
    "egg_white": Whites.FRESH,
    "pasteurised_egg_white": Whites.PASTEURISED,
    "dried_egg_white": Whites.DRIED,
}
WARMED_TO_C = 71.1
"""Reading at which warmed whites are taken off the heat when the formula does not say: 160 F, as the USDA Food Safety
and Inspection Service asks of egg dishes. [C]"""
LEFT_OUT_SHARE = 0.02
"""Flavourings up to this share of a coat are left out of its sums without a word. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SugarWork:
    """What the sugar room says of one formula: its state as a syrup, its foam, or what it is as a coat."""

    formula: str
    syrup: SyrupState | None = None
    meringue: MeringuePlan | None = None
    cream: CreamPlan | None = None


def work_sugar(
    commission: Commission, kitchen: Kitchen, works: tuple[FormulaWork, ...]
) -> tuple[tuple[SugarWork, ...], Notes]:
    """Run the sugar stage for every formula that is boiled, beaten or mixed rather than baked."""
    heated = {sheet.key: sheet.heated_to for sheet in commission.formulas}
    done: list[SugarWork] = []
    notes = Notes()
    for work in works:
        if work.batch is None or not work.batch.mixes:
            continue
        kind, key = work.formula.text.kind, work.formula.text.key
        if kind is FormulaKind.SYRUP:
            result, more = _syrup(work, kitchen)
        elif kind.value in {cream.value for cream in CreamKind}:
            result, more = _coat(work, kitchen, heated.get(key))
        else:
            continue
        done.append(result if result is not None else SugarWork(formula=key))
        notes = notes + more
    return tuple(done), notes


def _parts(work: FormulaWork, table: dict[str, str]) -> tuple[list[tuple[str, float]], tuple[Question, ...]]:
    """Translate the weights of the first mix; say so if something of weight has no place in the sums."""
    assert work.batch is not None
    parts: dict[str, float] = {}
    left: list[str] = []
    left_g = 0.0
    for part in work.batch.mixes[0].parts:
        name = table.get(part.ingredient)
        if name is None:
            left.append(part.label)
            left_g += part.grams
        else:
            parts[name] = parts.get(name, 0.0) + part.grams
    questions: tuple[Question, ...] = ()
    if left_g > LEFT_OUT_SHARE * work.batch.mixes[0].mass_g:
        questions = (
            Question(
                key=f"syrups.{work.formula.text.key}.left_out",
                severity=Severity.NOTE,
                sheet="syrups",
                text=f"{work.formula.text.name}: its temperatures leave out {', '.join(left)}.",
                reason="The program has no figures for how these melt or boil.",
                figure=f"{left_g / work.batch.mixes[0].mass_g:.0%} of the mass",
            ),
        )
    return list(parts.items()), questions


def _syrup(work: FormulaWork, kitchen: Kitchen) -> tuple[SugarWork | None, Notes]:
    parts, questions = _parts(work, SYRUP_PARTS)
    if not any(name != "water" for name, _ in parts):
        return None, Notes(questions=questions)
    mix = mix_of([Line(ingredient=name, grams=grams) for name, grams in parts])
    state = syrup_state(mix, temperature_c=kitchen.room, pressure_pa=air_pressure_pa(kitchen.altitude))
    key = work.formula.text.key
    made = Given(name="dissolved solids", value=100 * state.solids_share, unit="%")
    source = Source(basis=Basis.PUBLISHED, text="Norrish 1966, with Starzak and Peacock 1997 for sucrose; IAPWS R7-97")
    figures = (
        Figure(
            key=f"syrup.{key}.solids_percent",
            label=f"Solids of {work.formula.text.name}",
            value=100 * state.solids_share,
            unit="%",
            equation="dissolved solids over everything in the pot",
            source=Source(basis=Basis.EXACT, text="arithmetic"),
            sheet="syrups",
        ),
        Figure.of(
            state.boils_c,
            key=f"syrup.{key}.boils_c",
            label=f"{work.formula.text.name} comes to the boil here at",
            unit="C",
            equation="temperature at which water activity x saturation pressure = air pressure of the kitchen",
            inputs=(made, Given(name="altitude", value=kitchen.altitude, unit="m")),
            source=source,
            sheet="syrups",
        ),
        Figure(
            key=f"syrup.{key}.water_activity",
            label=f"Water activity of {work.formula.text.name}",
            value=state.water_activity,
            unit="1",
            equation="water activity of the solution at room temperature",
            inputs=(made,),
            source=source,
            sheet="syrups",
        ),
    )
    return SugarWork(formula=key, syrup=state), Notes(figures=figures, questions=questions)


def _coat(work: FormulaWork, kitchen: Kitchen, heated_c: float | None) -> tuple[SugarWork | None, Notes]:
    assert work.batch is not None
    key, kind = work.formula.text.key, work.formula.text.kind
    mix = work.batch.mixes[0]
    parts, questions = _parts(work, CREAM_PARTS)
    if not parts:
        return None, Notes(questions=questions)
    whites = next((part for part in mix.parts if part.ingredient in WHITES), None)
    treated = all(
        part.ingredient in {"pasteurised_egg_white", "pasteurised_egg_yolk", "pasteurised_whole_egg", "dried_egg_white"}
        for part in mix.parts
        if "egg" in part.ingredient
    )
    cream = plan_cream(
        CreamKind(kind.value),
        [CreamLine(part=name, grams=grams) for name, grams in parts],
        egg_heat_treated=treated,
        cup_weight_g_ml=work.formula.text.density,
        name=key,
    )
    notes = cream.notes + Notes(questions=questions)
    meringue = None
    if kind in MERINGUES and whites is not None:
        sugar_g = sum(grams for name, grams in parts if name in {"sugar", "powdered-sugar"})
        water_g = sum(grams for name, grams in parts if name == "water")
        warmed = MERINGUES[kind] is MeringueKind.SWISS
        if warmed and heated_c is None:
            default = Assumption(
                key=f"syrups.{key}.warmed_to",
                text=f"{work.formula.text.name}: whites and sugar are warmed to",
                value=kitchen.units.display().show_temperature(WARMED_TO_C),
                source=Source(basis=Basis.PUBLISHED, text="USDA FSIS: egg dishes to 160 F"),
            )
            notes = notes + Notes(assumptions=(default,))
        meringue = plan_meringue(
            MERINGUES[kind],
            warmed_to_c=(WARMED_TO_C if heated_c is None else heated_c) if warmed else None,
            whites=WHITES[whites.ingredient],
            whites_g=whites.grams,
            sugar_g=sugar_g,
            altitude_m=kitchen.altitude,
            syrup_water_g=water_g or None,
            room_c=kitchen.room,
            name=key,
        )
        notes = notes + meringue.notes
    return SugarWork(formula=key, meringue=meringue, cream=cream), notes
