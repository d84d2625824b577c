"""Figures of coating, each opening to its working."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from tierwright.coating.ganache import Chocolate, Season, split_ganache
from tierwright.coating.model import Need, Part, PartMass
from tierwright.coating.order import Spread
from tierwright.coating.parts import OUTSIDE_PARTS, dam_spread, spread_density
from tierwright.coating.tables import amount, kind
from tierwright.coating.tier import WorkedTier
from tierwright.ranges import total
from tierwright.units import show_plain
from tierwright.working import ARITHMETIC, COMMON_PRACTICE, Assumption, Basis, Estimate, Figure, Given, Source

SHEET: Final = "coats"
STEINER: Final = Source(
    basis=Basis.PUBLISHED,
    text="parallel bodies (Steiner 1840); Schneider, Convex Bodies: The Brunn-Minkowski Theory, 2nd ed. 2014, sec. 4.1",
)
SQUEEZE: Final = Source(
    basis=Basis.PUBLISHED,
    text="Scott, Trans. Inst. Rubber Ind. 7 (1931) 169; Covey and Stanmore, J. Non-Newtonian Fluid Mech. 8 (1981) 249",
)
GANACHES: Final = {"dark_ganache": Chocolate.DARK, "milk_ganache": Chocolate.MILK, "white_ganache": Chocolate.WHITE}


def _of(worked: WorkedTier, parts: Iterable[Part]) -> list[PartMass]:
    wanted = set(parts)
    return [part for part in worked.coated.parts if part.part in wanted]


def _mass(parts: list[PartMass]) -> Estimate:
    return total([part.on_cake_g for part in parts])


def range_text(estimate: Estimate) -> str:
    """Print an estimate with its range, with the digits that matter."""
    return f"{show_plain(estimate.value)} ({show_plain(estimate.low)} to {show_plain(estimate.high)})"


def _density(spread: Spread | None) -> tuple[Given, ...]:
    if spread is None:
        return ()
    of = kind(spread.kind)
    text = range_text(spread_density(spread))
    overrun = (
        () if spread.measured_g_per_ml is not None else (Given(name="overrun", value=of.overrun_percent, unit="%"),)
    )
    return (Given(name=f"density of {of.name}", value=text, unit="g/ml"), *overrun)


def tier_figures(worked: WorkedTier, expected_c: float, road_c: float) -> tuple[Figure, ...]:
    """
    Figures of one tier, each with its working.

    Parameters
    ----------
    worked
        The tier.
    expected_c, road_c
        Warmest that it is expected to get, and its temperature on the road. [C]
    """
    figures: list[Figure] = []
    order, coated, place, name = worked.order, worked.coated, worked.place, worked.name
    outline = order.cake.outline
    plan = Given(name="outline of the cake", value=outline.describe())
    area = Given(name="its area", value=outline.area_mm2, unit="mm2")

    outside = _of(worked, OUTSIDE_PARTS)
    if outside:
        skins = tuple(
            Given(
                name=f"{skin.part.value}: side; top",
                value=f"{range_text(skin.side_mm)}; {range_text(skin.top_mm)}",
                unit="mm",
            )
            for skin in worked.skins
        )
        figures.append(
            Figure.of(
                _mass(outside),
                key=f"{place}.coat_g",
                label=f"Coat on {name}, all coats together",
                unit="g",
                equation=(
                    "each coat: (A(o) (H + top) - A(i) H - covered x top) x density, with A(t) = A + P t + pi t2 "
                    "the area inside the line t outside the cake"
                ),
                inputs=(
                    plan,
                    area,
                    Given(name="its perimeter", value=outline.perimeter_mm, unit="mm"),
                    Given(name="height of the side", value=worked.body.height_mm, unit="mm"),
                    Given(name="top under the next tier", value=worked.body.covered_mm2, unit="mm2"),
                    *skins,
                    *_density(order.coat),
                    *(Given(name=one.part.value, value=one.on_cake_g.value, unit="g") for one in outside),
                ),
                source=STEINER,
                sheet=SHEET,
            )
        )
    for part, label in ((Part.FILLING, "Filling in"), (Part.DAM, "Dam round the filling of")):
        parts = _of(worked, (part,))
        if not parts:
            continue
        spread = order.filling if part is Part.FILLING else dam_spread(order)
        ring = "(area - ring of the dam)" if part is Part.FILLING else "area of the ring"
        figures.append(
            Figure.of(
                _mass(parts),
                key=f"{place}.{part.value}_g",
                label=f"{label} {name}",
                unit="g",
                equation=f"{ring} x depth x number of fillings x density",
                inputs=(
                    plan,
                    area,
                    Given(name="depth", value=order.depth_mm, unit="mm"),
                    Given(name="fillings", value=float(order.gaps)),
                    Given(
                        name="width of the dam", value=0.0 if worked.joint is None else worked.joint.dam_mm, unit="mm"
                    ),
                    *_density(spread),
                ),
                source=ARITHMETIC,
                sheet=SHEET,
            )
        )
    soaked = _of(worked, (Part.SOAK,))
    if soaked:
        rate = order.soak_ml_per_cm2 or amount("soak_ml_per_cm2").value
        figures.append(
            Figure.of(
                _mass(soaked),
                key=f"{place}.soak_g",
                label=f"Syrup on the cut sides of {name}",
                unit="g",
                equation="(2 layers - 1) x area x syrup a side x density",
                inputs=(
                    area,
                    Given(name="layers", value=float(order.cake.layers)),
                    Given(name="syrup a side", value=range_text(rate), unit="ml/cm2"),
                    *_density(order.soak),
                ),
                source=COMMON_PRACTICE if order.soak_ml_per_cm2 else amount("soak_ml_per_cm2").source,
                sheet=SHEET,
            )
        )
    figures.append(
        Figure.of(
            coated.mass_g,
            key=f"{place}.mass_g",
            label=f"Mass of {name} with its board",
            unit="g",
            equation="sum of its parts",
            inputs=tuple(Given(name=one.part.value, value=one.on_cake_g.value, unit="g") for one in coated.parts),
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    figures.append(
        Figure(
            key=f"{place}.finished_height_mm",
            label=f"Height of {name} with board and coat",
            value=coated.finished_height_mm,
            unit="mm",
            equation="board + layers + fillings + coats on top",
            inputs=tuple(
                Given(name=band.material, value=band.top_mm - band.bottom_mm, unit="mm") for band in coated.bands
            ),
            source=ARITHMETIC,
            sheet=SHEET,
        )
    )
    figures += _sheet_figures(worked)
    figures += _strength_figures(worked, expected_c, road_c)
    return tuple(figures)


def _sheet_figures(worked: WorkedTier) -> list[Figure]:
    figures: list[Figure] = []
    parts = [part for part in worked.coated.parts if part.part in (Part.ROLLED, Part.MARZIPAN)]
    for part, rolling in zip(parts, worked.rollings, strict=True):
        named = "marzipan" if part.part is Part.MARZIPAN else "rolled"
        figures += [
            Figure.of(
                sheet.roll_out_g,
                key=f"{worked.place}.{named}_{sheet.use}_g",
                label=f"Roll out the {sheet.use} of {part.part.value} for {worked.name}",
                unit="g",
                equation=(
                    "sheet area x thickness x density; a cover is diameter + 2 heights + margin each way, a disc the "
                    "top + margin, a wrap perimeter by height + margin"
                ),
                inputs=(
                    Given(name="width", value=sheet.width_mm, unit="mm"),
                    Given(name="length", value=sheet.length_mm, unit="mm"),
                    Given(name="thickness", value=range_text(part.thickness_mm), unit="mm"),
                    Given(name="trim", value=range_text(sheet.trim_g), unit="g"),
                    Given(name="to knead back", value=range_text(sheet.knead_back_g), unit="g"),
                ),
                source=COMMON_PRACTICE,
                sheet=SHEET,
            )
            for sheet in rolling.sheets
        ]
    return figures


def _strength_figures(worked: WorkedTier, expected_c: float, road_c: float) -> list[Figure]:
    joint = worked.joint
    if joint is None:
        return []
    values = {bound: joint.bearing_mm(expected_c, bound) for bound in ("low", "value", "high")}
    slide = {bound: joint.sliding_share(road_c, bound) for bound in ("low", "value", "high")}
    inputs = (
        Given(name="load on the lowest filling", value=joint.pressure_pa, unit="Pa"),
        Given(name="filling", value=joint.filling.name),
        Given(name="its temperature at the warmest", value=expected_c, unit="C"),
        Given(name="its temperature on the road", value=road_c, unit="C"),
        Given(name="supports carry the tiers above", value="yes" if joint.supported else "no"),
    )
    return [
        Figure.of(
            Estimate(value=values["value"], low=values["low"], high=values["high"]),
            key=f"{worked.place}.filling_limit_mm",
            label=f"Depth of {joint.filling.name} that holds without a dam in {worked.name}",
            unit="mm",
            equation="2/3 x yield stress x radius / pressure",
            inputs=inputs,
            source=SQUEEZE,
            sheet=SHEET,
        ),
        Figure.of(
            Estimate(value=slide["value"], low=slide["low"], high=slide["high"]),
            key=f"{worked.place}.slide_share",
            label=f"Sideways force, over the weight, at which the layers of {worked.name} slide",
            unit="",
            equation="mean yield stress over the joint / pressure",
            inputs=inputs,
            source=Source(basis=Basis.EXACT, text="statics"),
            sheet=SHEET,
        ),
    ]


def need_figures(needs: Sequence[Need], details: dict[str, tuple[Given, ...]]) -> tuple[Figure, ...]:
    """Figures of what has to be made of each formula."""
    return tuple(
        Figure.of(
            need.grams,
            key=f"need.{need.formula}.g",
            label=f"To make of {need.formula}",
            unit="g",
            equation=(
                "sum over tiers of (on the cake / (1 - bowl) / (1 - bag or scrape)); for sheets what must be at hand "
                "to roll them one after another, the largest first"
            ),
            inputs=details.get(need.formula, ()),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        )
        for need in needs
    )


def ganache_notes(
    needs: Sequence[Need], kind_of: dict[str, str], season: Season
) -> tuple[tuple[Figure, ...], tuple[Assumption, ...]]:
    """Chocolate and cream of each ganache by the usual ratio, with the spread of ratios."""
    figures: list[Figure] = []
    assumptions: list[Assumption] = []
    for need in needs:
        chocolate = GANACHES.get(kind_of.get(need.formula, ""))
        if chocolate is None:
            continue
        split = split_ganache(chocolate, season, need.grams.value)
        given = (
            Given(name="ganache", value=need.grams.value, unit="g"),
            Given(name="chocolate to cream", value=range_text(split.ratio)),
            Given(name="season", value=season.value),
        )
        for what, grams, equation in (
            ("chocolate", split.chocolate_g, "ganache x ratio / (1 + ratio)"),
            ("cream", split.cream_g, "ganache / (1 + ratio)"),
        ):
            figures.append(
                Figure.of(
                    grams,
                    key=f"need.{need.formula}.{what}_g",
                    label=f"{what.capitalize()} for {need.formula} by the usual ratio",
                    unit="g",
                    equation=equation,
                    inputs=given,
                    source=split.source,
                    sheet=SHEET,
                )
            )
        note = f"; {split.disagreement}" if split.disagreement else ""
        assumptions.append(
            Assumption(
                key=f"need.{need.formula}.ratio",
                text=f"chocolate to cream in {chocolate.value} ganache, {season.value}{note}",
                value=f"{split.ratio.value:g} to 1",
                source=split.source,
            )
        )
    return tuple(figures), tuple(assumptions)
