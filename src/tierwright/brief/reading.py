"""Read a commission and a kitchen from their files, with every problem reported at once."""

from __future__ import annotations

import json
import re
import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from enum import Enum
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from tierwright.brief.checks import check_commission, check_kitchen
from tierwright.brief.commission import Commission, FormulaSheet
from tierwright.brief.kitchen import Kitchen
from tierwright.brief.packets import LabelBook, check_packets
from tierwright.errors import BadInput, Problem

LARGEST_FILE_BYTES = 4_000_000
DEEPEST = 24
SHOWN = 60

F = TypeVar("F", Commission, Kitchen, FormulaSheet, LabelBook)


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """A commission and the kitchen that is to make it."""

    commission: Commission
    kitchen: Kitchen


def read_brief(commission: Path, kitchen: Path) -> Brief:
    """
    Read a commission and a kitchen from TOML or JSON files.

    Formula files that the commission names are read from beside it.

    Raises
    ------
    BadInput
        With every problem in either file.
    """
    problems: list[Problem] = []
    wanted: Commission | None = None
    has: Kitchen | None = None
    try:
        wanted = read_commission(commission)
    except BadInput as bad:
        problems += bad.problems
    try:
        has = read_kitchen(kitchen)
    except BadInput as bad:
        problems += bad.problems
    if wanted is None or has is None:
        raise BadInput(problems)
    return Brief(commission=wanted, kitchen=has)


def read_commission(path: Path) -> Commission:
    """Read one commission file; ``BadInput`` holds every problem in it and in the formula files it names."""
    data = read_table(path)
    problems = _lay_in_formula_files(data, path)
    if problems:
        # Whatever else is wrong is worth saying in the same breath.
        try:
            _validate(Commission, data, path.name)
        except BadInput as bad:
            problems += [p for p in bad.problems if not p.place.startswith(f"{path.name}: formulas")]
        raise BadInput(problems)
    return parse_commission(data, path.name)


def read_kitchen(path: Path) -> Kitchen:
    """Read one kitchen file; ``BadInput`` holds every problem in it."""
    return parse_kitchen(read_table(path), path.name)


def read_formula_sheet(path: Path, kind: str | None = None) -> FormulaSheet:
    """
    Read one formula by itself: TOML, plain lines under a title, a saved recipe page or recipe JSON.

    ``kind`` says what it makes where the file does not.

    Raises
    ------
    BadInput
        With every problem in the file.
    """
    data = _formula_file(path)
    data.setdefault("key", _key(path.stem))
    data.setdefault("name", path.stem)
    if kind is not None:
        data["kind"] = kind
    return _validate(FormulaSheet, data, path.name)


def read_label_book(path: Path) -> LabelBook:
    """
    Read packets, cross-contact and maker by themselves, in the shape that a kitchen's ``labelling`` has.

    Raises
    ------
    BadInput
        With every problem in the file.
    """
    book = _validate(LabelBook, read_table(path), path.name)
    problems: list[Problem] = []

    def report(where: str, found: str, expected: str, nearest: str = "") -> None:
        problems.append(Problem(place=f"{path.name}: {where}", found=found, expected=expected, nearest=nearest))

    check_packets(book, report, "packets")
    if problems:
        raise BadInput(problems)
    return book


def _key(stem: str) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", stem.casefold()).strip("-")[:60]
    return plain or "formula"


def parse_commission(data: dict[str, Any], place: str) -> Commission:
    """Check the plain data of a commission; ``place`` names where it came from in the report."""
    commission = _validate(Commission, data, place)
    problems = check_commission(commission, place)
    if problems:
        raise BadInput(problems)
    return commission


def parse_kitchen(data: dict[str, Any], place: str) -> Kitchen:
    """Check the plain data of a kitchen; ``place`` names where it came from in the report."""
    kitchen = _validate(Kitchen, data, place)
    problems = check_kitchen(kitchen, place)
    if problems:
        raise BadInput(problems)
    return kitchen


