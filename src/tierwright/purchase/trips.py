"""On which days one goes shopping: as few as the keeping times allow, each as late as can be."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from tierwright.purchase.model import Item, Use


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """First and last day on which something may be bought for one use."""

    first: date
    last: date

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last


def window(item: Item, use_day: date, today: date | None) -> Window:
    """
    Return when an item may be bought for a use.

    Parameters
    ----------
    item
        Its keeping and how long before use it has to be there. [days]
    use_day
        When it is used.
    today
        First day on which anything can be bought; None for no limit.

    Returns
    -------
    window
        From as early as it still keeps till the use, to its latest buying day. Where that has passed, today alone.
    """
    first = use_day - timedelta(days=item.keeps_days)
    last = use_day - timedelta(days=item.buy_before_days)
    if today is not None:
        first, last = max(first, today), max(last, today)
    return Window(first=first, last=last)


def choose_trips(windows: Iterable[Window]) -> tuple[date, ...]:
    """
    Return the fewest days that meet every window, each as late as possible.

    Notes
    -----
    Taking windows in the order of their last days and adding that day whenever none chosen so far lies within is
    the classic optimal way to pierce intervals [1]_.

    References
    ----------
    .. [1] Cormen, Leiserson, Rivest and Stein, Introduction to Algorithms, 3rd ed. (2009), section 16.1, on choosing
       by earliest finish.
    """
    chosen: list[date] = []
    for span in sorted(windows, key=lambda w: (w.last, w.first)):
        # The latest day chosen is the only one that can still lie within a window that ends no earlier.
        if not chosen or chosen[-1] < span.first:
            chosen.append(span.last)
    return tuple(chosen)


def merged(uses: Iterable[Use]) -> tuple[Use, ...]:
    """Add up the uses of one item by one commission on one day; the waste of each is put into the amount."""
    sums: dict[tuple[str, date, str], list[Use]] = {}
    for use in uses:
        sums.setdefault((use.item, use.day, use.commission), []).append(use)
    return tuple(
        Use(
            item=item,
            commission=commission,
            day=day,
            amount=sum(use.needed for use in same),
            avoid=tuple(sorted({allergen for use in same for allergen in use.avoid})),
        )
        for (item, day, commission), same in sorted(sums.items())
    )
