"""Share what was bought out to its uses, exactly, in whole tenths of a gram."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

GRAIN: Final = 10
"""Tenths of a gram (or of a piece) in one: amounts are shared out in whole tenths. [1/g]"""


def share_out(
    sources: Sequence[tuple[int, frozenset[int]]], wanted: Sequence[int]
) -> tuple[list[list[tuple[int, int]]], list[int]]:
    """
    Share sources out to uses so that as much as possible is covered.

    Parameters
    ----------
    sources
        For each, what it holds and the uses that it may serve. [tenths]
    wanted
        What each use needs. [tenths]

    Returns
    -------
    given, short
        For each source, what it gives to which use; for each use, what it lacks (all zeros where a full share-out
        exists). [tenths]

    Notes
    -----
    The maximum flow of a network with three layers, found by augmenting paths [1]_ in whole numbers, so that nothing
    rests on a solver's tolerance. Sources are drawn on in their order.

    References
    ----------
    .. [1] Ford and Fulkerson, Flows in Networks (1962), chapter 1.
    """
    flow: list[dict[int, int]] = [{} for _ in sources]
    left = [amount for amount, _ in sources]
    short = list(wanted)
    for use in range(len(wanted)):
        while short[use] > 0:
            path = _path(use, sources, flow, left)
            if path is None:
                break
            first = path[0][0]
            step = min([left[first], short[use], *(flow[s][moved] for s, moved in path[1:])])
            left[first] -= step
            short[use] -= step
            # Each step along the path takes over a use from the next source, which so becomes free for its own.
            takes = [*(moved for _, moved in path[1:]), use]
            for (source, released), taken in zip(path, takes, strict=True):
                if released >= 0:
                    flow[source][released] -= step
                flow[source][taken] = flow[source].get(taken, 0) + step
    given = [[(use, amount) for use, amount in sorted(one.items()) if amount > 0] for one in flow]
    return given, short


def _path(
    use: int, sources: Sequence[tuple[int, frozenset[int]]], flow: Sequence[dict[int, int]], left: Sequence[int]
) -> list[tuple[int, int]] | None:
    """
    Find a chain of sources that ends at the use and begins at one with something left.

    Returned are pairs (source, use that it gives up): the first has something left and gives nothing up.
    """
    # From the use backwards: came[source] is the source that would take over from it, and the use handed over.
    came: dict[int, tuple[int, int]] = {s: (-1, use) for s, (_, serves) in enumerate(sources) if use in serves}
    queue = list(came)
    for source in queue:
        if left[source] > 0:
            chain: list[tuple[int, int]] = [(source, -1)]
            at = source
            while came[at][0] >= 0:
                after, handed = came[at]
                chain.append((after, handed))
                at = after
            return chain
        for handed, amount in flow[source].items():
            if amount <= 0:
                continue
            for other, (_, serves) in enumerate(sources):
                if other not in came and handed in serves:
                    came[other] = (source, handed)
                    queue.append(other)
    return None
