"""Numbers of commissions inside texts and JSON: written anew where a kitchen moves to other numbers."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Mapping
from typing import Any, Final

_KEY: Final = re.compile(r"(?<![A-Za-z0-9])c(\d{1,18})(?![A-Za-z0-9])")
"""What the week calls a commission, alone or at the head of a task's key."""
LARGEST_BYTES: Final = 100_000_000


def renumbered(value: Any, way: tuple[str | int, ...], numbers: Mapping[int, int]) -> Any:
    """
    Return a column's value with the commissions in it numbered anew.

    Parameters
    ----------
    value
        A text, plain JSON, or compressed JSON.
    way
        Where the number stands in each entry (``*`` for all of a list), or () for keys in any text of it.
    numbers
        New numbers by old ones; a number that is not among them stays, for it names nothing.
    """
    if isinstance(value, bytes | memoryview):
        inside = renumbered(json.loads(_unpacked(bytes(value))), way, numbers)
        text = json.dumps(inside, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        return zlib.compress(text.encode("utf-8"), 6)
    return _at(value, way, numbers) if way else _keys(value, numbers)


def _unpacked(data: bytes) -> bytes:
    stream = zlib.decompressobj()
    text = stream.decompress(data, LARGEST_BYTES)
    if stream.unconsumed_tail or not stream.eof:
        raise ValueError(f"compressed JSON of at most {LARGEST_BYTES:,} bytes")
    return text


def _at(value: Any, way: tuple[str | int, ...], numbers: Mapping[int, int]) -> Any:
    if not way:
        return numbers.get(value, value) if isinstance(value, int) else value
    if way[0] == "*":
        return [_at(part, way[1:], numbers) for part in value] if isinstance(value, list) else value
    if isinstance(value, dict):
        return {key: _at(part, way[1:], numbers) if key == way[0] else part for key, part in value.items()}
    if isinstance(value, list):
        return [_at(part, way[1:], numbers) if place == way[0] else part for place, part in enumerate(value)]
    return value


def _keys(value: Any, numbers: Mapping[int, int]) -> Any:
    if isinstance(value, str):
        return _KEY.sub(lambda found: f"c{numbers.get(int(found[1]), int(found[1]))}", value)
    if isinstance(value, list):
        return [_keys(part, numbers) for part in value]
    if isinstance(value, dict):
        return {_keys(key, numbers): _keys(part, numbers) for key, part in value.items()}
    return value
