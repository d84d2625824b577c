"""Kitchens and commissions for the tests, all invented."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

from tierwright.brief import Kitchen, parse_kitchen
from tierwright.week.work import CreamWork, JobWork, LoadWork, MixWork, TierWork
from tierwright.working import Estimate

ZONE = "Europe/Vienna"
MONDAY = datetime(2027, 6, 21, tzinfo=ZoneInfo(ZONE))


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """Day 0 is the Monday."""
    return MONDAY.replace(hour=hour, minute=minute) + timedelta(days=day)


def _inside(sides: tuple[int, int, int]) -> dict[str, str]:
    return dict(zip(("width", "depth", "height"), (f"{side} mm" for side in sides), strict=True))


def kitchen(
    *,
    hands: int = 1,
    hours: tuple[str, str] = ("08:00", "18:00"),
    days: tuple[str, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
    shelves: int = 2,
    fridge: tuple[int, int, int] = (600, 500, 1200),
    freezer: tuple[int, int, int] = (600, 500, 500),
    ovens: int = 1,
    mixers: int = 1,
    timezone: str = ZONE,
) -> Kitchen:
    made: Kitchen = parse_kitchen(
        {
            "format": 1, "name": "Test kitchen", "timezone": timezone, "altitude": "200 m", "currency": "EUR",
            "licence": "licensed", "room": "17 C",
            "ovens": [
                {"name": f"Oven {n + 1}", "width": "460 mm", "depth": "400 mm", "height": "340 mm", "shelves": shelves}
                for n in range(ovens)
            ],
            "pans": [{"pan": "round_8x2_in", "count": 4}],
            "mixers": [{"name": f"Mixer {n + 1}", "bowl": "5 l"} for n in range(mixers)],
            "cold": [
                {"name": "Fridge", "kind": "fridge", **_inside(fridge)},
                {"name": "Freezer", "kind": "freezer", **_inside(freezer)},
            ],
            "hands": [
                {"name": f"Hand {n + 1}", "hours": [{"day": d, "from": hours[0], "to": hours[1]} for d in days]}
                for n in range(hands)
            ],
        },
        "test kitchen",
    )  # fmt: skip
    return made


def job(
    key: str,
    closes: datetime,
    *,
    widths: tuple[float, ...] = (250.0, 200.0, 150.0),
    opens: datetime | None = None,
    collected: bool = False,
    travel: float = 40.0,
    filling: str = "curd",
    coat: str = "swiss meringue buttercream",
    nuts: bool = False,
    avoids: tuple[str, ...] = (),
    set_c: int = 175,
    coat_factor: float = 1.0,
    wishes: int = 1,
    pans: int = 2,
    loads: tuple[tuple[int, tuple[int, ...]], ...] | None = None,
    title: str = "",
    mix_each: bool = True,
    shelves: int = 1,
) -> JobWork:
    """A commission with one formula; ``loads`` lists pans and the places of the tiers in each oven load."""
    if loads is None:
        loads = tuple((pans, (n,)) for n in range(len(widths)))
    mixes = tuple(
        MixWork(key=f"m{n}", name=f"Batter {n + 1}", formula="batter", ingredients=6, pans=count, volume_ml=2000.0,
                wait_min=45.0)
        for n, (count, _) in enumerate(loads)
    )  # fmt: skip
    return JobWork(
        key=key,
        title=title or f"Commission {key}",
        mixes=mixes,
        loads=tuple(
            LoadWork(
                key=str(n + 1), mixes=(f"m{n}",), pans=count, shelves=shelves, set_c=set_c,
                minutes=Estimate.within(35.0 if max(widths[t] for t in tiers) > 180 else 30.0, 0.15),
                before_min=15.0 if n == 0 else 0.0, largest_mm=max(widths[t] for t in tiers),
            )
            for n, (count, tiers) in enumerate(loads)
        ),
        creams=(
            CreamWork(key="filling", name="Filling", formula="filling", kind=filling, grams=900.0, litres=0.8),
            CreamWork(key="coat", name="Coat", formula="coat", kind=coat, grams=1800.0, litres=2.0),
        ),
        tiers=tuple(
            TierWork(
                key=f"t{n}", name=f"tier {n + 1}", width_mm=width + 15.0, height_mm=110.0, layers=pans,
                loads=tuple(str(k + 1) for k, (_, own) in enumerate(loads) if n in own),
                fillings=("filling",), coats=("coat",), coat_dm2=(3.1416 * width * 110 + 0.785 * width**2) / 1e4,
                coat_factor=coat_factor,
            )
            for n, width in enumerate(widths)
        ),
        opens=opens or (closes - timedelta(hours=2)),
        closes=closes,
        collected=collected,
        travel_min=0.0 if collected else travel,
        wishes=wishes,
        contains=(
            ("batter", ("egg", "milk", "wheat")),
            ("filling", ("egg", "hazelnut") if nuts else ("egg",)),
            ("coat", ("egg", "milk")),
        ),
        avoids=avoids,
    )  # fmt: skip


def four_orders() -> tuple[tuple[JobWork, ...], Kitchen]:
    """Alone, one shelf, a small fridge: three tiers and two, a nut cake, and one for the day after."""
    owned = kitchen(hours=("06:30", "21:00"), shelves=1, fridge=(500, 450, 350), freezer=(600, 450, 450))
    a = job("A", at(5, 15), opens=at(5, 12), travel=45, loads=((1, (0,)), (1, (0,)), (2, (1,)), (4, (2,))))
    b = job("B", at(5, 12), opens=at(5, 11), collected=True, widths=(200.0, 150.0))
    c = job("C", at(5, 11), opens=at(5, 10), collected=True, widths=(200.0,), nuts=True)
    d = job(
        "D", at(6, 13), opens=at(6, 11), travel=30, widths=(230.0, 180.0), coat_factor=0.6,
        loads=((1, (0,)), (1, (0,)), (2, (1,))),
    )  # fmt: skip
    return (a, b, c, d), owned


def random_jobs(count: int, seed: int, *, first_day: int = 3, days: int = 4) -> tuple[JobWork, ...]:
    """Commissions of a busy week: one to four tiers, delivered or collected from Thursday to Sunday."""
    random = Random(seed)
    found = []
    for n in range(count):
        tiers = random.choice((1, 2, 2, 3, 3, 4))
        widths = tuple(sorted(random.sample((150.0, 180.0, 200.0, 230.0, 250.0), tiers), reverse=True))
        collected = random.random() < 0.4
        day = first_day + random.randrange(days)
        hour = random.randrange(11, 17)
        loads: tuple[tuple[int, tuple[int, ...]], ...] = tuple((2, (t,)) for t in range(tiers))
        if tiers >= 2 and random.random() < 0.6:  # the two smallest share a load
            loads = (*((2, (t,)) for t in range(tiers - 2)), (4, (tiers - 2, tiers - 1)))
        found.append(
            job(
                f"j{n + 1}", at(day, hour), opens=at(day, hour) - timedelta(hours=2 if not collected else 1),
                widths=widths, collected=collected, travel=float(random.choice((15, 25, 40, 60))), loads=loads,
                filling=random.choice(("curd", "jam", "ganache")), set_c=random.choice((165, 175)),
                coat=random.choice(("swiss meringue buttercream", "powdered-sugar buttercream", "ganache")),
                nuts=random.random() < 0.15, wishes=random.choice((0, 1, 1, 2)),
            )
        )  # fmt: skip
    return tuple(found)
