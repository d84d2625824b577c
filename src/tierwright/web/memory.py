"""The last few things made, by a key that says everything they were made of, so that none of them is ever stale."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Memory(Generic[K, V]):
    """
    The last few things made, in this process; the one not asked for longest is forgotten first.

    Parameters
    ----------
    most
        How many are held. [-]
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._held: OrderedDict[K, V] = OrderedDict()
        self._lock = Lock()

    def __contains__(self, key: K) -> bool:
        with self._lock:
            return key in self._held

    def __len__(self) -> int:
        with self._lock:
            return len(self._held)

    def get(self, key: K, make: Callable[[], V]) -> V:
        """Return what is held by a key, made first where nothing is; two threads may both make it."""
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return self._held[key]
        made = make()
        with self._lock:
            self._held[key] = made
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return made

    def forget(self, key: K) -> None:
        """Forget what is held by a key."""
        with self._lock:
            self._held.pop(key, None)

    def clear(self) -> None:
        """Forget everything: another database may use the same keys."""
        with self._lock:
            self._held.clear()
