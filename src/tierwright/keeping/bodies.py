"""A tier as a body of the thermal engine."""

from __future__ import annotations

from functools import lru_cache

from tierwright.heat import Band, Body, Material, equivalent_disc, food, matrix_properties, solid
from tierwright.keeping.activity import component_activity
from tierwright.keeping.model import Component, Layer, TierToKeep

RINGS = 8
FOAM = solid("foam", density_kg_m3=25.0, heat_capacity_j_kgk=1300.0, conductivity_w_mk=0.036)
"""Expanded polystyrene: ASHRAE Handbook Fundamentals 2017, ch. 26, from memory."""
FOAM_KEY = "foam"


@lru_cache(maxsize=256)
def material_of(component: Component) -> Material:
    """Return what a component is to the engine; its ice comes from its own water activity."""
    activity = component_activity(component.composition).value
    # A weighed density can lie above that of the gas-free sum; the sum then stands for it.
    airless = matrix_properties(component.composition, 20.0).density_kg_m3
    return food(
        component.name,
        component.composition,
        density_kg_m3=min(component.density_g_per_ml * 1000.0, airless),
        activity=max(min(activity, 0.9999), 0.05),
    )


def body_of(tier: TierToKeep, components: dict[str, Component]) -> Body:
    """
    Return a tier as a body: its layers, and its coat round the side.

    An outline that is not round is exchanged for the disc that heats through alike (``equivalent_disc``).
    """
    coat = components[tier.coat] if tier.coat and tier.coat_mm > 0 else None
    return Body(
        radius_mm=equivalent_disc(tier.outline).radius_mm,
        bands=tuple(_band(layer, components) for layer in tier.layers),
        coat=None if coat is None else material_of(coat),
        coat_mm=0.0 if coat is None else tier.coat_mm,
        emissivity=0.92,
        rings=RINGS,
    )


def _band(layer: Layer, components: dict[str, Component]) -> Band:
    cells = min(max(2, round(layer.thickness_mm / 7.0)), 10)
    material = FOAM if layer.component == FOAM_KEY else material_of(components[layer.component])
    return Band(material=material, thickness_mm=layer.thickness_mm, cells=cells)
