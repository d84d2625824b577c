"""What each component asks for: control of time and temperature, or not, and on what ground."""

from __future__ import annotations

from typing import Final

from tierwright.keeping.activity import component_activity, sugar_share
from tierwright.keeping.model import Component, Measurement, Safety, Standing
from tierwright.keeping.tables import component_kind
from tierwright.keeping.tcs import Category, Table, category, category_from
from tierwright.working import Basis, Estimate, Source

SUGAR_RULE: Final = {"powdered_buttercream": 0.65, "plant_buttercream": 0.65}
"""Sugar by mass from which custom takes a frosting for stable; Kansas State University Extension 2023. [-]"""
JAM_AW: Final = 0.90
TCS_SOURCE: Final = Source(basis=Basis.PUBLISHED, text="FDA Food Code 2022, 1-201.10(B), Table B")


def assess(component: Component, table: Table = Table.OPEN) -> Safety:
    """
    How a component stands to time and temperature control.

    Parameters
    ----------
    component
        What it is, with whatever the maker has had measured.
    table
        Interaction table: the open one unless it was heated and packed.

    Returns
    -------
    safety
        ``PROVED`` only by recorded measurements; ``CUSTOM`` where the trade keeps it uncontrolled and nothing speaks
        against it; otherwise ``CONTROLLED``.

    Notes
    -----
    Estimates can turn control on and never off. A single measurement counts with the other value at its worst.

    References
    ----------
    .. [1] FDA Food Code 2022, 1-201.10(B).
    """
    kind = component_kind(component.kind)
    estimate = component_activity(component.composition)
    aw, ph = component.measured_aw, component.measured_ph
    standing, reason = _standing(component, table, estimate)
    return Safety(
        component=component.key,
        name=component.name,
        kind=component.kind,
        standing=standing,
        water_activity=estimate if aw is None else Estimate.exact(aw.value),
        ph=kind.ph if ph is None else Estimate.exact(ph.value),
        aw_is_measured=aw is not None,
        ph_is_measured=ph is not None,
        reason=reason,
        room_days=None if standing is Standing.CONTROLLED else kind.room_days,
        fridge_days=kind.fridge_days,
        freezer_days=kind.freezer_days,
        freezes=kind.freezes,
        thaw_note=kind.thaw_note,
    )


def _records(component: Component) -> list[tuple[str, Measurement]]:
    named = (("water activity", component.measured_aw), ("pH", component.measured_ph))
    return [(what, one) for what, one in named if one is not None]


def _standing(component: Component, table: Table, estimate: Estimate) -> tuple[Standing, str]:
    kind = component_kind(component.kind)
    aw = None if component.measured_aw is None else component.measured_aw.value
    ph = None if component.measured_ph is None else component.measured_ph.value
    if component.contains_egg and not component.egg_is_treated:
        return Standing.CONTROLLED, "it holds egg that nothing has heated; no measurement makes up for that"
    if aw is not None or ph is not None:
        if category_from(table, aw, ph) is Category.NON_TCS:
            records = [f"{what} {one.words}" for what, one in _records(component)]
            return Standing.PROVED, f"table {table.value} with what is recorded: {'; '.join(records)}"
        likely = category(table, estimate.high if aw is None else aw, min(kind.ph.high if ph is None else ph, 14.0))
        if likely is Category.ASSESS:
            return Standing.CONTROLLED, f"table {table.value} asks for a product assessment at the values recorded"
    if kind.is_chilled:
        return Standing.CONTROLLED, f"{kind.why}; no measurement shows that it needs no control"
    least = SUGAR_RULE.get(component.kind)
    share = sugar_share(component.composition)
    if least is not None and share < least:
        return Standing.CONTROLLED, f"{share:.0%} sugar where custom asks for {least:.0%}"
    if component.kind == "jam" and estimate.value > JAM_AW:
        return Standing.CONTROLLED, f"its water activity is likely {estimate.value:.2f}: too little sugar for a jam"
    return Standing.CUSTOM, kind.why
