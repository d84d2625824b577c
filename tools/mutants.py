"""
Change one operator or limit of a decisive module at a time and see whether the room's own tests notice.

    coverage run --source=src/tierwright/price -m pytest tests/price tests/published/test_price_*.py
    python tools/mutants.py --data .coverage --module price.ledger --module price.tax --each 12

A change is tried on the tests that were seen to run its line (coverage keeps which). Everything is imported once; each
change is put into the running functions of a forked child, so that a try costs little more than its tests. The sample
is drawn by a seed: the same seed and the same code give the same changes.
"""

from __future__ import annotations

import argparse
import ast
import copy
import json
import os
import random
import resource
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from importlib import import_module
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any, Final

import coverage
import pytest

ROOT: Final = Path(__file__).resolve().parents[1]
MOST_SECONDS: Final = 90
FIRST_TESTS: Final = 6
"""Tests tried at once; the rest follow only where these notice nothing. [-]"""

COMPARED: Final[dict[type[ast.cmpop], type[ast.cmpop]]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
COUNTED: Final[dict[type[ast.operator], type[ast.operator]]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
}
Trail = list[tuple[ast.AST, str, int | None]]
"""The way from a statement down to a node: parent, field, place in a list."""
SWAPPED: Final = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass
class Mutant:
    """One change: where, what stood there, what stands there now, and what became of it."""

    module: str
    line: int
    was: str
    now: str
    owner: str
    tests: int = 0
    fate: str = ""
    tree: ast.Module = field(repr=False, default_factory=lambda: ast.Module([], []))


@dataclass
class Suite:
    """What a coverage run knew: which tests ran each line of each file."""

    data: coverage.CoverageData

    @cached_property
    def files(self) -> dict[str, dict[int, list[str]]]:
        found = {}
        for name in self.data.measured_files():
            found[str((ROOT / name).resolve().relative_to(ROOT))] = self.data.contexts_by_lineno(name)
        return found

    @cached_property
    def breadth(self) -> dict[str, int]:
        """How many lines each test runs: the narrowest are tried first."""
        counts: dict[str, int] = {}
        for lines in self.files.values():
            for tests in lines.values():
                for test in tests:
                    counts[test] = counts.get(test, 0) + 1
        return counts

    def running(self, path: str, lines: Iterable[int]) -> list[str]:
        known = self.files.get(path, {})
        tests = {test for line in lines for test in known.get(line, []) if test}
        return sorted(tests, key=lambda test: (self.breadth[test], test))


def changed(node: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    """Yield what may stand in a node's place, and how the change is called."""
    match node:
        case ast.Compare(ops=[*ops]):
            for place, operator in enumerate(ops):
                if type(operator) in COMPARED:
                    other = copy.deepcopy(node)
                    other.ops[place] = COMPARED[type(operator)]()
                    yield other, "comparison"
        case ast.BinOp(op=operator) if type(operator) in COUNTED:
            other_op = copy.deepcopy(node)
            other_op.op = COUNTED[type(operator)]()
            yield other_op, "operator"
        case ast.BoolOp():
            joined = copy.deepcopy(node)
            joined.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield joined, "and/or"
        case ast.UnaryOp(op=ast.Not()):
            yield copy.deepcopy(node.operand), "not"
        case ast.Constant(value=bool() as value):
            yield ast.copy_location(ast.Constant(not value), node), "truth"
        case ast.Constant(value=int() as number):
            yield ast.copy_location(ast.Constant(number + 1), node), "number"
        case ast.Constant(value=float() as measure):
            yield ast.copy_location(ast.Constant(measure * 1.1 if measure else 1.0), node), "number"
        case ast.Call(func=ast.Name(id=name)) if name in SWAPPED:
            called = copy.deepcopy(node)
            called.func = ast.copy_location(ast.Name(SWAPPED[name], ast.Load()), node.func)
            yield called, "min/max/any/all"


def sites(tree: ast.Module) -> Iterator[tuple[ast.stmt, str, Trail]]:
    """Yield each place to change with the top-level statement or method that owns it."""

    def owners(body: list[ast.stmt], inside: str) -> Iterator[tuple[ast.stmt, str]]:
        for statement in body:
            if isinstance(statement, ast.ClassDef):
                yield from owners(statement.body, f"{inside}{statement.name}.")
            elif isinstance(statement, ast.FunctionDef):
                yield statement, inside + statement.name
            elif not inside and isinstance(statement, ast.Assign | ast.AnnAssign):
                target = statement.target if isinstance(statement, ast.AnnAssign) else statement.targets[0]
                if isinstance(target, ast.Name) and target.id.isupper():
                    yield statement, target.id

    for statement, name in owners(tree.body, ""):
        if isinstance(statement, ast.FunctionDef):
            for part in statement.body:
                yield from ((statement, name, trail) for trail in below(part, []))
        elif statement.value is not None:  # type: ignore[attr-defined]
            yield from ((statement, name, trail) for trail in below(statement.value, [(statement, "value", None)]))  # type: ignore[attr-defined]


def below(node: ast.AST, trail: Trail) -> Iterator[Trail]:
    """Yield the way down to every node that computes something: no words, annotations or notes of working."""
    if isinstance(node, ast.JoinedStr | ast.arguments | ast.Raise):
        return
    if trail:
        yield trail
    for name, value in ast.iter_fields(node):
        if name in {"annotation", "returns", "decorator_list"}:
            continue
        if isinstance(value, ast.AST):
            yield from below(value, [*trail, (node, name, None)])
        elif isinstance(value, list):
            for place, item in enumerate(value):
                if isinstance(item, ast.AST):
                    yield from below(item, [*trail, (node, name, place)])


def at(trail: Trail) -> ast.AST:
    parent, name, place = trail[-1]
    value = getattr(parent, name)
    found: ast.AST = value if place is None else value[place]
    return found


def put(trail: Trail, node: ast.AST) -> None:
    parent, name, place = trail[-1]
    if place is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[place] = node


def mutants(module: str, each: int, seed: int) -> Iterator[Mutant]:
    """Yield some changes of a module, drawn by a seed."""
    tree = ast.parse(path_of(module).read_text(encoding="utf-8"))
    places = [(owner, trail, other) for _, owner, trail in sites(tree) for other, _kind in changed(at(trail))]
    random.Random(f"{seed} {module}").shuffle(places)
    for owner, trail, other in places[:each]:
        node = at(trail)
        put(trail, other)
        whole = ast.fix_missing_locations(copy.deepcopy(tree))
        put(trail, node)
        yield Mutant(
            module=module,
            line=node.lineno,  # type: ignore[attr-defined]
            was=ast.unparse(node)[:90],
            now=ast.unparse(other)[:90],
            owner=owner,
            tree=whole,
        )


def path_of(module: str) -> Path:
    return ROOT / "src" / "tierwright" / f"{module.replace('.', '/')}.py"


def bare(found: Any) -> FunctionType:
    """Return the plain function behind a property, a class method or a memory."""
    for name in ("fget", "func", "__func__", "__wrapped__"):
        while hasattr(found, name) and getattr(found, name) is not None:
            found = getattr(found, name)
    if not isinstance(found, FunctionType):
        raise TypeError(f"no function behind {found!r}")
    return found


def code_of(whole: CodeType, owner: str) -> CodeType:
    """Return the code of a function or method in a compiled module."""
    for step in owner.split("."):
        whole = next(const for const in whole.co_consts if isinstance(const, CodeType) and const.co_name == step)
    return whole


def apply(mutant: Mutant) -> None:
    """Put a change into the running module, and into every module that took a changed constant from it."""
    module = import_module(f"tierwright.{mutant.module}")
    compiled = compile(mutant.tree, str(path_of(mutant.module)), "exec", dont_inherit=True)
    if mutant.owner.isupper():
        old = vars(module)[mutant.owner]
        statement = next(part for part in mutant.tree.body if owner_of(part) == mutant.owner)
        afresh = dict(vars(module))
        exec(compile(ast.Module([statement], []), str(path_of(mutant.module)), "exec"), afresh)
        for other in list(sys.modules.values()):
            if isinstance(other, ModuleType) and vars(other).get(mutant.owner) is old:
                setattr(other, mutant.owner, afresh[mutant.owner])
        return
    found: Any = module
    for step in mutant.owner.split("."):
        found = vars(found)[step]
    bare(found).__code__ = code_of(compiled, mutant.owner)


def owner_of(statement: ast.stmt) -> str:
    if isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
        return statement.target.id
    if isinstance(statement, ast.Assign) and isinstance(statement.targets[0], ast.Name):
        return statement.targets[0].id
    return ""


def run(tests: list[str]) -> int:
    return int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *tests]))