def read_text(path: Path, expected: str) -> str:
    """Read a text file of a bearable size in UTF-8; ``BadInput`` if it is not one."""

    def refuse(found: str, nearest: str = "") -> BadInput:
        return BadInput([Problem(place=path.name, found=found, expected=expected, nearest=nearest)])

    try:
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise refuse(f"{size / 1e6:.1f} MB", f"a file of at most {LARGEST_FILE_BYTES / 1e6:.0f} MB")
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        near = [other.name for other in path.parent.glob("*")] if path.parent.is_dir() else []
        raise refuse("no such file", ", ".join(get_close_matches(path.name, near, n=1))) from None
    except IsADirectoryError:
        raise refuse("a folder") from None
    except PermissionError:
        raise refuse("a file that may not be read") from None
    except UnicodeDecodeError as error:
        raise refuse(f"bytes that are not UTF-8 text, at position {error.start}") from None
    except (OSError, ValueError) as error:
        raise refuse(f"a file that cannot be read ({error})") from None
    if "\x00" in text:
        raise refuse("zero bytes in the text")
    return text


def read_table(path: Path) -> dict[str, Any]:
    """Read a TOML file, or a JSON file if its name ends so; ``BadInput`` if it is neither."""
    text = read_text(path, "a text file in TOML or JSON")
    try:
        data = json.loads(text, parse_constant=_refuse_constant) if path.suffix == ".json" else tomllib.loads(text)
    except (json.JSONDecodeError, tomllib.TOMLDecodeError, _NotANumber) as error:
        language = "JSON" if path.suffix == ".json" else "TOML"
        raise BadInput([Problem(place=path.name, found=str(error), expected=f"correct {language}")]) from None
    except (RecursionError, ValueError):
        expected = f"at most {DEEPEST} levels and numbers of a bearable length"
        raise BadInput([Problem(place=path.name, found="too deep or too long", expected=expected)]) from None
    if not isinstance(data, dict):
        raise BadInput([Problem(place=path.name, found=_shown(data), expected="a table of named values")])
    if _depth(data) > DEEPEST:
        expected = f"at most {DEEPEST} levels"
        raise BadInput([Problem(place=path.name, found="tables nested too deep", expected=expected)])
    return data


class _NotANumber(ValueError):
    """JSON's NaN and Infinity, which no quantity can be."""


def _refuse_constant(name: str) -> float:
    raise _NotANumber(f"{name}, which is no number")


def _depth(value: Any) -> int:
    deepest = 0
    level: list[Any] = [value]
    while level and deepest <= DEEPEST:
        deepest += 1
        children: list[Any] = []
        for item in level:
            if isinstance(item, dict):
                children += item.values()
            elif isinstance(item, list):
                children += item
        level = children
    return deepest


def _lay_in_formula_files(data: dict[str, Any], path: Path) -> list[Problem]:
    """Replace each ``file = "..."`` under ``formulas`` by what that file holds."""
    problems: list[Problem] = []
    formulas = data.get("formulas")
    if not isinstance(formulas, list):
        return problems
    for number, entry in enumerate(formulas, start=1):
        if not isinstance(entry, dict) or "file" not in entry:
            continue
        place = f"{path.name}: formulas[{number}].file"
        name = entry.pop("file")
        if not isinstance(name, str) or not name or Path(name).is_absolute() or ".." in Path(name).parts:
            expected = "the name of a file beside or below the commission"
            problems.append(Problem(place=place, found=_shown(name), expected=expected))
            continue
        try:
            for key, value in _formula_file(path.parent / name).items():
                entry.setdefault(key, value)
        except BadInput as bad:
            problems += [
                Problem(place=f"{place} ({p.place})", found=p.found, expected=p.expected, nearest=p.nearest)
                for p in bad.problems
            ]
    return problems


