"""Drawings of the printed sheets, taken into pages."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from tierwright.drawings import Drawing


def on_page(picture: Mapping[str, Any]) -> Drawing:
    """Return a printed sheet's picture as a page takes it."""
    return Drawing(
        svg=picture["svg"],
        width_mm=picture["width_mm"],
        height_mm=picture.get("height_mm", 0.0),
        title=picture.get("title", ""),
        alt=picture["alt"],
    )


def all_on_page(pictures: Iterable[Mapping[str, Any]]) -> list[Drawing]:
    """Return several of them."""
    return [on_page(picture) for picture in pictures]
