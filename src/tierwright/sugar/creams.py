"""Mixed coatings: what is in them, what they weigh, at which temperatures they work, what they hand to keeping."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from tierwright.errors import MissingData, UnknownName, require_range
from tierwright.sugar.activity import solute, water_activity
from tierwright.sugar.cautions import SHEET, raw_egg
from tierwright.sugar.cream_model import (
    CreamKind,
    CreamLine,
    CreamPart,
    CreamPlan,
    EmulsionState,
    GanacheBalance,
    Shares,
)
from tierwright.sugar.fats import SpreadWindow, spread_window
from tierwright.sugar.holding import Holding, faults_of
from tierwright.sugar.properties import sucrose_solubility
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Basis,
    Estimate,
    Figure,
    Notes,
    Question,
    Severity,
    Source,
)

FAT_SOURCE: Final = Source(
    basis=Basis.FROM_MEMORY, text="solid-fat curves in solid_fat.csv; the hand's limits are common practice"
)
# Fat against fat and water, from memory of chocolate confectionery: from 0.72 a ganache splits, from 0.66 it is tight,
# under 0.50 it does not set to a coat.
SPLITS_FROM: Final = 0.72
TIGHT_FROM: Final = 0.66
LOOSE_BELOW: Final = 0.50
RESCUED_TO: Final = 0.64


@dataclass(frozen=True, slots=True, kw_only=True)
class CreamRow:
    """
    One row of the table of coatings.

    Attributes
    ----------
    kind, label
        What it is.
    proportions
        A usual formula, to answer a question without one. [g]
    air
        Its density over the density of its parts without air. [1]
    ph
        Likely span. [-]
    worked_c
        Temperature at which it is worked. [C]
    source
        Where that comes from.
    """

    kind: CreamKind
    label: str
    proportions: tuple[CreamLine, ...]
    air: Estimate
    ph: Estimate
    worked_c: Estimate
    source: str


@cache
def cream_parts() -> dict[str, CreamPart]:
    """Return the ingredients of coatings by key."""
    names = ("water", "fat", "sugar", "reducing", "protein", "starch", "cocoa", "density_g_ml")
    return {
        row["key"]: CreamPart(
            key=row["key"],
            label=row["label"],
            fat_kind=row["fat_kind"],
            egg=row["egg"] == "yes",
            dairy=row["dairy"] == "yes",
            source=row["source"],
            **{name: float(row[name]) for name in names},
        )
        for row in _rows("cream_parts.csv")
    }


@cache
def cream_rows() -> dict[CreamKind, CreamRow]:
    """Return the table of coatings by kind."""
    return {
        CreamKind(row["kind"]): CreamRow(
            kind=CreamKind(row["kind"]),
            label=row["label"],
            proportions=tuple(
                CreamLine(part=part, grams=float(grams))
                for part, grams in (pair.split(":") for pair in row["proportions"].split(";"))
            ),
            air=_three(row, "air_low", "air", "air_high"),
            ph=_three(row, "ph_low", "ph", "ph_high"),
            worked_c=_three(row, "worked_low_c", "worked_c", "worked_high_c"),
            source=row["source"],
        )
        for row in _rows("creams.csv")
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Stabiliser:
    """What holds whipped cream: its dose as a share of the cream [1], what it does, whether it is of animal origin."""

    key: str
    label: str
    dose: Estimate
    what_it_does: str
    animal: bool
    source: str

    def dose_g(self, cream_g: float) -> Estimate:
        """Return how much a mass of cream takes. [g]"""
        require_range("cream", cream_g, 10.0, 50_000.0, "g")
        return self.dose * cream_g


@cache
def stabilisers() -> dict[str, Stabiliser]:
    """Return what holds whipped cream, by key."""
    return {
        row["key"]: Stabiliser(
            key=row["key"],
            label=row["label"],
            dose=Estimate(
                value=(float(row["dose_low"]) + float(row["dose_high"])) / 2,
                low=float(row["dose_low"]),
                high=float(row["dose_high"]),
            ),
            what_it_does=row["what_it_does"],
            animal=row["animal"] == "yes",
            source=row["source"],
        )
        for row in _rows("stabilisers.csv")
    }


def shares_of(lines: Sequence[CreamLine]) -> Shares:
    """
    Composition of a coating.

    Parameters
    ----------
    lines
        Its ingredients. [g]

    Returns
    -------
    shares
        Of the whole. [1]

    Raises
    ------
    UnknownName
        An ingredient that the table does not hold.
    OutOfRange
        A negative mass.
    MissingData
        Nothing at all.
    """
    weighed = weighed_parts(lines)
    total = sum(grams for _, grams in weighed)
    fats: dict[str, float] = {}
    for part, grams in weighed:
        if part.fat_kind and part.fat:
            fats[part.fat_kind] = fats.get(part.fat_kind, 0.0) + part.fat * grams / total

    def share(name: str) -> float:
        return float(sum(getattr(part, name) * grams for part, grams in weighed) / total)

    return Shares(
        water=share("water"),
        fat=share("fat"),
        sugar=share("sugar") + share("reducing"),
        protein=share("protein"),
        starch=share("starch"),
        cocoa=share("cocoa"),
        fats=tuple(sorted(fats.items())),
    )


def plan_cream(
    kind: CreamKind,
    lines: Sequence[CreamLine] | None = None,
    *,
    scale_to_g: float | None = None,
    egg_heat_treated: bool = False,
    cup_weight_g_ml: float | None = None,
    name: str = "cream",
) -> CreamPlan:
    """
    Describe a mixed coating.

    Parameters
    ----------
    kind
        What it is.
    lines
        Its ingredients; a usual formula if None. [g]
    scale_to_g
        Wanted mass of the whole; as the lines say if None. [g]
    egg_heat_treated
        Whether its egg is pasteurised or was heated enough.
    cup_weight_g_ml
        The maker's own density, weighed in a cup. [g/ml]
    name
        Short name for the keys of the figures.

    Returns
    -------
    plan
        Composition, volume, working temperatures, balance and notes.
    """
    row = cream_rows()[kind]
    own = tuple(lines) if lines is not None else row.proportions
    weighed = weighed_parts(own)
    total = sum(grams for _, grams in weighed)
    if scale_to_g is not None:
        require_range("wanted mass", scale_to_g, 10.0, 100_000.0, "g")
        own = tuple(CreamLine(part=line.part, grams=line.grams * scale_to_g / total) for line in own)
        weighed, total = weighed_parts(own), scale_to_g
    shares = shares_of(own)
    density = _density(row, weighed, cup_weight_g_ml)
    activity = _activity(weighed)
    window = None if kind is CreamKind.WHIPPED_CREAM else spread_window(dict(shares.fats))
    if kind in (CreamKind.ROYAL_ICING, CreamKind.ROLLED_FONDANT, CreamKind.MARZIPAN, CreamKind.MIRROR_GLAZE):
        window = None  # sugar, nuts or gel carry these, not fat
    egg = any(part.egg for part, _ in weighed)
    plan_ganache = ganache_balance(own) if kind is CreamKind.GANACHE else None
    holding = Holding(
        water_activity=activity,
        ph=row.ph,
        sugar_share=shares.sugar,
        contains_egg=egg,
        egg_heat_treated=egg and egg_heat_treated,
        contains_dairy=any(part.dairy for part, _ in weighed),
        fat=max(shares.fats, key=lambda pair: pair[1])[0] if shares.fats else "",
    )
    return CreamPlan(
        kind=kind,
        label=row.label,
        lines=own,
        mass_g=total,
        shares=shares,
        density_g_ml=density,
        volume_ml=Estimate(value=total / density.value, low=total / density.high, high=total / density.low),
        worked_c=row.worked_c,
        window=window,
        ganache=plan_ganache,
        holding=holding,
        faults=faults_of(*_FAULTS[kind]),
        notes=_notes(name, row, shares, window, plan_ganache, holding),
    )


def ganache_balance(lines: Sequence[CreamLine]) -> GanacheBalance:
    """
    Weigh a ganache's fat against its water.

    Parameters
    ----------
    lines
        Chocolate, cream and whatever else goes in. [g]

    Returns
    -------
    balance
        Shares, how safely it holds, what liquid would rescue it, and where it sets.

    Notes
    -----
    From memory of chocolate confectionery: fat against fat and water holds to about 0.66, splits from about 0.72.
    """
    shares = shares_of(lines)
    total = sum(line.grams for line in lines)
    ratio = shares.fat / (shares.fat + shares.water) if shares.fat + shares.water else 0.0
    if ratio >= SPLITS_FROM:
        state = EmulsionState.SPLITS
    elif ratio >= TIGHT_FROM:
        state = EmulsionState.TIGHT
    elif ratio < LOOSE_BELOW:
        state = EmulsionState.LOOSE
    else:
        state = EmulsionState.SAFE
    needed = max(0.0, shares.fat * (1.0 / RESCUED_TO - 1.0) - shares.water) * total
    window = spread_window(dict(shares.fats))
    sets: Estimate | None = None
    if window is not None and window.firm_below_c is not None:
        # Melted cocoa butter sets late: a ganache left to itself firms several degrees below its settled curve.
        sets = Estimate(value=window.firm_below_c - 3.0, low=window.firm_below_c - 7.0, high=window.firm_below_c)
    return GanacheBalance(
        fat=shares.fat,
        sugar=shares.sugar,
        water=shares.water,
        cocoa=shares.cocoa,
        fat_of_fat_and_water=ratio,
        state=state,
        liquid_to_rescue_g=needed if state in (EmulsionState.TIGHT, EmulsionState.SPLITS) else 0.0,
        sets_at_c=sets,
    )


def weighed_parts(lines: Sequence[CreamLine]) -> list[tuple[CreamPart, float]]:
    """
    Look every ingredient up and check its mass.

    Parameters
    ----------
    lines
        Ingredients. [g]

    Returns
    -------
    weighed
        Each ingredient with its mass; those without mass are left out. [g]

    Raises
    ------
    UnknownName
        An ingredient that the table does not hold.
    OutOfRange
        A negative mass, or more than 100 kg.
    MissingData
        Nothing at all.
    """
    table = cream_parts()
    found: list[tuple[CreamPart, float]] = []
    for number, line in enumerate(lines, start=1):
        if line.part not in table:
            raise UnknownName("ingredient of a coating", line.part, tuple(table), f"line {number}")
        require_range(line.part, line.grams, 0.0, 100_000.0, "g", f"line {number}")
        if line.grams:
            found.append((table[line.part], line.grams))
    if not found:
        raise MissingData("an ingredient", "a coating")
    return found


def _density(row: CreamRow, weighed: list[tuple[CreamPart, float]], own: float | None) -> Estimate:
    if own is not None:
        require_range("density of the coating", own, 0.2, 1.6, "g/ml")
        return Estimate.within(own, 0.04)
    total = sum(grams for _, grams in weighed)
    # Sugar in solution takes up less room than as crystals; the difference drowns in the air's range.
    flat = total / sum(grams / part.density_g_ml for part, grams in weighed)
    return flat * row.air


def _activity(weighed: list[tuple[CreamPart, float]]) -> Estimate:
    """Water activity of the water phase; sugar beyond saturation stays as crystals and does not count."""
    water = sum(part.water * grams for part, grams in weighed)
    sugar = sum(part.sugar * grams for part, grams in weighed)
    reducing = sum(part.reducing * grams for part, grams in weighed)
    if water <= 0:
        return Estimate(value=0.3, low=0.1, high=0.5)
    saturated = sucrose_solubility(20.0)
    dissolved = min(sugar, water * saturated / (1.0 - saturated))
    activity = float(water_activity({solute("sucrose"): dissolved, solute("glucose"): reducing}, water, 20.0))
    # Starch, cocoa and protein hold some water too; unevenly mixed sugar holds less than it should.
    return Estimate(value=activity, low=max(0.0, activity - 0.05), high=min(1.0, activity + 0.03))


_FAULTS: Final[dict[CreamKind, tuple[str, ...]]] = {
    CreamKind.SWISS_BUTTERCREAM: ("buttercream",),
    CreamKind.ITALIAN_BUTTERCREAM: ("buttercream",),
    CreamKind.FRENCH_BUTTERCREAM: ("buttercream",),
    CreamKind.POWDERED_BUTTERCREAM: ("buttercream", "powdered"),
    CreamKind.FLOUR_BUTTERCREAM: ("buttercream", "flour-cooked"),
    CreamKind.CREAM_CHEESE: ("cream-cheese",),
    CreamKind.GANACHE: ("ganache",),
    CreamKind.WHIPPED_CREAM: ("whipped-cream",),
    CreamKind.ROYAL_ICING: ("royal-icing",),
    CreamKind.ROLLED_FONDANT: ("rolled-fondant",),
    CreamKind.MARZIPAN: ("rolled-fondant",),
    CreamKind.MIRROR_GLAZE: ("mirror-glaze",),
}


def _notes(
    name: str,
    row: CreamRow,
    shares: Shares,
    window: SpreadWindow | None,
    balance: GanacheBalance | None,
    holding: Holding,
) -> Notes:
    figures = [
        Figure(
            key=f"cream.{name}.sugar_share",
            label=f"{row.label}: sugar in the whole",
            value=shares.sugar,
            equation="sugar of every ingredient / mass",
            source=ARITHMETIC,
            sheet=SHEET,
        ),
        Figure.of(
            holding.water_activity,
            key=f"cream.{name}.water_activity",
            label="Water activity of its water at 20 C, computed, not measured",
            unit="",
            equation="dissolved sugars in its water; sucrose no further than saturation",
            source=Source(basis=Basis.PUBLISHED, text="Starzak and Peacock 1997; Norrish 1966; Charles 1960"),
            sheet=SHEET,
        ),
        Figure.of(
            row.worked_c,
            key=f"cream.{name}.worked_c",
            label="Temperature to work it at",
            unit="C",
            equation="by common practice",
            source=COMMON_PRACTICE,
            sheet=SHEET,
        ),
    ]
    if window is not None and window.works_to_c is not None:
        figures.append(
            Figure.of(
                window.works_to_c,
                key=f"cream.{name}.works_to_c",
                label="Holds a line up to",
                unit="C",
                equation="temperature at which 4 g of fat in 100 g of the whole are still solid",
                source=FAT_SOURCE,
                sheet=SHEET,
            )
        )
    questions: list[Question] = []
    if balance is not None and balance.state in (EmulsionState.SPLITS, EmulsionState.LOOSE):
        questions.append(
            Question(
                key=f"cream.{name}.balance",
                severity=Severity.ASK,
                sheet=SHEET,
                text=f"This ganache is {balance.state.value}. Change the proportions?",
                reason="Cocoa butter and cream fat need water around them to stay an emulsion.",
                figure=f"fat {balance.fat_of_fat_and_water:.2f} of fat and water",
                change=f"{balance.liquid_to_rescue_g:.0f} g more liquid"
                if balance.liquid_to_rescue_g
                else "more chocolate, or use it as a glaze",
            )
        )
    cautions = (raw_egg("whites"),) if holding.contains_egg and not holding.egg_heat_treated else ()
    return Notes(figures=tuple(figures), questions=tuple(questions), cautions=cautions)


def _three(row: dict[str, str], low: str, value: str, high: str) -> Estimate:
    return Estimate(value=float(row[value]), low=float(row[low]), high=float(row[high]))


def _rows(name: str) -> list[dict[str, str]]:
    text = files("tierwright.sugar").joinpath(f"data/{name}").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
