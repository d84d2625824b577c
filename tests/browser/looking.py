"""Looking a page over: what axe finds, and whether it is wider than the screen, at every width, light and dark."""

from __future__ import annotations

import json
import os
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page
from tests.browser.conftest import SIZES

RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
OF_COLOUR = ("color-contrast", "link-in-text-block")
OF_WIDTH = ("target-size", "scrollable-region-focusable")
"""What can differ in the dark, and on another screen; everything else is the same page and is looked at once."""

LOOKS = (
    ("phone", "light", {"type": "tag", "values": RULES}),
    ("tablet", "dark", {"type": "rule", "values": (*OF_COLOUR, *OF_WIDTH)}),
    ("desktop", "light", {"type": "rule", "values": OF_WIDTH}),
)
PICTURES = os.environ.get("TIERWRIGHT_PICTURES", "")
"""A folder for a picture of every page at every look, for people to look at."""


@lru_cache(maxsize=1)
def _axe() -> str:
    script: str = Axe().axe_script
    return script


def complaints(page: Page, only: dict[str, Any] | None = None) -> list[str]:
    """Return what axe finds on a page as it stands; axe itself is read once a page."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(_axe())
    options = {"runOnly": only or LOOKS[0][2], "resultTypes": ["violations"], "selectors": False, "preload": False}
    found: Any = page.evaluate(f"axe.run({json.dumps(options)}).then((found) => found.violations)")
    return [f"{page.url}: {problem['id']}: {node['html'][:160]}" for problem in found for node in problem["nodes"]]


def look_round(page: Page, name: str = "") -> list[str]:
    """Look a page over as it stands at each width, light and dark, without loading it anew; return what is wrong."""
    # What is folded away is read, too; what is still fading in has no contrast to judge.
    page.emulate_media(reduced_motion="reduce")
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    found: list[str] = []
    for size, scheme, only in LOOKS:
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        found += [f"{size}, {scheme}: {text}" for text in complaints(page, only)]
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found.append(f"{page.url} is wider than the screen of a {size}")
        if PICTURES:
            stem = re.sub(r"[^a-z0-9]+", "-", name or page.url.partition("/k/")[2])
            page.screenshot(path=Path(PICTURES) / f"{stem}-{size}-{scheme}.png", full_page=True)
    return found


def look_over(page: Page, url: str, name: str = "") -> list[str]:
    """Open a page and look it over; return what is wrong."""
    width, height = SIZES["phone"]
    page.set_viewport_size({"width": width, "height": height})
    answer = page.goto(url)
    assert answer is not None
    assert answer.status == 200, url
    return look_round(page, name or url)
