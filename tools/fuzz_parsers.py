"""Let atheris look for input that reaches new lines of a reader: one command for each reader.

    .venv/bin/python tools/fuzz_parsers.py line --minutes 5
    .venv/bin/python tools/fuzz_parsers.py --list

Allowed is an answer, or a refusal of the house (``TierwrightError``). A fault is any other exception, more than 2 s of
the processor, more than 2,000 MB, or a refused archive that left a row behind; the run ends with it, and the input
lies in the folder as ``crash-...``. ``--folder`` keeps what was found, so that another run goes on from there.
The parsers alone are watched (``INSTRUMENTED``): all of the program would make every case slower and tell no more.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).resolve().parents[1]
EXAMPLE: Final = ROOT / "examples" / "centenary"
INSTRUMENTED: Final = (
    "tierwright.formula", "tierwright.bake.logs", "tierwright.keeping.weather", "tierwright.brief", "tierwright.units",
    "tierwright.web.keepsafe", "html.parser",
)  # fmt: skip
LONGEST_S: Final = 2.0
MOST_MB: Final = 2000
LONGEST_BYTES: Final = 4096


@dataclass(frozen=True, slots=True, kw_only=True)
class Harness:
    """
    A reader, and what it reads.

    Attributes
    ----------
    seeds
        Sound input to begin from.
    read
        Takes any bytes.
    longest
        How long the input may become. [bytes]
    """

    seeds: tuple[bytes, ...]
    read: Callable[[bytes], object]
    longest: int = LONGEST_BYTES


def line() -> Harness:
    """One line of a formula."""
    from tools.fuzz import _lines

    from tierwright.formula.lines import read_line

    return Harness(seeds=_as_bytes(_lines()), read=lambda data: read_line(_text(data)), longest=300)


def formula() -> Harness:
    """A formula as text, line by line."""
    from tools.fuzz import _formula_texts

    from tierwright.formula import FormulaText, read_formula
    from tierwright.words import FormulaKind

    def read(data: bytes) -> object:
        lines = tuple(_text(data).splitlines())
        return read_formula(FormulaText(key="f", name="F", kind=FormulaKind.CREAMED, lines=lines))

    return Harness(seeds=_as_bytes(_formula_texts()), read=read)


def page() -> Harness:
    """A recipe page, as a browser saves it."""
    from tools.fuzz import _page

    from tierwright.formula.recipe import read_recipe
    from tierwright.words import FormulaKind

    return Harness(
        seeds=_as_bytes((_page(),)),
        read=lambda data: read_recipe(_text(data), key="f", kind=FormulaKind.CREAMED),
    )


def probe() -> Harness:
    """A probe's log as CSV."""
    from tools.fuzz import LOG

    from tierwright.bake.logs import read_log

    seeds = (LOG[:200], LOG[:200].replace(",", ";").replace(".", ","), "t\tC\n0\t20\n60\t21\n120\t25\n")
    return Harness(seeds=_as_bytes(seeds), read=lambda data: read_log(_text(data)), longest=1000)


def weather() -> Harness:
    """Hourly weather as CSV."""
    from tools.fuzz import WEATHER

    from tierwright.keeping.weather import read_weather

    return Harness(
        seeds=_as_bytes((WEATHER[:300],)),
        read=lambda data: read_weather(_text(data), zone="Europe/Zurich"),
        longest=1000,
    )


def commission() -> Harness:
    """A commission's file, with the formula files that it names."""
    from tierwright.brief import read_commission

    whole = (EXAMPLE / "commission.toml").read_bytes()
    return Harness(seeds=(whole, *_tables(whole)), read=_from_file(read_commission), longest=2 * len(whole))


def kitchen() -> Harness:
    """A kitchen's file."""
    from tierwright.brief import read_kitchen

    whole = (EXAMPLE / "kitchen.toml").read_bytes()
    return Harness(seeds=(whole, *_tables(whole)), read=_from_file(read_kitchen), longest=2 * len(whole))


