"""How fast a handover is worked out, its two pages set and its calendar written; run by hand from the checkout."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter

from PIL import Image

from tierwright.brief import read_brief
from tierwright.dossier import prepare
from tierwright.dossier.handover_stage import hand_over_stage
from tierwright.handover import write_calendar
from tierwright.sheets import book_of, words_of
from tierwright.sheets.handover import venue_pages
from tierwright.sheets.page import render_pdf
from tierwright.web.handover.photographs import picture_of

EXAMPLE = Path(__file__).parents[1] / "examples" / "centenary"
STAMP = datetime(2027, 1, 1, tzinfo=UTC)


def best_ms(work: Callable[[], object], repeats: int = 5) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return 1000.0 * min(times)


def rows() -> list[tuple[str, float, str]]:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    done = prepare(brief.commission, brief.kitchen)

    def stage() -> object:
        return hand_over_stage(
            done.commission, done.kitchen, done.sizing, done.formulas, done.coating, bakes=done.bakes,
            support=done.support, keeping=done.keeping, purchase=done.purchase, finish=done.finish,
        )  # fmt: skip

    words, book = words_of(done), book_of(done)
    pages = venue_pages(done, words)
    out = io.BytesIO()
    Image.effect_noise((1600, 1200), 60).convert("RGB").save(out, "JPEG", quality=80)
    sent = base64.b64encode(out.getvalue()).decode()
    calendar = write_calendar(done.handover.dates, owner="bench", name="bench", stamp=STAMP)
    return [
        ("the stage, of a dossier worked through", best_ms(stage), "ms"),
        ("data of the two pages with their drawings", best_ms(lambda: venue_pages(done, words)), "ms"),
        ("the two pages as PDF, type fitted to the page", best_ms(lambda: render_pdf(pages, book)), "ms"),
        (
            f"calendar of {len(done.handover.dates)} dates with its zone",
            best_ms(lambda: write_calendar(done.handover.dates, owner="bench", name="bench", stamp=STAMP)),
            "ms",
        ),
        ("size of that calendar", len(calendar) / 1024.0, "KiB"),
        ("a photograph of 1600 by 1200 made anew", best_ms(lambda: picture_of(sent), 3), "ms"),
    ]
