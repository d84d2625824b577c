"""Whether a cold coat sweats, how much, and how long it takes to dry."""

from __future__ import annotations

from dataclasses import dataclass

from tierwright.keeping.air import dew_point_c
from tierwright.keeping.clocks import first_above
from tierwright.keeping.model import Stay, TierLine
from tierwright.keeping.tables import rows, source_of, threshold
from tierwright.water import saturation_pressure_pa
from tierwright.working import Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweat:
    """
    What condenses on one tier.

    Attributes
    ----------
    tier, name
        Which tier.
    dew_point_c
        Highest dew point among the open places that it comes to. [C]
    coldest_coat_c
        Its coat when it comes there. [C]
    begins_h, dry_h
        When the first water shows and when the last is gone. [h] of the line; None if never
    most_g_m2
        Most water on a square metre of it. [g/m2]
    runs
        Whether drops run down.
    above_dew_h
        From here on its coat is warmer than the dew point: a box may be opened. [h]
    """

    tier: int
    name: str
    dew_point_c: float
    coldest_coat_c: float
    begins_h: float | None
    dry_h: float | None
    most_g_m2: float
    runs: bool
    above_dew_h: float | None

    @property
    def is_brief(self) -> bool:
        """Whether it sweats, and is dry again soon."""
        if self.begins_h is None or self.dry_h is None:
            return False
        return (self.dry_h - self.begins_h) * 60.0 <= threshold("brief_sweat_min")


def sweat(line: TierLine, opened: tuple[Stay, ...], *, from_h: float) -> Sweat:
    """
    Read the sweating of a tier off its line.

    Parameters
    ----------
    line
        The temperature line, with the water on it.
    opened
        Stays in which it stands open to the air, at or after ``from_h``.
    from_h
        When it leaves the cold. [h]

    Returns
    -------
    sweat
        Water, times, and the dew point that it has to pass.

    References
    ----------
    .. [1] Chilton and Colburn 1934 for the flux; ASHRAE Handbook Fundamentals 2017, ch. 1, for the air.
    """
    dew = max((dew_point_of(stay) for stay in opened), default=-90.0)
    notice = threshold("touch_g_m2")
    water = [max(a, b) for a, b in zip(line.water_side_g_m2, line.water_top_g_m2, strict=True)]
    begins = first_above(line.hours, water, notice, from_h)
    most = max((w for h, w in zip(line.hours, water, strict=True) if h >= from_h), default=0.0)
    dry: float | None = None
    if begins is not None:
        last = max(h for h, w in zip(line.hours, water, strict=True) if w > notice)
        dry = None if last >= line.hours[-1] else last
    coat = line.coat_side.celsius
    late = [t for h, t in zip(line.hours, coat, strict=True) if h >= from_h]
    return Sweat(
        tier=line.tier,
        name=line.name,
        dew_point_c=dew,
        coldest_coat_c=min(late) if late else coat[-1],
        begins_h=begins,
        dry_h=dry,
        most_g_m2=most,
        runs=most > threshold("drip_g_m2"),
        above_dew_h=first_above(line.hours, coat, dew, from_h),
    )


def dew_point_of(stay: Stay) -> float:
    """Return the dew point of a place, the highest of its hours. [C]"""
    places = [(hour.air_c, hour.humidity) for hour in stay.weather] or [(stay.air_c, stay.humidity)]
    return max(dew_point_c(share * saturation_pressure_pa(air)) for air, share in places)


@dataclass(frozen=True, slots=True, kw_only=True)
class DampLimit:
    """A decoration that suffers in damp air: item, limit of relative humidity [-], and what happens."""

    item: str
    limit: float
    what: str
    source: Source


def damp_limits(items: frozenset[str] | None = None) -> tuple[DampLimit, ...]:
    """Return the humidity limits of decorations, of all or of those named."""
    return tuple(
        DampLimit(item=one["item"], limit=float(one["limit_share"]), what=one["what"], source=source_of(one))
        for one in rows("humidity")
        if items is None or one["item"] in items
    )