def _formula_file(path: Path) -> dict[str, Any]:
    """Read one formula file: TOML; a saved recipe page or recipe JSON; or plain lines under a title."""
    if path.suffix == ".toml":
        table = read_table(path)
        for name in ("lines", "method"):
            if isinstance(table.get(name), str):
                table[name] = _lines(table[name])
        return table
    text = read_text(path, "a formula: TOML, plain lines, a saved recipe page or recipe JSON")
    if path.suffix in {".html", ".htm", ".json"}:
        return {"page": text}
    lines = _lines(text)
    if not lines:
        raise BadInput([Problem(place=path.name, found="no lines", expected="a title and the ingredient lines")])
    return {"name": lines[0], "lines": lines[1:]}


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _validate(model: type[F], data: dict[str, Any], place: str) -> F:
    try:
        return model.model_validate(_hyphens_to_underscores(data))
    except ValidationError as error:
        raise BadInput([_problem(model, entry, place) for entry in error.errors(include_url=False)]) from None


def _hyphens_to_underscores(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(k).replace("-", "_"): _hyphens_to_underscores(v) for k, v in value.items()}
    return [_hyphens_to_underscores(item) for item in value] if isinstance(value, list) else value


def _shown(value: Any) -> str:
    """Show a value as it was found, cut where it grows long."""
    text = str(value.value) if isinstance(value, Enum) else repr(value)[: SHOWN * 4]
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}..."


def _problem(model: type[BaseModel], error: Any, place: str) -> Problem:
    loc = error["loc"]
    where = f"{place}: {_path(loc)}" if loc else place
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing":
        parent = _model_at(model, loc[:-1])
        wanted = _describe(parent, str(loc[-1])) if parent else "a value"
        return Problem(place=where, found="nothing", expected=wanted)
    if kind == "extra_forbidden":
        parent = _model_at(model, loc[:-1])
        names = sorted(_names(parent)) if parent else []
        near = get_close_matches(str(loc[-1]), names, n=1, cutoff=0.5)
        return Problem(
            place=where,
            found="a name that means nothing here",
            expected="one of " + ", ".join(names),
            nearest="".join(near),
        )
    found = _shown(error["input"])
    if kind == "value_error":
        text, _, near_text = str(context.get("error", error["msg"])).partition("; nearest: ")
        return Problem(place=where, found=found, expected=text, nearest=near_text)
    if kind in {"enum", "literal_error"}:
        choices = str(context["expected"]).replace(" or ", ", ").replace("'", "").split(", ")
        near = get_close_matches(str(error["input"]), choices, n=1, cutoff=0.4)
        return Problem(place=where, found=found, expected="one of " + ", ".join(choices), nearest="".join(near))
    message = str(error["msg"]).removeprefix("Input should be ").removeprefix("Value error, ")
    nearest = ""
    if kind in {"greater_than_equal", "less_than_equal"}:
        nearest = str(context.get("ge", context.get("le", "")))
    return Problem(place=where, found=found, expected=message[:1].lower() + message[1:], nearest=nearest)


def _path(loc: tuple[int | str, ...]) -> str:
    """Write a place such as ``cake.flavours[2].name``, counting from 1."""
    text = ""
    for step in loc:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def _names(model: type[BaseModel]) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items()}


def _model_at(model: type[BaseModel], loc: tuple[int | str, ...]) -> type[BaseModel] | None:
    """Find the form that stands at a place."""
    current: type[BaseModel] | None = model
    for step in loc:
        if isinstance(step, int):
            continue
        if current is None:
            return None
        annotation = next((f.annotation for n, f in current.model_fields.items() if step in (n, f.alias)), None)
        current = _model_in(annotation)
    return current


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (tuple, list, Union, UnionType, Annotated):
        return next((found for arg in get_args(annotation) if (found := _model_in(arg))), None)
    return None


def _describe(model: type[BaseModel], name: str) -> str:
    """Say what a missing field wants, from its schema."""
    properties = model.model_json_schema(by_alias=True).get("properties", {})
    entry = properties.get(name, {})
    if "description" in entry:
        return str(entry["description"]).rstrip(".").replace("A quantity", "a quantity")
    if "$ref" in entry:
        return f"the table [{name}]"
    return {"integer": "a whole number", "string": "text", "array": "a list", "number": "a number"}.get(
        str(entry.get("type", "")), "a value"
    )
