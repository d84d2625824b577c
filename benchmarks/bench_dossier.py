"""The main job: a three-tier dossier, its JSON, its PDF, the help text, and the memory of it all."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tierwright.brief import Commission, Kitchen, parse_commission, read_brief
from tierwright.dossier import from_json, prepare, to_json
from tierwright.dossier.coating_stage import coat_tiers
from tierwright.dossier.formula_stage import weigh_formulas
from tierwright.dossier.sizing_stage import pan_choices, size_tiers
from tierwright.sheets import print_dossier

EXAMPLE = Path(__file__).parents[1] / "examples" / "centenary"
MAIN = "from tierwright.cli import main; main()"


def best_ms(job: Callable[[], object], times: int = 5) -> float:
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        job()
        spent.append(time.perf_counter() - start)
    return min(spent) * 1000


def peak_mb(*words: str) -> float:
    """Peak memory of one command in a process of its own."""
    script = f"import resource, sys; sys.argv[1:] = {list(words)!r}\ntry:\n {MAIN}\nfinally:\n"
    script += " print('PEAK', resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return float(done.stderr.split("PEAK")[1]) / 1024


def weigh(commission: Commission, kitchen: Kitchen) -> float:
    """Milliseconds for tiers, coats and weights alone, without what the rooms for heat, road and keeping add."""
    start = time.perf_counter()
    sizing = size_tiers(commission, kitchen)
    coating = coat_tiers(commission, kitchen, sizing, {})
    weigh_formulas(commission, kitchen, sizing, pan_choices(commission, kitchen), coating.needs)
    return (time.perf_counter() - start) * 1000


def rows() -> list[tuple[str, float, str]]:
    brief = read_brief(EXAMPLE / "commission.toml", EXAMPLE / "kitchen.toml")
    weighed = weigh(brief.commission, brief.kitchen)
    start = time.perf_counter()
    dossier = prepare(brief.commission, brief.kitchen)
    first = (time.perf_counter() - start) * 1000
    # Other guests give other tiers, pans, bakes and supports: nothing that the first run left behind answers for them.
    wished = brief.commission.model_dump(mode="json", by_alias=True)
    wished["guests"] |= {"invited": 97, "attending": "84 to 93"}
    others = parse_commission(wished, "other guests")
    start = time.perf_counter()
    prepare(others, brief.kitchen)
    fresh = (time.perf_counter() - start) * 1000
    written = to_json(dossier)
    help_ms = best_ms(lambda: subprocess.run([sys.executable, "-c", MAIN, "--help"], capture_output=True, check=True))
    return [
        ("three tiers: tiers, coats and weights, first run", weighed, "ms"),
        ("three tiers, every room, first run after that", first, "ms"),
        ("three tiers, other guests", fresh, "ms"),
        ("three tiers, the same again", best_ms(lambda: prepare(brief.commission, brief.kitchen)), "ms"),
        ("to JSON", best_ms(lambda: to_json(dossier)), "ms"),
        ("from JSON", best_ms(lambda: from_json(written)), "ms"),
        ("size of the JSON", len(written) / 1024, "KiB"),
        ("PDF", best_ms(lambda: print_dossier(dossier), 3), "ms"),
        ("tierwright --help, whole process", help_ms, "ms"),
        ("peak memory, dossier with PDF", peak_mb("dossier", str(EXAMPLE / "commission.toml"), "--out", "out"), "MB"),
        ("peak memory, this process", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, "MB"),
    ]
