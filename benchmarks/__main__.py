"""Run every benchmark and print one table: ``python -m benchmarks [name ...]``.

``--without NAME`` leaves one out, ``--out FILE`` also writes the table as Markdown. A benchmark that breaks off is a
row that says so; the others go on. ``--long`` adds what takes minutes, where a benchmark has such rows.
"""

from __future__ import annotations

import argparse
import importlib
import os
import pkgutil
import platform
import traceback
from itertools import chain
from pathlib import Path

import benchmarks


def main() -> None:
    names = [m.name.removeprefix("bench_") for m in pkgutil.iter_modules(benchmarks.__path__) if m.name != "__main__"]
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("wanted", nargs="*", metavar="name", choices=[[], *names], help=", ".join(names))
    parser.add_argument("--without", action="append", default=[], choices=names)
    parser.add_argument("--long", action="store_true")
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    about = (
        f"{platform.python_implementation()} {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores"
    )
    lines = [f"Measured in one run: {about}.", "", "| benchmark | value | unit |", "|---|---:|---|"]
    print(f"{about}\n{'benchmark':<66} {'value':>12}  unit")
    for name in asked.wanted or [name for name in names if name not in asked.without]:
        try:
            module = importlib.import_module(f"benchmarks.bench_{name}")
            long_rows = getattr(module, "long_rows", list) if asked.long else list
            for row, value, unit in chain(module.rows(), long_rows()):
                print(f"{name + ': ' + row:<66} {value:>12.4g}  {unit}", flush=True)
                lines.append(f"| {name}: {row} | {value:.4g} | {unit} |")
        except Exception:
            traceback.print_exc()
            print(f"{name}: broke off", flush=True)
            lines.append(f"| {name}: broke off | | |")
    if asked.out is not None:
        asked.out.parent.mkdir(parents=True, exist_ok=True)
        asked.out.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
