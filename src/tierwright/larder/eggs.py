"""Eggs by size: weight classes in the shell, and what is inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from tierwright.errors import UnknownName, require_range
from tierwright.larder.tables import estimate, rows, source_of
from tierwright.working import Basis, Estimate, Source

LIGHTEST_G = 20.0
HEAVIEST_G = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EggGrade:
    """
    A weight class of hen's eggs.

    Attributes
    ----------
    key
        Name in files, such as ``us_large`` or ``eu_m``.
    jurisdiction, name
        Whose class it is (``US`` or ``EU``, which Britain shares), and its name there.
    shell_low_g, shell_high_g
        Weight in the shell, low included and high excluded; no upper end is None. A US class is set by the dozen, so a
        single egg may be lighter. [g]
    edible_g
        Weight without the shell. [g]
    white_share
        Share of the white in the edible part, by mass.
    rule
        The class in words.
    source, edible_source
        Where the class and the edible weight come from.
    """

    key: str
    jurisdiction: str
    name: str
    shell_low_g: float
    shell_high_g: float | None
    edible_g: Estimate
    white_share: float
    rule: str
    source: Source
    edible_source: Source

    @property
    def white_g(self) -> Estimate:
        """Weight of the white of one egg. [g]"""
        return self.edible_g * self.white_share

    @property
    def yolk_g(self) -> Estimate:
        """Weight of the yolk of one egg. [g]"""
        return self.edible_g * (1 - self.white_share)


@cache
def egg_grades() -> Mapping[str, EggGrade]:
    """Return the weight classes by key, the heaviest of each jurisdiction first."""
    return MappingProxyType(
        {
            row["key"]: EggGrade(
                key=row["key"],
                jurisdiction=row["jurisdiction"],
                name=row["name"],
                shell_low_g=float(row["shell_low_g"]),
                shell_high_g=float(row["shell_high_g"]) if row["shell_high_g"] else None,
                edible_g=estimate(row, "edible_g"),
                white_share=float(row["white_share"]),
                rule=row["rule"],
                source=source_of(row),
                edible_source=Source(basis=Basis(row["edible_basis"]), text=row["edible_source"]),
            )
            for row in rows("egg_grades.csv")
        }
    )


def egg_grade(key: str) -> EggGrade:
    """
    Return one weight class by its key.

    Raises
    ------
    UnknownName
        No class has this key.
    """
    table = egg_grades()
    if key not in table:
        raise UnknownName("egg size", key, tuple(table))
    return table[key]


def grade_of(shell_g: float, jurisdiction: str) -> EggGrade | None:
    """
    Return the weight class of an egg in its shell, or None if it is lighter than the lightest class.

    Parameters
    ----------
    shell_g
        Weight in the shell. [g], 20 to 120
    jurisdiction
        ``US`` or ``EU``.

    Raises
    ------
    OutOfRange
        No hen's egg.
    UnknownName
        No such jurisdiction.
    """
    require_range("egg", shell_g, LIGHTEST_G, HEAVIEST_G, "g")
    classes = [grade for grade in egg_grades().values() if grade.jurisdiction == jurisdiction]
    if not classes:
        raise UnknownName(
            "jurisdiction with egg sizes", jurisdiction, sorted({g.jurisdiction for g in egg_grades().values()})
        )
    for grade in classes:
        if shell_g >= grade.shell_low_g:
            return grade
    return None
