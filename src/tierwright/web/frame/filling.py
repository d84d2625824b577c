"""Between the brief and a form: what was written laid into fields, and what is typed laid into the brief.

Nothing is checked here. A form's fields are named as the brief's own report names a place, such as
``cake.flavours[2].filling``, so what the brief refuses is said beside the field where it was typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, Final

from tierwright.web.sheet import Box, Field, Part, Rows, Words
from tierwright.web.whole import whole

WAS: Final = "!was"
"""Ends the name of the hidden field that says at which place of the list a row stood."""
GONE: Final = "!gone"
"""Ends the name of the tick that takes a row away."""
LONGEST: Final = 2_000_000

_STEP = re.compile(r"([a-z_0-9]+)|\[(\d+)\]")


def plain(value: Any) -> Any:
    """Return data as a brief's file holds it in plain JSON: names with underscores, dates and times as text."""
    if isinstance(value, Mapping):
        return {str(key).replace("-", "_"): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, time):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date | datetime):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


def _steps(path: str) -> list[str | int]:
    return [int(number) - 1 if number else name for name, number in _STEP.findall(path)]


def at(data: Any, path: str) -> Any:
    """Return what stands at a path of plain data, or None."""
    for step in _steps(path):
        if isinstance(step, int):
            if not isinstance(data, list) or step >= len(data):
                return None
            data = data[step]
        else:
            if not isinstance(data, dict):
                return None
            data = data.get(step)
    return data


def put(data: Any, path: str, value: Any) -> None:
    """Set what stands at a path, making the tables on the way; None takes it away, and a table left empty with it."""
    steps = _steps(path)
    trail: list[tuple[Any, str | int]] = []
    for step in steps[:-1]:
        trail.append((data, step))
        if isinstance(step, int):
            data = data[step]
            continue
        if data.get(step) is None:
            data[step] = {}
        data = data[step]
    last = steps[-1]
    if isinstance(last, int) or value is not None:
        data[last] = value
        return
    data.pop(last, None)
    for parent, step in reversed(trail):
        if isinstance(step, str) and parent[step] == {}:
            del parent[step]
        else:
            return


def _shown(field: Field, value: Any) -> str:
    if value is None:
        return ""
    if field.box is Box.LINES:
        if not isinstance(value, list):
            return str(value)
        return "\n".join(_line(field, item) for item in value)
    if field.box is Box.TICK:
        return "yes" if value is True else ""
    return str(value)


def _line(field: Field, item: Any) -> str:
    if field.say is not None:
        return field.say(item)
    return ", ".join(map(str, item)) if isinstance(item, list) else str(item)


def _read(field: Field, text: str) -> Any:
    if field.box is Box.TICK:
        return bool(text)
    text = text.replace("\r\n", "\n").strip()
    if field.box is Box.LINES:
        lines = [line.strip() for line in text.split("\n") if line.strip()]
        return lines or None
    if not text:
        return None
    number = whole(text, 9) if field.box is Box.WHOLE else None
    return text if number is None else number


def written(part: Part, brief: dict[str, Any]) -> dict[str, str]:
    """Return the text of every field of a form as the brief has it, by name."""
    typed: dict[str, str] = {}
    for item in part.items:
        if isinstance(item, Field):
            typed[item.path] = _shown(item, at(brief, item.path))
            continue
        for number, row in enumerate(at(brief, item.path) or [], start=1):
            where = f"{item.path}[{number}]"
            typed[where + WAS] = str(number)
            for field in item.fields:
                typed[f"{where}.{field.path}"] = _shown(field, at(row, field.path))
    return typed


def collected(part: Part, sent: Mapping[str, str]) -> dict[str, str]:
    """
    Return what was sent for a form's fields, and nothing else.

    Rows that are ticked away or empty are left out, and the others counted anew, so that a place in the brief's report
    is the place of a field.
    """
    typed: dict[str, str] = {}
    for item in part.items:
        if isinstance(item, Field):
            typed[item.path] = sent.get(item.path, "")[:LONGEST]
            continue
        kept = 0
        for number in _numbers(item, sent):
            where = f"{item.path}[{number}]"
            row = {field.path: sent.get(f"{where}.{field.path}", "")[:LONGEST] for field in item.fields}
            if sent.get(where + GONE) or not any(text.strip() for text in row.values()):
                continue
            kept += 1
            typed[f"{item.path}[{kept}]{WAS}"] = sent.get(where + WAS, "")[:4]
            typed |= {f"{item.path}[{kept}].{path}": text for path, text in row.items()}
    return typed


