"""Water in food and in air, and the order of work."""

from __future__ import annotations

import psychrolib
from tests.published import test_keeping_activity as activity
from tests.published import test_keeping_air as moist
from tools.plots.drawing import Plot, Points, over

from tierwright.keeping.air import moist_air
from tierwright.sugar import norrish, solute


def water_activity() -> Plot:
    def of(key: str) -> Points:
        return over(0.05, 0.68, lambda share: float(norrish(solute(key), share)))

    others = [
        (share, published)
        for key, share, published in (("glucose", 0.50, 0.892), ("glucose", 0.60, 0.837), ("glycerol", 0.40, 0.871))
        if key
    ]
    return Plot(
        key="water-activity", title="Water activity of single solutes at 25 °C",
        across="share of the solute by mass", up="water activity", x=(0, 0.7, 0.1), y=(0.6, 1.0, 0.05),
        lines=(("sucrose, computed", of("sucrose")), ("glucose, computed", of("glucose")),
               ("glycerol, computed", of("glycerol"))),
        marks=(("sucrose, published", activity.SUCROSE), ("glucose and glycerol, published", others)),
    )  # fmt: skip


def dew_point() -> Plot:
    psychrolib.SetUnitSystem(psychrolib.SI)
    return Plot(
        key="dew-point", title="At what temperature a face begins to sweat",
        across="relative humidity [%]", up="dew point [°C]", x=(20, 100, 10), y=(0, 36, 4),
        lines=tuple(
            (f"air of {t} °C, computed", over(lowest, 100, lambda h, t=t: moist_air(t, h / 100).dew_point_c))  # type: ignore[misc]
            for t, lowest in ((20, 30), (25, 22), (30, 20), (35, 20))
        ),
        marks=(("ASHRAE's equations", [(100 * h, dew) for _, h, dew in moist.DEW]),),
    )  # fmt: skip
