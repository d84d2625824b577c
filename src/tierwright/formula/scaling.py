"""From pans and needs to weights: batter for every pan, bowl by bowl."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt
from typing import Final

from tierwright.errors import require_range
from tierwright.formula.model import Batch, Bowl, Formula, Line, Mix, MixPart, PanFill, PanJob
from tierwright.formula.percent import composition_of
from tierwright.formula.tables import FormulaClass, formula_class
from tierwright.words import FormulaKind
from tierwright.working import NOTHING, Estimate

BOWL_LOSS: Final = Estimate(value=0.02, low=0.01, high=0.04)
"""Share of a batter that stays on bowl and paddle; common practice. [-]"""

LARGEST_SCALE: Final = 4.0
"""A formula is multiplied by no more than this in one bowl; common practice. [-]"""

EGG_SHIFT: Final = 0.10
"""A mix is made this much larger at most to use whole eggs; beyond it the eggs are weighed. [-]"""

EGG_SLACK: Final = 0.01
"""A mix may be this much smaller for the sake of whole eggs: less than what stays on the bowl. [-]"""

HIGH_M: Final = 914.4
HIGH_FILL: Final = (1 / 3, 1 / 2)
"""Share of a pan that a chemically raised batter may fill above 3000 ft; altitude guidance, common practice. [-]"""

JAM_SOLIDS: Final = 66.0  # soluble solids of a finished jam; 21 CFR 150.160 asks for 65 [%]
FINE_UNDER_G: Final = 20.0  # below this a maker weighs in tenths


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """Batter for one pan: its mass and volume, and how it lies there before and after the bake."""

    job: PanJob
    number: int
    batter_g: Estimate
    batter_ml: float
    fill_mm: float
    baked_mm: float


def density_of(formula: Formula, known: FormulaClass) -> Estimate:
    """Density of a batter or of what is ready to use: measured if the maker gave it, else its class's. [g/ml]"""
    measured = formula.text.specific_gravity if known.kind.is_batter else formula.text.density
    if measured is None:
        return known.density
    # A cup can be weighed to about two per cent.
    return Estimate.within(measured, 0.02)


def fill_limits(known: FormulaClass, altitude_m: float) -> tuple[float, float]:
    """Return the least and the greatest share of a pan's depth that a batter may fill. [-]"""
    if altitude_m >= HIGH_M and known.kind.is_batter and not known.kind.is_foam:
        return HIGH_FILL
    return known.fill_low, known.fill_high


def pour(job: PanJob, number: int, density: Estimate, known: FormulaClass) -> Pour:
    """
    Work out the batter for one layer.

    Parameters
    ----------
    job
        The pan and the height wanted of its layer after levelling. [mm], 5 to 150
    number
        Which of the like layers.
    density
        Of the batter. [g/ml]
    known
        Rise and trim of its class.

    Returns
    -------
    pour
        With mass = area x levelled height / (1 - trim) / rise x density. The ranges of density, rise and trim are added
        as squares, because they do not miss together.

    Examples
    --------
    Two pans of one depth, 8 in and 10 in round: areas, and so batters, stand as 64 to 100.

    >>> from tierwright.formula import Kind, PanJob
    >>> from tierwright.shapes import Outline
    >>> known = formula_class(Kind.CREAMED)
    >>> small, large = (
    ...     pour(PanJob(key="t", pan="p", outline=Outline.round(25.4 * inches), depth_mm=50.8, count=1,
    ...                 levelled_mm=38.0), 1, known.density, known).batter_g.value
    ...     for inches in (8, 10)
    ... )
    >>> round(large / small, 4)
    1.5625
    """
    require_range("levelled height", job.levelled_mm, 5.0, 150.0, "mm", job.key)
    levelled_ml = job.outline.area_mm2 * job.levelled_mm / 1000
    baked_ml = levelled_ml / (1 - known.trim.value)
    batter_ml = baked_ml / known.rise.value
    grams = batter_ml * density.value
    keep = Estimate(value=1 - known.trim.value, low=1 - known.trim.high, high=1 - known.trim.low)
    low = grams * (1 - sqrt(_below(density) ** 2 + _above(known.rise) ** 2 + _above(keep) ** 2))
    high = grams * (1 + sqrt(_above(density) ** 2 + _below(known.rise) ** 2 + _below(keep) ** 2))
    return Pour(
        job=job,
        number=number,
        batter_g=Estimate(value=grams, low=low, high=high),
        batter_ml=batter_ml,
        fill_mm=batter_ml * 1000 / job.outline.area_mm2,
        baked_mm=baked_ml * 1000 / job.outline.area_mm2,
    )


