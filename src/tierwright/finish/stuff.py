"""What the finish is made of: a formula or bought ingredient as it is piped, spread or poured."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.working import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Stuff:
    """
    Something piped, spread, rolled or poured.

    Attributes
    ----------
    key, name
        Key of the formula or bought ingredient, and its name.
    kind
        Its kind in the table of coats, such as ``swiss_buttercream``.
    density_g_per_ml
        As it goes on the cake. [g/ml]
    colour
        Its own colour, ``#rrggbb``.
    """

    key: str
    name: str
    kind: str
    density_g_per_ml: Estimate
    colour: str