def _numbers(rows: Rows, sent: Mapping[str, str]) -> list[int]:
    pattern = re.compile(re.escape(rows.path) + r"\[(\d{1,4})\]")
    found = {int(match[1]) for name in sent if (match := pattern.match(name))}
    return sorted(found)[: rows.most + 20]


def fill_in(part: Part, brief: dict[str, Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """Return a brief with a form's fields laid into it; whatever the form does not name stays as it was."""
    filled = deepcopy(brief)
    for item in part.items:
        if isinstance(item, Field):
            value = _read(item, typed.get(item.path, ""))
            # An unticked box that the brief never mentioned need not be mentioned now.
            if value is False and at(brief, item.path) is None:
                continue
            put(filled, item.path, value)
            continue
        old = at(brief, item.path) or []
        rows = []
        for number in _numbers(item, typed):
            where = f"{item.path}[{number}]"
            was = typed.get(where + WAS, "")
            stood = whole(was) or 0
            row: dict[str, Any] = deepcopy(old[stood - 1]) if 0 < stood <= len(old) else {}
            for field in item.fields:
                value = _read(field, typed.get(f"{where}.{field.path}", ""))
                if value is False and at(row, field.path) is None:
                    continue
                put(row, field.path, value)
            rows.append(row)
        if rows or at(brief, item.path) is not None:
            put(filled, item.path, rows or None)
    return filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """One field as a page shows it: its name, its text, and what is wrong with it."""

    field: Field
    name: str
    text: str
    wrong: tuple[str, ...]

    @property
    def id(self) -> str:
        """A name that a page may hold once."""
        return "f-" + re.sub(r"[^a-z0-9]+", "-", self.name).strip("-")

    @property
    def on(self) -> bool:
        """Whether a tick is set."""
        return bool(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledRow:
    """One row as a page shows it; ``number`` 0 is the empty one that a new row is made from."""

    where: str
    number: int
    was: str
    cells: tuple[Filled, ...]
    title: Words


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledRows:
    """Rows as a page shows them, with an empty one at the end where there is room."""

    rows: Rows
    filled: tuple[FilledRow, ...]
    wrong: tuple[str, ...]

    is_rows: bool = True


def laid_out(part: Part, typed: Mapping[str, str], wrong: Mapping[str, tuple[str, ...]]) -> list[Filled | FilledRows]:
    """Return a form's fields as a page shows them."""
    shown: list[Filled | FilledRows] = []
    for item in part.items:
        if isinstance(item, Field):
            shown.append(_filled(item, item.path, typed, wrong))
            continue
        numbers = _numbers(item, typed)
        rows = [_row(item, number, typed, wrong) for number in numbers]
        if len(rows) < item.most:
            rows.append(_row(item, (numbers[-1] if numbers else 0) + 1, typed, wrong, fresh=True))
        shown.append(FilledRows(rows=item, filled=tuple(rows), wrong=wrong.get(item.path, ())))
    return shown


def _row(
    rows: Rows, number: int, typed: Mapping[str, str], wrong: Mapping[str, tuple[str, ...]], fresh: bool = False
) -> FilledRow:
    where = f"{rows.path}[{number}]"
    return FilledRow(
        where=where,
        number=0 if fresh else number,
        was=typed.get(where + WAS, ""),
        cells=tuple(_filled(field, f"{where}.{field.path}", typed, wrong) for field in rows.fields),
        title=typed.get(f"{where}.{rows.fields[0].path}", ""),
    )


def _filled(field: Field, name: str, typed: Mapping[str, str], wrong: Mapping[str, tuple[str, ...]]) -> Filled:
    return Filled(field=field, name=name, text=typed.get(name, ""), wrong=wrong.get(name, ()))


def names_of(part: Part, typed: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield the name and the label of every field that holds something a person typed, in the form's order."""
    for item in part.items:
        if isinstance(item, Field):
            yield item.path, str(item.label)
            continue
        for number in _numbers(item, typed):
            for field in item.fields:
                yield f"{item.path}[{number}].{field.path}", f"{item.row} {number}: {field.label}"