def _below(estimate: Estimate) -> float:
    return 1 - estimate.low / estimate.value


def _above(estimate: Estimate) -> float:
    return estimate.high / estimate.value - 1


def yield_of(formula: Formula, known: FormulaClass) -> Estimate:
    """
    Mass ready to use over mass weighed out. [-]

    A jam is boiled until two thirds of it are solids, so that its own water says what is lost; others take their
    class's share.
    """
    composition = composition_of(formula.parts)
    if formula.text.kind is FormulaKind.JAM and composition is not None:
        solids = 100 - composition.water_g - composition.alcohol_g
        left = min(1.0, solids / JAM_SOLIDS)
        return Estimate(value=left, low=left * 0.95, high=min(1.0, left * 1.05))
    return known.cooked


def make_batch(
    formula: Formula,
    *,
    jobs: tuple[PanJob, ...] = (),
    need_g: Estimate = NOTHING,
    bowls: tuple[Bowl, ...] = (),
    resolution_g: float = 1.0,
) -> Batch:
    """
    Scale a formula to its pans, or to a mass that is needed, and part it into bowls.

    Parameters
    ----------
    formula
        In grams, with no line left to ask.
    jobs
        Pans to fill; empty for what is not baked.
    need_g
        Mass needed otherwise, ready to use, losses on the cake included. [g]
    bowls
        Bowls of the kitchen; the one that takes the largest mix is used.
    resolution_g
        What the kitchen's scale shows. [g], 0.1 to 10

    Returns
    -------
    batch
        Mixes, as near equal as whole pans allow, each no larger than its bowl and four times the formula.

    Raises
    ------
    OutOfRange
        A scale that shows no useful step, or nothing to make.
    """
    require_range("scale resolution", resolution_g, 0.1, 10.0, "g")
    known = formula_class(formula.text.kind)
    density = density_of(formula, known)
    pours = [pour(job, number, density, known) for job in jobs for number in range(1, job.count + 1)]
    for one in pours:
        need_g = need_g + one.batter_g
    require_range("amount to make", need_g.value, 0.1, 1e6, "g", formula.text.key)
    keep = (1 - BOWL_LOSS.value) if pours else yield_of(formula, known).value
    written_g = formula.total_g.value
    bowl, capacity_g = _capacity(bowls, density.value, written_g)
    sizes, placed = _part(pours, need_g.value / keep, keep, capacity_g)
    mixes = tuple(
        _mix(number, formula, size, bowl, capacity_g, density.value, resolution_g)
        for number, size in enumerate(sizes, start=1)
    )
    made_g = sum(mix.mass_g for mix in mixes)
    fills = tuple(
        PanFill(
            job=one.job.key,
            pan=one.job.pan,
            outline=one.job.outline,
            number=one.number,
            mix=mix + 1,
            batter_g=one.batter_g,
            batter_ml=one.batter_ml,
            fill_mm=one.fill_mm,
            fill_share=one.fill_mm / one.job.depth_mm,
            baked_mm=one.baked_mm,
        )
        for one, mix in placed
    )
    return Batch(
        need_g=need_g,
        make_g=made_g,
        scale=made_g / written_g,
        mixes=mixes,
        fills=fills,
        spare_g=made_g * keep - need_g.value,
    )


def _capacity(bowls: tuple[Bowl, ...], density: float, written_g: float) -> tuple[Bowl | None, float]:
    """Return the bowl that takes the largest mix, and that mix. [g]"""
    best: Bowl | None = None
    largest = 0.0
    for bowl in bowls:
        takes = bowl.litres * 1000 * bowl.usable_share * density
        takes = min(takes, bowl.limit_g) if bowl.limit_g else takes
        if takes > largest:
            best, largest = bowl, takes
    multiple = LARGEST_SCALE * written_g
    return (best, min(largest, multiple)) if best else (None, multiple)


