"""
Take the pictures of the user's pages: ``python -m tools.screens http://127.0.0.1:8600 [FOLDER]``.

A server with the example, untouched, has to run at that address. Chromium is needed; the pictures are kept small.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import Final

from PIL import Image
from playwright.sync_api import Page, sync_playwright

FOLDER: Final = Path(__file__).parents[1] / "docs" / "pictures"
COMMISSION: Final = "/k/1/c/1/"
COLOURS: Final = 64


def keep(page: Page, folder: Path, name: str) -> None:
    """Keep what the page shows, in few colours."""
    seen = Image.open(io.BytesIO(page.screenshot()))
    small = seen.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    small.save(folder / f"{name}.png", optimize=True)
    print(f"wrote {folder / name}.png")


def main(base: str, folder: Path) -> None:
    """Walk through the pages and take the pictures."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1100, "height": 800})
        page.set_default_timeout(120_000)
        page.goto(base + COMMISSION)
        keep(page, folder, "screen-commission")
        page.goto(f"{base}{COMMISSION}sheet/tiers/change/guests/")
        page.get_by_label("People who will come").fill("110 to 124")
        page.get_by_label("People who will come").blur()
        page.locator("#moved-top button.main").wait_for()
        page.locator("main h1").first.evaluate("it => it.scrollIntoView()")
        keep(page, folder, "screen-change")
        page.goto(f"{base}{COMMISSION}sheet/keeping/try/")
        page.locator("main svg").first.wait_for()
        page.locator("main h1").first.evaluate("it => it.scrollIntoView()")
        keep(page, folder, "screen-keeping")
        page.set_viewport_size({"width": 820, "height": 760})
        page.goto(f"{base}{COMMISSION}bench/bowl-vanilla-1/")
        page.wait_for_timeout(1500)
        keep(page, folder, "screen-bench")
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]) if len(sys.argv) > 2 else FOLDER)