def tried(mutant: Mutant, tests: list[str]) -> str:
    """Say what became of a change, tried in a child of its own."""
    child = os.fork()
    if not child:
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        try:
            apply(mutant)
            code = run(tests)
        except BaseException:
            code = 99
        os._exit(code)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return "too slow"
    return {0: "survived", 1: "killed", 2: "killed"}.get(os.WEXITSTATUS(status), f"not tried ({status})")


def addresses(contexts: list[str], room: str) -> list[str]:
    """
    Turn contexts of coverage into tests' addresses, in the same order.

    Coverage sees a property under the name of Hypothesis's own runner: all properties of the room are meant then.
    """
    files = {
        path.stem: path for path in [*ROOT.glob(f"tests/{room}/test_*.py"), *ROOT.glob("tests/published/test_*.py")]
    }
    found: list[str] = []
    for context in contexts:
        module, _, test = context.rpartition(".")
        if module.startswith("hypothesis."):
            own = [path for stem, path in sorted(files.items()) if room in (path.parent.name, *stem.split("_"))]
            found += (f"{path.relative_to(ROOT)}::{name}" for path in own for name in properties(path))
        else:
            found.append(f"{files[module.rpartition('.')[2]].relative_to(ROOT)}::{test}")
    return list(dict.fromkeys(found))