def _part(
    pours: list[Pour], total_g: float, keep: float, capacity_g: float
) -> tuple[list[float], list[tuple[Pour, int]]]:
    """
    Part a total into mixes of whole pans where they fit, the largest pans first into the emptiest bowl.

    Where a single pan takes more than a bowl, the mixes are equal and their pans are shared.
    """
    least = max(1, ceil(total_g / capacity_g - 1e-9))
    if pours and max(one.batter_g.value for one in pours) / keep <= capacity_g:
        order = sorted(range(len(pours)), key=lambda index: -pours[index].batter_g.value)
        for count in range(least, len(pours) + 1):
            sizes = [0.0] * count
            homes: dict[int, int] = {}
            for index in order:
                home = min(range(count), key=lambda mix: sizes[mix])
                sizes[home] += pours[index].batter_g.value / keep
                homes[index] = home
            if max(sizes) <= capacity_g + 1e-9:
                return sizes, [(pours[index], homes[index]) for index in range(len(pours))]
    sizes = [total_g / least] * least
    placed: list[tuple[Pour, int]] = []
    poured = 0.0
    for one in pours:
        placed.append((one, min(least - 1, int(poured / (total_g / least)))))
        poured += one.batter_g.value / keep
    return sizes, placed


def whole_eggs(formula: Formula, scale: float) -> float:
    """
    Scale at or a little above the one wanted at which the main egg line is a whole number of eggs. [-]

    The whole mix grows with its eggs, so that the balance stays; where that would make it more than a tenth larger
    the scale is left as it is, and the eggs are beaten and weighed.

    Examples
    --------
    Three eggs at a scale of 1.3 are 3.9: made 4, the mix grows by 2.6 %.

    >>> from tierwright.formula import FormulaText, Kind, read_formula
    >>> text = FormulaText(key="a", name="A", kind=Kind.CREAMED, lines=("3 large eggs", "150 g cake flour"))
    >>> round(whole_eggs(read_formula(text), 1.3), 4)
    1.3333
    """
    counted = [line for line in formula.parts if line.count > 0 and _is_egg(line)]
    if not counted:
        return scale
    main = max(counted, key=lambda line: line.grams.value)
    wanted = main.count * scale
    eggs = ceil(wanted * (1 - EGG_SLACK))
    grown = eggs / main.count
    return grown if eggs > 0 and grown / scale - 1 <= EGG_SHIFT else scale


def _is_egg(line: Line) -> bool:
    return line.ingredient in ("whole_egg", "egg_white", "egg_yolk")


def _mix(
    number: int,
    formula: Formula,
    size_g: float,
    bowl: Bowl | None,
    capacity_g: float,
    density: float,
    resolution_g: float,
) -> Mix:
    written_g = formula.total_g.value
    wanted = size_g / written_g
    scale = whole_eggs(formula, wanted)
    if scale * written_g > capacity_g * 1.001:
        scale = wanted
    parts = tuple(_weigh(line, scale, resolution_g) for line in formula.parts)
    mass_g = sum(part.grams for part in parts)
    return Mix(
        number=number,
        bowl=bowl.name if bowl else "",
        parts=parts,
        mass_g=mass_g,
        volume_ml=mass_g / density,
        scale=scale,
    )


def _weigh(line: Line, scale: float, resolution_g: float) -> MixPart:
    exact = line.grams.value * scale
    step = resolution_g if exact >= FINE_UNDER_G else min(resolution_g, 0.1)
    count = line.count * scale
    whole = bool(count) and abs(count - round(count)) < 0.005
    return MixPart(
        ingredient=line.ingredient,
        label=line.label,
        grams=round(max(step, round(exact / step) * step), 6),
        count=float(round(count)) if whole else round(count, 2),
        note=line.note if whole or not _is_egg(line) or not line.count else _egg_note(line),
    )


def _egg_note(line: Line) -> str:
    return f"{line.note}, beaten and weighed".removeprefix(", ")
