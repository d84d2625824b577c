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

Json = dict[str, Any]

RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
OF_WIDTH = ("target-size", "scrollable-region-focusable")
CONTRAST = "color-contrast"

WHOLE: Json = {"runOnly": {"type": "tag", "values": RULES}, "rules": {CONTRAST: {"enabled": False}}}
"""Everything but contrast, which takes three quarters of the time and is judged on one of each kind of text."""
IN_COLOUR: Json = {"runOnly": {"type": "rule", "values": (CONTRAST, "link-in-text-block")}}
ON_A_SCREEN: Json = {"runOnly": {"type": "rule", "values": OF_WIDTH}}

LOOKS = (("phone", "light", WHOLE), ("tablet", "dark", ON_A_SCREEN), ("desktop", "light", ON_A_SCREEN))
"""What can differ on another screen, and in the dark; the rest is the same page, and is looked at once."""

KINDS = """() => {
  const seen = new Map();
  for (const one of document.querySelectorAll("[data-one-of-a-kind]")) one.removeAttribute("data-one-of-a-kind");
  const behind = (one) => {
    const shades = [];
    for (let at = one; at; at = at.parentElement) {
      const style = getComputedStyle(at);
      shades.push(style.backgroundColor, style.backgroundImage, style.opacity);
      if (style.backgroundColor.startsWith("rgb(")) break;
    }
    return shades;
  };
  for (const one of document.body.querySelectorAll("*")) {
    const written = one.matches("input, select, textarea")
      || [...one.childNodes].some((part) => part.nodeType === Node.TEXT_NODE && part.data.trim());
    if (!written || !one.checkVisibility()) continue;
    const style = getComputedStyle(one);
    const kind = [one.tagName, one.getAttribute("class"), one.disabled, style.color, style.fontSize, style.fontWeight,
      style.textShadow, style.webkitTextStroke, ...behind(one)].join("|");
    const count = seen.get(kind) ?? 0;
    seen.set(kind, count + 1);
    if (count < 2) one.setAttribute("data-one-of-a-kind", "");
  }
  return seen.size;
}"""
"""
Marks two of each kind of text: the same element and class in the same colour, size and weight, over the same ground.

Contrast hangs on nothing else, and a table of two hundred rows has a handful of kinds.
"""

PICTURES = os.environ.get("TIERWRIGHT_PICTURES", "")
"""A folder for a picture of every page at every look, for people to look at."""


@lru_cache(maxsize=1)
def _axe() -> str:
    script: str = Axe().axe_script
    return script


def _run(page: Page, options: Json, within: str = "") -> list[str]:
    if not page.evaluate("'axe' in window"):
        page.evaluate(_axe())
    asked = options | {"resultTypes": ["violations"], "selectors": False, "preload": False}
    where = json.dumps({"include": [[within]]} if within else {"exclude": []})
    found: Any = page.evaluate(f"axe.run({where}, {json.dumps(asked)}).then((found) => found.violations)")
    return [f"{page.url}: {problem['id']}: {node['html'][:160]}" for problem in found for node in problem["nodes"]]


def _in_colour(page: Page) -> list[str]:
    return _run(page, IN_COLOUR, "[data-one-of-a-kind]") if page.evaluate(KINDS) else []


def complaints(page: Page) -> list[str]:
    """Return what axe finds on a page as it stands."""
    return _run(page, WHOLE) + _in_colour(page)


def look_round(page: Page, name: str = "") -> list[str]:
    """Look a page over as it stands at each width, light and dark, without loading it anew; return what is wrong."""
    # What is folded away is read, too; what is still fading in has no contrast to judge.
    page.emulate_media(reduced_motion="reduce")
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    found: list[str] = []
    for size, scheme, options in LOOKS:
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        wrong = _run(page, options)
        if size != "desktop":
            # In the light of the phone once, in the dark of the tablet once.
            wrong += _in_colour(page)
        found += [f"{size}, {scheme}: {text}" for text in wrong]
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
    # An answer that asks for something else is a page like any other.
    assert answer.status in (200, 422), url
    return look_round(page, name or url)
