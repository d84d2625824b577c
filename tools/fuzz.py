"""Throw spoilt input at everything that reads what a person or another program wrote.

    .venv/bin/python tools/fuzz.py --cases 100000 --seed 1
    .venv/bin/python tools/fuzz.py --coverage line --runs 200000      (guided by coverage, with atheris)

Allowed is an answer, or a refusal of the house (``TierwrightError``). A fault is any other exception, more than 2 s of
processor time, or a process that has grown by more than 500 MB. What broke is printed so that it can be made a test.
"""

from __future__ import annotations

import argparse
import copy
import json
import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any, Final

from tierwright.errors import TierwrightError

ROOT: Final = Path(__file__).resolve().parents[1]
EXAMPLE: Final = ROOT / "examples" / "centenary"
LONGEST_S: Final = 2.0
MOST_MB: Final = 500.0

ODD_TEXT: Final = (
    "", " ", "\x00", "\ufeff", "\u202e", "½", "¼ ½", "1/0", "0/0", "-1", "1e400", "nan", "inf", "9" * 400,
    "1" + "0" * 5000, "é" * 50, "\U0001f382", "<script>alert(1)</script>", "=1+1", "../../etc/passwd", "%s%n{0}",
    "1 cup", "350 F", "12,5", "1.2.3", "١٢", "a" * 20_000, "((((((((((", "))))", ";;;;", "\n\n\n", "\r", "\t|\t",
    "1 – 2 – 3", "2026-02-30", "25:61", "Europe/Nowhere",
)  # fmt: skip
ODD_VALUES: Final[tuple[Any, ...]] = (
    None, True, False, 0, -1, 1, 10**30, -(10**30), 0.1, 1e308, float("inf"), float("-inf"), float("nan"),
    [], {}, [[]], [None], {"": ""}, {"a": {"b": {"c": {}}}}, *ODD_TEXT,
)  # fmt: skip


