"""From the brief, the tiers and the coats to what the formulas need."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

from tierwright.brief import Commission, FormulaSheet, Kitchen
from tierwright.coating import Need
from tierwright.formula import Bowl, Formulas, FormulaText, PanJob, prepare_formulas, read_recipe
from tierwright.larder import pan, pans
from tierwright.sizing import PanChoice, Sizing, TierKind
from tierwright.working import NOTHING, Estimate


def formula_text(sheet: FormulaSheet) -> FormulaText:
    """Translate a written formula; one that is a saved recipe page is taken out of it."""
    if sheet.page and not sheet.lines:
        taken = read_recipe(
            sheet.page,
            key=sheet.key,
            kind=sheet.kind,
            measures=sheet.measures,
            egg_size=sheet.egg_size,
            place=f"formulas.{sheet.key}",
        )
        return replace(taken, specific_gravity=sheet.specific_gravity, density=sheet.density)
    return FormulaText(
        key=sheet.key,
        name=sheet.name,
        kind=sheet.kind,
        lines=sheet.lines,
        method=sheet.method,
        made_for=sheet.made_for,
        specific_gravity=sheet.specific_gravity,
        density=sheet.density,
        measures=sheet.measures,
        egg_size=sheet.egg_size,
    )


def weigh_formulas(
    commission: Commission, kitchen: Kitchen, sizing: Sizing, choices: tuple[PanChoice, ...], needs: tuple[Need, ...]
) -> Formulas:
    """Run the formula stage: batters for the pans of the chosen stack, and what fillings and coats need."""
    wanted: dict[str, Estimate] = defaultdict(lambda: NOTHING)
    for need in needs:
        sheet = commission.formula(need.formula)
        if sheet is not None and not sheet.kind.is_batter:
            wanted[need.formula] += need.grams
    return prepare_formulas(
        [formula_text(sheet) for sheet in commission.formulas],
        pans=pan_jobs(commission, sizing, choices),
        needs=wanted,
        bowls=[Bowl(name=mixer.name, litres=mixer.bowl / 1000) for mixer in kitchen.mixers],
        altitude_m=kitchen.altitude,
        resolution_g=kitchen.scale_step,
    )


def pan_jobs(commission: Commission, sizing: Sizing, choices: tuple[PanChoice, ...]) -> dict[str, tuple[PanJob, ...]]:
    """List, by formula, the pans that its batter fills."""
    depths = {choice.key: choice.depth_mm for choice in choices}
    jobs: dict[str, list[PanJob]] = defaultdict(list)
    for tier in sizing.stack.tiers:
        if tier.kind is TierKind.CAKE:
            jobs[commission.cake.flavours[tier.flavour].cake].append(
                PanJob(
                    key=f"tier.{tier.number}",
                    pan=tier.pan,
                    outline=tier.outline,
                    depth_mm=_depth(tier.pan, depths),
                    count=tier.layers,
                    levelled_mm=tier.layer_height_mm,
                )
            )
    for number, cake in enumerate(sizing.stack.kitchen_cakes, start=1):
        jobs[commission.cake.flavours[cake.flavour].cake].append(
            PanJob(
                key=f"kitchen.{number}",
                pan=cake.pan,
                outline=cake.outline,
                depth_mm=_depth(cake.pan, depths),
                count=cake.layers * cake.count,
                levelled_mm=cake.layer_height_mm,
            )
        )
    return {key: tuple(listed) for key, listed in jobs.items()}


def _depth(key: str, depths: dict[str, float]) -> float:
    return depths[key] if key in depths or key not in pans() else pan(key).depth_mm