def properties(path: Path) -> list[str]:
    """Return the tests of a file that Hypothesis drives."""
    return [
        part.name
        for part in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(part, ast.FunctionDef) and any("given(" in ast.unparse(how) for how in part.decorator_list)
    ]


def lines_of(mutant: Mutant) -> tuple[str, list[int]]:
    """Return file and lines whose running makes a change felt: its own, or those that use a changed constant."""
    path = path_of(mutant.module)
    if not mutant.owner.isupper():
        return str(path.relative_to(ROOT)), [mutant.line]
    uses = [
        node.lineno
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Name) and node.id == mutant.owner
    ]
    return str(path.relative_to(ROOT)), uses


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    known = parser.add_mutually_exclusive_group(required=True)
    known.add_argument("--data", type=Path, help="coverage data, taken with dynamic contexts")
    known.add_argument("--tests", nargs="+", help="these tests for every change, where no coverage was taken")
    parser.add_argument("--module", action="append", required=True, help="such as price.ledger")
    parser.add_argument("--only", action="append", default=[], metavar="MODULE:LINE", help="of the sample, these alone")
    parser.add_argument("--each", type=int, default=10, help="changes of each module")
    parser.add_argument("--seed", type=int, default=12)
    parser.add_argument("--out", type=Path, help="JSON of every change and its fate")
    parser.add_argument("--list", action="store_true", help="show the sample and try nothing")
    asked = parser.parse_args()
    drawn = [mutant for module in asked.module for mutant in mutants(module, asked.each, asked.seed)]
    if asked.only:
        drawn = [mutant for mutant in drawn if f"{mutant.module}:{mutant.line}" in asked.only]
    if asked.tests:
        tries = [(mutant, list(asked.tests)) for mutant in drawn]
    else:
        data = coverage.CoverageData(str(asked.data))
        data.read()
        suite = Suite(data)
        rooms = [mutant.module.partition(".")[0] for mutant in drawn]
        found = [suite.running(*lines_of(mutant)) for mutant in drawn]
        tries = [(one, addresses(tests, room)) for one, tests, room in zip(drawn, found, rooms, strict=True)]
    if not asked.list:
        os.chdir(ROOT)
        os.environ.setdefault("HYPOTHESIS_STORAGE_DIRECTORY", "/tmp/mutants-hypothesis")
        needed = sorted({test.partition("::")[0] for _, tests in tries for test in tests})
        sys.stdout.flush()
        # Once for all children: every import, and the tests' own rewriting.
        if pytest.main(["--collect-only", "-qq", "-p", "no:cacheprovider", *needed]):
            raise SystemExit("the tests cannot be collected")
    for mutant, tests in tries:
        mutant.tests = len(tests)
        began = time.monotonic()
        if not tests:
            mutant.fate = "no test runs it"
        elif not asked.list:
            for some in (tests[:FIRST_TESTS], tests[FIRST_TESTS:]):
                if some and mutant.fate in {"", "survived"}:
                    mutant.fate = tried(mutant, some)
        took = time.monotonic() - began
        print(
            f"{mutant.fate:16} {mutant.module}:{mutant.line} {mutant.owner}: {mutant.was!r} -> {mutant.now!r}"
            f"  [{len(tests)} tests, {took:.1f} s]",
            flush=True,
        )
        if asked.out:
            rows = [{k: v for k, v in vars(one).items() if k != "tree"} for one in drawn if one.fate]
            asked.out.write_text(json.dumps(rows, indent=1), encoding="utf-8")
    fates = [mutant.fate for mutant in drawn]
    print({fate: fates.count(fate) for fate in sorted(set(fates))})


if __name__ == "__main__":
    main()
