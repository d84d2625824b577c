"""What to buy or make of each flower, what carries it, what comes off again, and when each job has to begin."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import exp, lgamma
from typing import Final

from tierwright.errors import UnknownName, require_range
from tierwright.finish.flowers import FlowerSort, FlowerState
from tierwright.finish.model import SHEET, Inedible
from tierwright.sugar import PetalBody, drying_hours
from tierwright.working import COMMON_PRACTICE, Basis, Caution, Estimate, Figure, Given, Notes, Source

CHANCE_SHORT: Final = 0.10
PRIOR_FLOWERS: Final = 60.0
"""Number of own flowers that weighs as much as the usual loss. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LossRecord:
    """The maker's own record of one state of flower: so many lost of so many handled."""

    state: FlowerState
    lost: int
    handled: int


@cache
def _table() -> dict[tuple[str, str], tuple[Estimate, str, Source]]:
    text = files("tierwright.finish").joinpath("data", "flower_states.csv").read_text(encoding="utf-8")
    return {
        (row["state"], row["key"]): (
            Estimate(value=float(row["value"]), low=float(row["low"]), high=float(row["high"])),
            row["name"],
            Source(basis=Basis(row["basis"]), text=row["source"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


def usual(state: FlowerState, key: str) -> tuple[Estimate, Source]:
    """
    Return a usual figure of a state of flower: ``loss`` [share], ``hands_min`` [min] or ``wait_h`` [h].

    Raises
    ------
    UnknownName
        The table has no such row.
    """
    try:
        value, _, source = _table()[state.value, key]
    except KeyError:
        raise UnknownName("figure of flowers", key, [k for s, k in _table() if s == state.value], state.value) from None
    return value, source


def spares_for(needed: int, loss_share: float, *, lost: int = 0, handled: int = 0, chance_short: float) -> int:
    """
    Return how many flowers to have beyond those needed.

    Parameters
    ----------
    needed
        Flowers that lie on the cake, 0 to 2000.
    loss_share
        Usual loss. [-], 0.001 to 0.9
    lost, handled
        The maker's own record: how many were lost of how many.
    chance_short
        Chance that is taken of having too few. [-], 0.0001 to 0.5

    Returns
    -------
    spares
        The fewest with which the chance of having too few is not above the one that is taken.

    Raises
    ------
    OutOfRange
        A number outside its range, or more lost than handled.

    Notes
    -----
    Each flower is lost or not by itself; the loss is not known for sure but lies about the usual one, held as firmly as
    sixty flowers would show it, and moved by the maker's own record (beta-binomial).

    References
    ----------
    .. [1] Johnson, Kemp and Kotz, Univariate Discrete Distributions, 3rd ed. (2005), sec. 6.9.2.
    """
    require_range("flowers needed", needed, 0, 2000, "flowers")
    require_range("loss", loss_share, 0.001, 0.9, "of the flowers")
    require_range("chance of being short", chance_short, 1e-4, 0.5, "")
    require_range("flowers handled", handled, 0, 100_000, "flowers")
    require_range("flowers lost", lost, 0, handled, "flowers")
    if needed == 0:
        return 0
    kept = PRIOR_FLOWERS * (1 - loss_share) + handled - lost
    gone = PRIOR_FLOWERS * loss_share + lost
    low, high = 0, 1
    while _short(needed, needed + high, kept, gone) > chance_short:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if _short(needed, needed + middle, kept, gone) > chance_short else (low, middle)
    return low if low == 0 and _short(needed, needed, kept, gone) <= chance_short else high


def _short(needed: int, have: int, kept: float, gone: float) -> float:
    """Chance that fewer than ``needed`` of ``have`` are left: the beta-binomial law, summed from its lower end."""
    whole = lgamma(have + 1) + lgamma(kept + gone) - lgamma(kept + gone + have) - lgamma(kept) - lgamma(gone)
    return sum(
        exp(whole - lgamma(k + 1) - lgamma(have - k + 1) + lgamma(kept + k) + lgamma(gone + have - k))
        for k in range(needed)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowerLine:
    """
    One sort of the order.

    Attributes
    ----------
    sort
        Which flowers.
    on_cake, spares
        How many lie on the cake, and how many more to have.
    picks
        Picks or tubes that carry them, one for each stem or wire.
    chance_short
        Chance that too few are left. [-]
    """

    sort: FlowerSort
    on_cake: int
    spares: int
    picks: int
    chance_short: float

    @property
    def have(self) -> int:
        """How many to buy, pick or make."""
        return self.on_cake + self.spares


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowerStep:
    """
    A job for the week plan.

    Attributes
    ----------
    key, text
        ``press``, ``sugar``, ``model``, ``water``, ``lay`` with the line's number; and what is done.
    hands_min
        Hands' time. [min]
    wait_h
        Drying, pressing or standing after it, in which nobody is needed; nought for laying. [h]
    count
        Flowers.
    source
        Of the waiting.
    """

    key: str
    text: str
    hands_min: Estimate
    wait_h: Estimate
    count: int
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowerOrder:
    """
    Everything about the flowers of a cake but their places.

    Attributes
    ----------
    lines
        By sort.
    picks
        Picks or tubes in all.
    chance_short
        Chance that any sort runs short. [-]
    removed
        What has to come off before the cake is cut, by tier.
    steps
        Jobs for the week plan, in the order in which they begin.
    notes
        Figures and cautions.
    """

    lines: tuple[FlowerLine, ...]
    picks: int
    chance_short: float
    removed: tuple[Inedible, ...]
    steps: tuple[FlowerStep, ...]
    notes: Notes


def order_flowers(
    sorts: Sequence[FlowerSort],
    counts: Sequence[int],
    *,
    chance_short: float = CHANCE_SHORT,
    records: Sequence[LossRecord] = (),
    humidity_share: float = 0.5,
    room_c: float = 21.0,
    body: PetalBody = PetalBody.MEDIUM,
) -> FlowerOrder:
    """
    Work out what to buy or make for flowers whose numbers are settled.

    Parameters
    ----------
    sorts, counts
        Flowers, and how many of each lie on the cake (from ``compose``, or as the brief says).
    chance_short
        Chance that is taken of any sort running short; it is shared out evenly among them. [-]
    records
        The maker's own losses.
    humidity_share, room_c
        Air in which sugared flowers dry. [-], [C]
    body
        How thick the petals of sugared flowers are.

    Raises
    ------
    Infeasible
        Air too wet for sugared flowers to dry.
    OutOfRange
        A number outside its range.
    """
    own = {record.state: record for record in records}
    used = [(sort, count) for sort, count in zip(sorts, counts, strict=True) if count]
    lines, steps, figures = [], [], []
    for number, (sort, count) in enumerate(used, start=1):
        loss, source = usual(sort.state, "loss")
        record = own.get(sort.state, LossRecord(state=sort.state, lost=0, handled=0))
        spares = spares_for(
            count, loss.value, lost=record.lost, handled=record.handled, chance_short=chance_short / len(used)
        )
        kept = PRIOR_FLOWERS * (1 - loss.value) + record.handled - record.lost
        short = _short(count, count + spares, kept, PRIOR_FLOWERS * loss.value + record.lost)
        lines.append(
            FlowerLine(
                sort=sort,
                on_cake=count,
                spares=spares,
                picks=count if sort.needs_pick else 0,
                chance_short=short,
            )
        )
        steps += _steps(number, sort, count, spares, humidity_share, room_c, body)
        figures.append(
            Figure(
                key=f"flowers.{number}.have",
                label=f"To have of {sort.describe()}",
                value=float(count + spares),
                unit="",
                equation="fewest with which the chance of having too few stays below the share of it (beta-binomial)",
                inputs=(
                    Given(name="on the cake", value=float(count)),
                    Given(name="usual loss", value=loss.value),
                    Given(name="own flowers lost", value=float(record.lost)),
                    Given(name="own flowers handled", value=float(record.handled)),
                    Given(name="chance of being short", value=chance_short / len(used)),
                ),
                source=source if not record.handled else Source(basis=Basis.MAKER_RECORD, text=str(source)),
                sheet=SHEET,
            )
        )
    fine = 1.0
    for line in lines:
        fine *= 1 - line.chance_short
    return FlowerOrder(
        lines=tuple(lines),
        picks=sum(line.picks for line in lines),
        chance_short=1 - fine,
        removed=_removed(lines),
        # What waits longest begins first; laying comes last.
        steps=tuple(sorted(steps, key=lambda step: -step.wait_h.high)),
        notes=Notes(figures=tuple(figures), cautions=_cautions(lines)),
    )


def _steps(
    number: int, sort: FlowerSort, count: int, spares: int, humidity_share: float, room_c: float, body: PetalBody
) -> list[FlowerStep]:
    have = count + spares
    each, _ = usual(sort.state, "hands_min")
    if sort.state is FlowerState.SUGARED:
        wait = drying_hours(body, humidity_share=humidity_share, room_c=room_c)
        source = Source(basis=Basis.COMMON_PRACTICE, text="carried to this air by vapour pressure: sugared petals")
    else:
        wait, source = usual(sort.state, "wait_h")
    key, text = {
        FlowerState.FRESH: ("water", "{0}: cut the stems anew and stand them in cool water in the dark"),
        FlowerState.PRESSED: ("press", "{0}: press dry, in one layer between paper"),
        FlowerState.SUGARED: ("sugar", "{0}: sugar and set on a rack"),
        FlowerState.SUGAR_MADE: ("model", "{0}: model, and let every ring of petals dry"),
    }[sort.state]
    nothing = Estimate.exact(0.0)
    lay_each = Estimate(value=1.0, low=0.5, high=2.0)
    # Standing in water takes a minute a bunch; making a flower takes what the table says.
    made = lay_each * (have / 5) if sort.state is FlowerState.FRESH else each * have
    lay = each if sort.state is FlowerState.FRESH else lay_each
    name = f"{have} {sort.describe()}"
    return [
        FlowerStep(
            key=f"{key}.{number}", text=text.format(name), hands_min=made, wait_h=wait, count=have, source=source
        ),
        FlowerStep(
            key=f"lay.{number}",
            text=f"{count} {sort.describe()}: lay" + (", each in its pick" if sort.needs_pick else ""),
            hands_min=lay * count,
            wait_h=nothing,
            count=count,
            source=COMMON_PRACTICE,
        ),
    ]


def _removed(lines: Sequence[FlowerLine]) -> tuple[Inedible, ...]:
    found = []
    for line in lines:
        sort = line.sort
        if sort.is_removed:
            what = f"{sort.state.value} {sort.species}" + (", wired" if sort.wired else "")
            found.append(Inedible(tier=sort.tier, what=what, count=line.on_cake, where=sort.where))
        if line.picks:
            found.append(Inedible(tier=sort.tier, what=f"pick of {sort.species}", count=line.picks, where=sort.where))
    return tuple(found)


def _cautions(lines: Sequence[FlowerLine]) -> tuple[Caution, ...]:
    found = []
    if any(line.picks for line in lines):
        count = sum(line.picks for line in lines)
        found.append(
            Caution(
                key="finish.caution.picks",
                sheet=SHEET,
                step="flowers",
                text=f"Seal every stem and wire (tape, then a food-grade pick or tube); none goes into the cake bare. "
                f"Count {count} picks in, and {count} out before it is cut.",
                reason="Stems bring sap, soil and sprays into the cake; a pick or wire in a slice injures a mouth.",
                source=COMMON_PRACTICE,
            )
        )
    if any(line.sort.wired for line in lines):
        found.append(
            Caution(
                key="finish.caution.wires",
                sheet=SHEET,
                step="flowers",
                text="Wired flowers are not food, whatever they are made of: take off the whole of each, and count.",
                reason="A wire breaks off unseen.",
                source=COMMON_PRACTICE,
            )
        )
    if any(line.sort.is_removed and line.sort.state is not FlowerState.SUGAR_MADE for line in lines):
        found.append(
            Caution(
                key="finish.caution.not_food",
                sheet=SHEET,
                step="flowers",
                text="Flowers that are not food lie on a barrier (a leaf of food-safe paper or a dab of chocolate), "
                "never on the coat itself, and come off first.",
                reason="Florists' flowers are treated with what may not be eaten.",
                source=COMMON_PRACTICE,
            )
        )
    if any(line.sort.state is FlowerState.PRESSED for line in lines):
        found.append(
            Caution(
                key="finish.caution.pressed",
                sheet=SHEET,
                step="flowers",
                text="Press only flowers that were grown for food and are quite dry; throw away what smells or spots.",
                reason="A flower that dries slowly moulds between the papers.",
                source=COMMON_PRACTICE,
            )
        )
    return tuple(found)
