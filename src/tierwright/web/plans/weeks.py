"""Which commissions make up a week, and what the kitchen says about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from tierwright.brief import Kitchen as Owned
from tierwright.web.access import zone_of
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Commission, Kitchen, Version
from tierwright.web.plans.models import AwayDay, HeldTask, KeptWeek
from tierwright.week import Away, Grid, JobWork, Pin, Wishes, read_job

WEIGHTS: Final = {"freshness": (0, 10), "pauses": (0, 10), "late_pct": (1, 50)}
"""What the maker weighs, least and most; plans kept before there was a choice have none of it. [-], [-], [%]"""


def monday_of(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def commissions_of(kitchen: Kitchen, monday: date) -> list[Commission]:
    """Return the commissions that are handed over in a week, in the order in which they came in."""
    zone = zone_of(kitchen)
    begin = datetime.combine(monday, time(), tzinfo=zone)
    end = datetime.combine(monday + timedelta(days=7), time(), tzinfo=zone)
    found = Commission.objects.filter(kitchen=kitchen, put_away_at=None, handover_at__gte=begin, handover_at__lt=end)
    return list(found.order_by("pk"))


def asked_of(commissions: list[Commission]) -> list[list[int]]:
    """Return commissions as a question holds them: each with the version that it stands at."""
    return [[commission.pk, commission.head] for commission in commissions]


def works_of(kitchen: Kitchen, whose: list[list[int]]) -> tuple[JobWork, ...]:
    """Read what commissions ask of the kitchen; the key of each is its own for ever."""
    found = []
    for pk, number in whose:
        version = Version.objects.get(commission__kitchen=kitchen, commission_id=pk, number=number)
        found.append(read_job(dossier_of(version), key_of(pk)))
    return tuple(found)


def key_of(commission: int) -> str:
    """Return what the week calls a commission."""
    return f"c{commission}"


def latest(kitchen: Kitchen, monday: date) -> KeptWeek | None:
    """Return the plan of a week that stands."""
    return KeptWeek.objects.filter(kitchen=kitchen, monday=monday).first()


def pins_of(kitchen: Kitchen, monday: date, clock: Grid) -> tuple[Pin, ...]:
    """Return what is held fast in a week."""
    held = HeldTask.objects.filter(kitchen=kitchen, monday=monday)
    return tuple(Pin(task=one.task, start=clock.step(one.begins)) for one in held)


def aways_of(kitchen: Kitchen, clock: Grid) -> tuple[Away, ...]:
    """Return who is away, and when, as far as a grid reaches."""
    zone = zone_of(kitchen)
    first, last = clock.moment(0).date(), clock.moment(clock.horizon).date()
    return tuple(
        Away(
            hand=one.hand,
            begin=datetime.combine(one.day, time(), tzinfo=zone),
            end=datetime.combine(one.day + timedelta(days=1), time(), tzinfo=zone),
        )
        for one in AwayDay.objects.filter(kitchen=kitchen, day__gte=first, day__lte=last)
    )


def beside(kitchen: Kitchen, monday: date) -> tuple[Away, ...]:
    """Return the hands' work in the plans of the weeks before and after, which is no time for this one."""
    found: list[Away] = []
    for other in (monday - timedelta(days=7), monday + timedelta(days=7)):
        kept = latest(kitchen, other)
        if kept is not None:
            found += [
                Away(hand=hand, begin=bar.begin, end=bar.end)
                for bar in kept.read().bars
                if bar.kind.value != "break"
                for hand in bar.hands
            ]
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a plan of a week is asked for, from and to plain JSON."""

    monday: date
    whose: list[list[int]]
    overtime_min: int = 0
    effort: float = 1.0
    freshness: int = 1
    pauses: int = 2
    late_pct: int = 2

    @classmethod
    def read(cls, asked: dict[str, Any]) -> Asked:
        """Read it."""
        return cls(
            monday=date.fromisoformat(asked["monday"]), whose=asked["whose"], overtime_min=asked["overtime_min"],
            effort=asked["effort"], **{key: asked[key] for key in WEIGHTS if key in asked},
        )  # fmt: skip

    def plain(self) -> dict[str, Any]:
        """Write it."""
        return {
            "monday": self.monday.isoformat(), "whose": self.whose, "overtime_min": self.overtime_min,
            "effort": self.effort, "freshness": self.freshness, "pauses": self.pauses, "late_pct": self.late_pct,
        }  # fmt: skip

    def wishes(self, kitchen: Kitchen, clock: Grid) -> Wishes:
        """Return the wishes that this stands for, with who is away."""
        away = aways_of(kitchen, clock) + beside(kitchen, self.monday)
        return Wishes(
            overtime_min=float(self.overtime_min), away=away, freshness=float(self.freshness),
            pauses=float(self.pauses), late_share=self.late_pct / 100.0,
        )  # fmt: skip


def owned_of(kitchen: Kitchen) -> Owned:
    """Return the kitchen as the rooms take it."""
    return kitchen.parsed()