def archive() -> Harness:
    """A kitchen's archive, into a database: one of its texts changed and its digest made to fit, or the whole ZIP."""
    import json

    from tools.fuzz import _packed, _set_up, targets

    _set_up()
    target = targets()["archive"]
    sound: dict[str, Any] = target.seeds[0]
    names = sorted(name for name, entry in sound.items() if not isinstance(entry, str))

    def read(data: bytes) -> object:
        if not data or data[0] >= len(names):
            return target.read(data[1:])
        try:
            changed = json.loads(data[1:])
        except (ValueError, RecursionError):
            changed = _text(data[1:])
        return target.read(sound | {names[data[0]]: changed})

    texts = [bytes([at]) + json.dumps(sound[name]).encode() for at, name in enumerate(names)]
    short = [text for text in texts if len(text) < LONGEST_BYTES]
    return Harness(seeds=(*short, b"\xff" + _packed(sound)), read=read, longest=200_000)


HARNESSES: Final[dict[str, Callable[[], Harness]]] = {
    made.__name__: made for made in (line, formula, page, commission, kitchen, probe, weather, archive)
}


def tried(harness: Harness, data: bytes) -> None:
    """
    Take one case through a reader.

    Raises
    ------
    Exception
        Whatever the reader raised that is no refusal.
    RuntimeError
        It refused without words, or took more than 2 s of the processor.
    """
    from tierwright.errors import TierwrightError

    began = time.process_time()
    try:
        harness.read(data)
    except TierwrightError as refusal:
        if not str(refusal):
            raise RuntimeError("a refusal without words") from refusal
    took = time.process_time() - began
    if took > LONGEST_S:
        raise RuntimeError(f"{took:.1f} s of the processor")


def _as_bytes(texts: tuple[str, ...]) -> tuple[bytes, ...]:
    return tuple(text.encode() for text in texts)


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")


def _tables(whole: bytes) -> list[bytes]:
    """Return a file cut before each of its tables: shorter input is changed to more purpose."""
    parts = whole.split(b"\n[")
    return [b"\n[".join(parts[:count]) for count in range(1, len(parts))]


def _from_file(read: Callable[[Path], object]) -> Callable[[bytes], object]:
    import shutil

    from tools.fuzz import _folder

    folder = _folder()
    shutil.copytree(EXAMPLE, folder, dirs_exist_ok=True)
    scratch = folder / "scratch.toml"

    def from_file(data: bytes) -> object:
        scratch.write_bytes(data)
        return read(scratch)

    return from_file


def main() -> None:
    """Run one reader as asked."""
    sys.path.insert(0, str(ROOT))
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("reader", nargs="?", choices=HARNESSES)
    parser.add_argument("--list", action="store_true", help="name every reader")
    parser.add_argument("--minutes", type=float, default=5.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, help="where what was found lies, and is kept")
    asked = parser.parse_args()
    if asked.list or not asked.reader:
        print("\n".join(f"{name:12}{made.__doc__}" for name, made in HARNESSES.items()))
        return
    import atheris

    # What is compiled cannot be watched: it is brought in before.
    import_module("tierwright.heat")
    with ExitStack() as stack:
        folder = asked.folder or Path(stack.enter_context(tempfile.TemporaryDirectory()))
        folder.mkdir(parents=True, exist_ok=True)
        with atheris.instrument_imports(include=list(INSTRUMENTED), enable_loader_override=False):
            harness = HARNESSES[asked.reader]()
        found = folder / asked.reader
        found.mkdir(exist_ok=True)
        for number, seed in enumerate(harness.seeds):
            (found / f"seed-{number}").write_bytes(seed)
        # What ends with a fault is kept where the person stands, even where the rest is thrown away.
        where = folder if asked.folder else Path.cwd()
        options = (
            f"-max_total_time={round(60 * asked.minutes)}", f"-seed={asked.seed}", f"-max_len={harness.longest}",
            f"-rss_limit_mb={MOST_MB}", f"-timeout={round(5 * LONGEST_S)}", f"-artifact_prefix={where}{os.sep}",
            "-print_final_stats=1", "-len_control=20",
        )  # fmt: skip
        atheris.Setup([sys.argv[0], *options, str(found)], lambda data: tried(harness, data))
        atheris.Fuzz()


if __name__ == "__main__":
    main()
