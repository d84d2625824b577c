"""How fast drawings and printed sheets are made; run by hand from the root of the checkout."""

from __future__ import annotations

import resource
from collections.abc import Callable
from time import perf_counter

from tests.drawings import scenario
from tests.sheets import sample

from tierwright.drawings import cutting_guide, section
from tierwright.sheets import render, render_pdf


def best_ms(work: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of several runs, which other work on the machine disturbs least. [ms]"""
    times: list[float] = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times) * 1000.0


def rows() -> list[tuple[str, float, str]]:
    bottom = scenario.TIERS[0]
    assert bottom.cutting is not None
    cutting = bottom.cutting
    pages = sample.pages()
    start = perf_counter()
    pdf = render_pdf(pages, sample.book())
    first_ms = (perf_counter() - start) * 1000.0
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    # Another title each time, so that nothing is taken from the compiler's memory but what a new commission could.
    titles = iter(range(1000))
    return [
        ("section of three tiers, SVG", best_ms(lambda: section(scenario.STACK, scenario.COATING)), "ms"),
        ("cutting guide of a 254 mm tier, SVG", best_ms(lambda: cutting_guide(cutting, bottom.outline)), "ms"),
        ("data of all sheets with their drawings", best_ms(sample.pages), "ms"),
        ("whole book as PDF, first in the process", first_ms, "ms"),
        (
            "whole book as PDF, next commission",
            best_ms(lambda: render_pdf(sample.pages(hostile=f"no {next(titles)}"), sample.book())),
            "ms",
        ),
        ("pages in the book", float(len(render(pages, sample.book(), format="png", ppi=10))), "pages"),
        ("size of the PDF", len(pdf) / 1000.0, "kB"),
        ("peak memory of the process after the first book", peak_mib, "MiB"),
    ]
