"""Addresses of pages, written out once each: a page holds hundreds of them."""

from __future__ import annotations

from functools import lru_cache

from django.urls import get_script_prefix, reverse


def address(name: str, **keys: object) -> str:
    """Return the address of a page by its name and its keys, as Django's ``reverse`` writes it."""
    return _written(get_script_prefix(), name, tuple(keys.items()))


@lru_cache(maxsize=16_384)
def _written(prefix: str, name: str, keys: tuple[tuple[str, object], ...]) -> str:
    return reverse(name, kwargs=dict(keys))