class TooLong(Exception):
    """A case took more than its time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """Something that reads: sound input to spoil, and the call."""

    name: str
    seeds: tuple[Any, ...]
    read: Callable[[Any], object]


def _formula_texts() -> tuple[str, ...]:
    return tuple(path.read_text() for path in sorted(EXAMPLE.glob("*.txt")) + sorted(EXAMPLE.glob("*/*.txt")))


def _lines() -> tuple[str, ...]:
    own = (
        "2 1/2 cups (300 g) cake flour, sifted", "1 stick plus 2 Tbsp unsalted butter, softened", "3 large eggs",
        "a pinch of salt", "zest of 2 lemons", "1 (14-ounce) can sweetened condensed milk",
        "1 kg 250 g caster sugar", "100 ml whole milk",
    )  # fmt: skip
    return own + tuple(line for text in _formula_texts() for line in text.splitlines() if line.strip())


def _page() -> str:
    recipe = {
        "@context": "https://schema.org", "@type": "Recipe", "name": "Plain sponge", "recipeYield": "two 8 in rounds",
        "recipeIngredient": list(_lines()[:6]),
        "recipeInstructions": [{"@type": "HowToStep", "text": "Whisk &amp; fold."}],
    }  # fmt: skip
    return f'<html><head><script type="application/ld+json">{json.dumps(recipe)}</script></head><body>x</body></html>'


LOG: Final = "time,temp\n" + "\n".join(f"{minute},{20 + 2 * minute}.5" for minute in range(40))
WEATHER: Final = "time,air_c,humidity,sun_w_m2,wind_m_s\n" + "\n".join(
    f"2026-06-20T{hour:02d}:00,{18 + hour / 2},{60 - hour}%,{40 * hour},1.5" for hour in range(24)
)


def targets() -> dict[str, Target]:
    """Return everything that reads, by name; imported here so that ``--help`` is quick."""
    from tierwright.bake.logs import read_log
    from tierwright.brief import parse_commission, parse_kitchen, read_table
    from tierwright.formula import FormulaText, read_formula
    from tierwright.formula.lines import read_line
    from tierwright.formula.recipe import read_recipe
    from tierwright.keeping.weather import read_weather
    from tierwright.units import Kind, parse_estimate, parse_quantity
    from tierwright.web.serve import read_example
    from tierwright.words import FormulaKind

    example = read_example(EXAMPLE)
    brief, kitchen = example.tried.brief, example.kitchen

    def formula(text: str) -> object:
        lines = tuple(text.splitlines())
        return read_formula(FormulaText(key="f", name="F", kind=FormulaKind.CREAMED, lines=lines))

    scratch = Path(tempfile.mkdtemp(prefix="fuzz-")) / "commission.toml"

    def file(text: str) -> object:
        scratch.write_text(text, encoding="utf-8", errors="replace")
        return parse_commission(read_table(scratch), "commission")

    found = (
        Target(name="commission", seeds=(brief,), read=lambda data: parse_commission(data, "commission")),
        Target(name="kitchen", seeds=(kitchen,), read=lambda data: parse_kitchen(data, "kitchen")),
        Target(name="line", seeds=_lines(), read=read_line),
        Target(name="formula", seeds=_formula_texts() or ("\n".join(_lines()),), read=formula),
        Target(name="page", seeds=(_page(),), read=lambda text: read_recipe(text, key="f", kind=FormulaKind.CREAMED)),
        Target(name="probe", seeds=(LOG, LOG.replace(",", ";").replace(".", ",")), read=read_log),
        Target(name="weather", seeds=(WEATHER,), read=lambda text: read_weather(text, zone="Europe/Zurich")),
        Target(
            name="quantity",
            seeds=("2 1/2 in", "350 F", "1 lb 4 oz", "12.5 g", "1 h 20 min", "96 - 110", "4 ± 1 C"),
            read=lambda text: [_each(parse_quantity, text, kind) or _each(parse_estimate, text, kind) for kind in Kind],
        ),
        Target(name="file", seeds=((EXAMPLE / "commission.toml").read_text(),), read=file),
    )
    return {target.name: target for target in found}


def _each(read: Callable[[str, Any], object], text: str, kind: object) -> object:
    try:
        return read(text, kind)
    except (TierwrightError, ValueError) as refusal:
        # The ground floor refuses a quantity with a plain ValueError that says what was expected.
        if not str(refusal):
            raise
        return None


def spoil(seed: Any, chance: random.Random) -> Any:
    """Return sound input spoilt at one to four places."""
    data = copy.deepcopy(seed)
    for _ in range(chance.randint(1, 4)):
        data = _spoil_text(data, chance) if isinstance(data, str) else _spoil_tree(data, chance)
    return data


def _spoil_text(text: str, chance: random.Random) -> str:
    at = chance.randint(0, len(text))
    to = min(len(text), at + chance.choice((0, 1, 1, 2, 5, 40, 400)))
    way = chance.randrange(6)
    if way == 0:
        return text[:at] + text[to:]
    if way == 1:
        return text[:at] + chance.choice(ODD_TEXT) + text[to:]
    if way == 2:
        return text[:at] + text[at:to] * chance.choice((2, 3, 50)) + text[to:]
    if way == 3:
        return text[:at] + chr(chance.choice((chance.randrange(32, 127), chance.randrange(0xD7FF), 0))) + text[at:]
    if way == 4:
        lines = text.split("\n")
        chance.shuffle(lines)
        return "\n".join(lines)
    other = chance.randint(0, len(text))
    return text[:at] + text[other : other + 60] + text[to:]


def _spoil_tree(data: Any, chance: random.Random) -> Any:
    places = list(_places(data))
    holder, key = chance.choice(places)
    way = chance.randrange(5)
    if way == 0:
        del holder[key]
    elif way == 1 and isinstance(holder, dict):
        holder[chance.choice(("", "x", "__class__", "format", "a" * 5000, "cake"))] = chance.choice(ODD_VALUES)
    elif way == 2 and isinstance(holder, list):
        holder.extend(copy.deepcopy(holder) * chance.choice((1, 40)))
        del holder[5000:]
    elif way == 3 and isinstance(holder[key], str):
        holder[key] = _spoil_text(holder[key], chance)
    elif way == 3 and isinstance(holder[key], int | float):
        holder[key] = holder[key] * chance.choice((-1, 0, 1e-9, 1e9, 1.0000001))
    else:
        other, name = chance.choice(places)
        try:
            holder[key] = (
                copy.deepcopy(other[name]) if chance.random() < 0.3 else copy.deepcopy(chance.choice(ODD_VALUES))
            )
        except (KeyError, IndexError):
            holder[key] = None
    return data


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield data, key
        yield from _places(value)


def _alarm(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong


def fault_of(target: Target, data: Any) -> str:
    """Read one case; return what is wrong, or an empty string."""
    began = time.process_time()
    signal.setitimer(signal.ITIMER_PROF, 4 * LONGEST_S)
    try:
        target.read(data)
    except TierwrightError as refusal:
        if not str(refusal):
            return "a refusal without words"
    except TooLong:
        return f"more than {4 * LONGEST_S:g} s"
    except Exception:
        return traceback.format_exc(limit=-6)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
    took = time.process_time() - began
    return f"{took:.1f} s" if took > LONGEST_S else ""


def mb() -> float:
    """Return the most memory that this process has held. [MB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def run(cases: int, seed: int, names: list[str]) -> int:
    """Run spoilt cases over every target in turn; return the number of faults."""
    known = targets()
    chosen = [known[name] for name in names or known]
    for target in chosen:
        for sound in target.seeds:
            if fault := fault_of(target, copy.deepcopy(sound)):
                raise SystemExit(f"{target.name}: the sound input itself fails: {fault}")
    chance = random.Random(seed)
    begun_mb, faults, refused = mb(), 0, Counter[str]()
    for number in range(cases):
        target = chosen[number % len(chosen)]
        data = spoil(chance.choice(target.seeds), chance)
        fault = fault_of(target, data)
        if not fault and mb() - begun_mb > MOST_MB:
            fault, begun_mb = f"grown by {mb() - begun_mb:.0f} MB", mb()
        refused[target.name] += 1
        if fault:
            faults += 1
            print(f"case {number}, {target.name}: {fault}\n    {repr(data)[-600:]}", file=sys.stderr)
    told = ", ".join(f"{name}: {count}" for name, count in refused.items())
    print(f"cases: {cases} ({told}); grown by {mb() - begun_mb:.0f} MB; faults: {faults}")
    return faults


def run_guided(name: str, runs: int) -> None:
    """Let atheris look for input that reaches new lines of a reader of text."""
    import atheris

    with atheris.instrument_imports(include=["tierwright"]):
        target = targets()[name]

    def one(data: bytes) -> None:
        fault = fault_of(target, data.decode("utf-8", "replace"))
        if fault:
            raise RuntimeError(fault)

    atheris.Setup([sys.argv[0], f"-runs={runs}", "-max_len=600", "-rss_limit_mb=2000"], one)
    atheris.Fuzz()


def main() -> int:
    """Run as asked; 1 where there was any fault."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", default=[], metavar="TARGET")
    parser.add_argument("--coverage", metavar="TARGET")
    parser.add_argument("--runs", type=int, default=100_000)
    asked = parser.parse_args()
    signal.signal(signal.SIGPROF, _alarm)
    _set_up()
    if asked.coverage:
        run_guided(asked.coverage, asked.runs)
        return 0
    return 1 if run(asked.cases, asked.seed, asked.only) else 0


def _set_up() -> None:
    """Read the settings of the pages: the example is read with their help; nothing is written."""
    import os

    import django

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tierwright.web.settings")
    django.setup()


if __name__ == "__main__":
    sys.exit(main())
