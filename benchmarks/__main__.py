"""Run every benchmark and print one table: ``python -m benchmarks [name ...]``."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import benchmarks


def main(wanted: list[str]) -> None:
    print(f"{'benchmark':<58} {'value':>12}  unit")
    for module in sorted(m.name for m in pkgutil.iter_modules(benchmarks.__path__) if m.name.startswith("bench_")):
        if wanted and module.removeprefix("bench_") not in wanted:
            continue
        for name, value, unit in importlib.import_module(f"benchmarks.{module}").rows():
            print(f"{module.removeprefix('bench_') + ': ' + name:<58} {value:>12.4g}  {unit}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
