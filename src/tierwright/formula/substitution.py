"""What can stand in for an ingredient, and what changes with it."""

from __future__ import annotations

from dataclasses import replace

from tierwright.errors import MissingData, UnknownName
from tierwright.formula.leavening import leavening
from tierwright.formula.model import Change, Formula, Line, Status, Substitution
from tierwright.formula.tables import Row, rows, source_of
from tierwright.larder import ingredient
from tierwright.working import Estimate


def substitutions(formula: Formula) -> tuple[Substitution, ...]:
    """
    List every substitution that the table knows for the ingredients of a formula.

    Parameters
    ----------
    formula
        In grams.

    Returns
    -------
    substitutions
        Each with the weights that change, and the change in water, fat, sugars, protein [g], acid against soda [g] and
        allergens of the whole formula.
    """
    present = {line.ingredient for line in formula.parts}
    return tuple(_work(formula, row) for row in rows("substitutions.csv") if row["out"] in present)


def substitute(formula: Formula, key: str) -> Formula:
    """
    Return the formula with one substitution carried out.

    Parameters
    ----------
    formula
        In grams; it is left as it is.
    key
        Of the substitution.

    Raises
    ------
    UnknownName
        The table has no such substitution.
    MissingData
        The formula does not hold what it replaces.

    Examples
    --------
    >>> from tierwright.formula import FormulaText, Kind, read_formula
    >>> text = FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=("100 g cake flour",))
    >>> [(line.ingredient, line.grams.value) for line in substitute(read_formula(text), "cake_flour_us").parts]
    [('all_purpose_flour', 87.0), ('cornstarch', 13.0)]
    """
    row = next((row for row in rows("substitutions.csv") if row["key"] == key), None)
    if row is None:
        raise UnknownName("substitution", key, [row["key"] for row in rows("substitutions.csv")])
    if row["out"] not in {line.ingredient for line in formula.parts}:
        raise MissingData(row["out"], f"the substitution {key}", formula.text.key)
    lines: list[Line] = []
    for line in formula.lines:
        if line.status is Status.READ and line.ingredient == row["out"]:
            lines += [_stand_in(line, into, share) for into, share in _shares(row)]
        else:
            lines.append(line)
    return replace(formula, lines=tuple(lines), applied=(*formula.applied, f"substitution.{key}"))


def _stand_in(line: Line, into: str, share: float) -> Line:
    return replace(
        line,
        ingredient=into,
        label=ingredient(into).name_us,
        grams=line.grams * share,
        count=0.0,
        way=f"in place of {line.label}",
    )


def _shares(row: Row) -> list[tuple[str, float]]:
    """Read ``whole_milk=0.94; lemon_juice=0.06``: grams of each for a gram of what goes out."""
    pairs = [piece.split("=") for piece in row["into"].split(";")]
    return [(name.strip(), float(share)) for name, share in pairs]


def _work(formula: Formula, row: Row) -> Substitution:
    after = substitute(formula, row["key"])
    out = ingredient(row["out"])
    out_g = sum(line.grams.value for line in formula.parts if line.ingredient == out.key)
    changes = [Change(ingredient=out.key, label=out.name_us, before_g=out_g, after_g=0.0)]
    for into, share in _shares(row):
        before_g = sum(line.grams.value for line in formula.parts if line.ingredient == into)
        found = ingredient(into)
        changes.append(
            Change(ingredient=into, label=found.name_us, before_g=before_g, after_g=before_g + share * out_g)
        )
    was, now = _allergens(formula), _allergens(after)
    source = source_of(row)
    return Substitution(
        key=row["key"],
        title=row["title"],
        changes=tuple(changes),
        water_g=_part(after, "water_g") - _part(formula, "water_g"),
        fat_g=_part(after, "fat_g") - _part(formula, "fat_g"),
        sugars_g=_part(after, "sugars_g") - _part(formula, "sugars_g"),
        protein_g=_part(after, "protein_g") - _part(formula, "protein_g"),
        soda_g=_soda(after).value - _soda(formula).value,
        allergens_added=tuple(sorted(now - was)),
        allergens_removed=tuple(sorted(was - now)),
        effects=row["effects"],
        source=str(source),
    )


def _part(formula: Formula, name: str) -> float:
    """Mass of one part of the composition in the whole formula; an unknown part counts as none. [g]"""
    total = 0.0
    for line in formula.parts:
        share = getattr(ingredient(line.ingredient).composition, name)
        total += line.grams.value * (share or 0.0) / 100
    return total


def _soda(formula: Formula) -> Estimate:
    total = Estimate.exact(0.0)
    for acid in leavening(formula).acids:
        total = total + acid.soda_g
    return total


def _allergens(formula: Formula) -> set[str]:
    """Allergens certainly there and those that only a supplier can rule out."""
    found: set[str] = set()
    for line in formula.parts:
        item = ingredient(line.ingredient)
        found |= {allergen.value for allergen in item.contains}
        found |= {f"{allergen.value} (ask)" for allergen in item.ask_about}
    return {name for name in found if name.removesuffix(" (ask)") not in found or not name.endswith(" (ask)")}
