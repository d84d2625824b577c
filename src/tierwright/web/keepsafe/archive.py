"""One kitchen in one file: everything it remembers, as JSON and files in a ZIP, and back.

The layout is described in ``docs/archive.md``. Rows are numbered from 1 in each table, so that the same kitchen gives
the same bytes whichever database it lies in; what comes back is written out again and compared before it is kept.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import secrets
import struct
import zipfile
import zlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.loader import MigrationLoader

from tierwright import __version__
from tierwright.errors import BadInput, Problem
from tierwright.web.keepsafe.pointers import renumbered
from tierwright.web.keepsafe.tables import (
    LEFT_OUT,
    OWN,
    POINTERS,
    SECRETS,
    Model,
    columns,
    kitchen_tables,
    label,
    rows_of,
    write_as_it_is,
)
from tierwright.web.models import Commission, Kitchen

FORMAT: Final = 1
MANIFEST: Final = "archive.json"
PEOPLE: Final = "people.json"
WHOLE_BYTES: Final = 4_000_000_000
ENTRY_BYTES: Final = 500_000_000
MANIFEST_BYTES: Final = 5_000_000
RATIO: Final = 400
"""Largest sizes taken in, and how far an entry may have been squeezed: beyond, it is no archive of a kitchen."""
SHOWN: Final = 40
"""Most faults reported of one file."""
UNREADABLE: Final = (
    zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, OSError, EOFError, NotImplementedError, RuntimeError,
    ValueError, struct.error,
)  # fmt: skip
"""What the standard library raises over a ZIP that is damaged or made to harm."""
_TABLE: Final = re.compile(r"tables/([a-z]+\.[a-z]+)\.json")
_FILE: Final = re.compile(r"files/([0-9a-f]{64})")
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)


def write_archive(kitchen: int, path: Path) -> dict[str, int]:
    """
    Write everything of one kitchen into a file, which appears under its name only when it is whole.

    Returns
    -------
    rows
        Rows of each table.

    Raises
    ------
    BadInput
        There is no such kitchen, or the file cannot be written.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        with transaction.atomic(), part.open("wb") as file:
            rows = _write_out(kitchen, file)
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        found = error.strerror or str(error)
        raise BadInput([Problem(place=str(path), found=found, expected="a file that can be written")]) from error
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return rows


def archive_bytes(kitchen: int) -> bytes:
    """Return the archive of one kitchen."""
    with transaction.atomic(), io.BytesIO() as file:
        _write_out(kitchen, file)
        return file.getvalue()


def _write_out(kitchen: int, file: Any) -> dict[str, int]:
    if not Kitchen.objects.filter(pk=kitchen).exists():
        known = ", ".join(f"{found.pk} ({found.name})" for found in Kitchen.objects.all()[:10])
        expected = "the number of a kitchen"
        raise BadInput([Problem(place="kitchen", found=str(kitchen), expected=expected, nearest=known)])
    numbers: dict[Model, dict[Any, int]] = {}
    people: dict[int, int] = {}
    listed: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        kept: set[str] = set()
        for model in kitchen_tables():
            rows = []
            mine = numbers.setdefault(model, {})
            for row in rows_of(model, kitchen).iterator(chunk_size=200):
                mine[row.pk] = len(mine) + 1
                rows.append(_row_out(row, numbers, people, archive, kept))
            listed[label(model)] = _put(archive, f"tables/{label(model)}.json", rows) | {"rows": len(rows)}
        named = {user.pk: user for user in User.objects.filter(pk__in=people)}
        persons = [
            {"id": number, "username": named[key].username, "first_name": named[key].first_name}
            | {"last_name": named[key].last_name, "email": named[key].email}
            for key, number in people.items()
        ]
        manifest = {
            "format": FORMAT,
            "program": __version__,
            "schema": schema_now(),
            "people": _put(archive, PEOPLE, persons) | {"rows": len(persons)},
            "tables": listed,
            "files": len(kept),
        }
        _put(archive, MANIFEST, manifest)
    return {name: entry["rows"] for name, entry in listed.items()}


def schema_now() -> dict[str, str]:
    """Return the last change of the tables in each part of the house: what an archive was written with."""
    loader = MigrationLoader(connection, ignore_no_migrations=True)
    ours = {config.label for config in _own_apps()}
    return {app: name for app, name in sorted(loader.graph.leaf_nodes()) if app in ours}


def _own_apps() -> list[Any]:
    from django.apps import apps

    return [config for config in apps.get_app_configs() if config.name.startswith(OWN)]


def _put(archive: zipfile.ZipFile, name: str, data: Any) -> dict[str, Any]:
    text = json.dumps(data, ensure_ascii=False, sort_keys=True, indent=0, allow_nan=False).encode("utf-8")
    # One date for every entry: the same kitchen gives the same bytes.
    archive.writestr(zipfile.ZipInfo(name, _EPOCH), text, zipfile.ZIP_DEFLATED)
    return {"sha256": hashlib.sha256(text).hexdigest()}


def _row_out(
    row: models.Model,
    numbers: dict[Model, dict[Any, int]],
    people: dict[int, int],
    archive: zipfile.ZipFile,
    kept: set[str],
) -> dict[str, Any]:
    out: dict[str, Any] = {"id": numbers[type(row)][row.pk]}
    for column in columns(type(row)):
        value = column.value_from_object(row)
        way = POINTERS.get(label(type(row)), {}).get(column.name)
        if way is not None:
            value = renumbered(value, way, numbers[Commission])
        if (isinstance(column, models.ForeignKey) and label(column.related_model) in LEFT_OUT) or value is None:
            out[column.name] = None
        elif isinstance(column, models.ForeignKey):
            if column.related_model is User:
                out[column.name] = people.setdefault(value, len(people) + 1)
            else:
                out[column.name] = numbers[column.related_model][value]
        elif isinstance(column, models.BinaryField):
            content = bytes(value)
            name = hashlib.sha256(content).hexdigest()
            if name not in kept:
                kept.add(name)
                archive.writestr(zipfile.ZipInfo(f"files/{name}", _EPOCH), content, zipfile.ZIP_STORED)
            out[column.name] = {"file": name}
        elif isinstance(column, models.JSONField) or isinstance(value, bool | int | str):
            out[column.name] = value
        else:
            out[column.name] = column.value_to_string(row)
    return out


@dataclass(slots=True)
class _Reading:
    """An archive that is being read, and what was found wrong with it."""

    archive: zipfile.ZipFile
    problems: list[Problem] = field(default_factory=list)

    def wrong(self, place: str, found: object, expected: str, nearest: str = "") -> None:
        text = str(found)
        shown = text if len(text) <= 80 else f"{text[:77]}..."
        if len(self.problems) < SHOWN:
            self.problems.append(Problem(place=place, found=shown, expected=expected, nearest=nearest))

    def refuse_if_wrong(self) -> None:
        if self.problems:
            raise BadInput(self.problems)

    def content(self, name: str, limit: int) -> bytes:
        """Return an entry's content; an empty answer, and a problem, where it is not there or too large."""
        try:
            info = self.archive.getinfo(name)
        except KeyError:
            self.wrong(name, "nothing", "an entry of this name")
            return b""
        if info.file_size > limit or info.file_size > RATIO * max(info.compress_size, 1) + 10_000:
            self.wrong(name, f"{info.file_size:,} bytes", f"at most {limit:,}, squeezed at most {RATIO} times")
            return b""
        try:
            with self.archive.open(info) as stream:
                # The size in the directory may lie; what is read may not be more.
                data = stream.read(limit + 1)
        except UNREADABLE as error:
            self.wrong(name, error, "an entry that can be unpacked")
            return b""
        if len(data) > limit:
            self.wrong(name, f"more than {limit:,} bytes", f"at most {limit:,}")
            return b""
        return data

    def table(self, name: str, listed: Any) -> list[dict[str, Any]]:
        """Return the rows of a table; whatever is wrong becomes a problem."""
        data = self.content(name, ENTRY_BYTES)
        if not data:
            return []
        if not isinstance(listed, dict) or hashlib.sha256(data).hexdigest() != listed.get("sha256"):
            self.wrong(name, "other content", f"what {MANIFEST} says was written")
            return []
        rows = _json(data)
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.wrong(name, "something else", "a list of rows")
            return []
        if [row.get("id") for row in rows] != list(range(1, len(rows) + 1)):
            self.wrong(name, "other numbers", "rows numbered from 1")
            return []
        return rows


def read_archive(file: Path) -> Kitchen:
    """
    Lay down a kitchen from its archive: everything, or nothing where anything is wrong.

    People are known by their names; a name that is new here gets no password until one is set.

    Returns
    -------
    kitchen
        The new kitchen.

    Raises
    ------
    BadInput
        Everything that is wrong with the file.
    """
    try:
        if file.stat().st_size > WHOLE_BYTES:
            expected = f"at most {WHOLE_BYTES:,}"
            raise BadInput([Problem(place=str(file), found=f"{file.stat().st_size:,} bytes", expected=expected)])
        with zipfile.ZipFile(file) as archive:
            reading = _Reading(archive)
            tables, people = _check(reading)
            with transaction.atomic():
                kitchen = _lay_down(reading, tables, people)
                _prove(reading, kitchen, file)
            return kitchen
    except UNREADABLE as error:
        expected = "an archive of a kitchen"
        raise BadInput([Problem(place=str(file), found=str(error) or "no archive", expected=expected)]) from None


def _check(reading: _Reading) -> tuple[dict[Model, list[dict[str, Any]]], list[dict[str, Any]]]:
    """Read every table; refuse an archive whose parts are not what they should be."""
    names = [info.filename for info in reading.archive.infolist()]
    for name in names:
        if name not in (MANIFEST, PEOPLE) and not _TABLE.fullmatch(name) and not _FILE.fullmatch(name):
            reading.wrong(name, "an entry of this name", "only entries that belong to an archive")
    if len(set(names)) != len(names):
        reading.wrong("archive", "two entries of one name", "each name once")
    total = sum(info.file_size for info in reading.archive.infolist())
    if total > WHOLE_BYTES:
        reading.wrong("archive", f"{total:,} bytes unpacked", f"at most {WHOLE_BYTES:,}")
    manifest = _json(reading.content(MANIFEST, MANIFEST_BYTES))
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        found = manifest.get("format") if isinstance(manifest, dict) else "something else"
        reading.wrong(f"{MANIFEST}: format", found, str(FORMAT))
        reading.refuse_if_wrong()
    _check_schema(reading, manifest.get("schema"))
    listed = manifest.get("tables")
    known = {label(model): model for model in kitchen_tables()}
    if not isinstance(listed, dict):
        reading.wrong(f"{MANIFEST}: tables", "something else", "the tables and their digests")
        listed = {}
    for name in listed:
        # An older program may name a table that is gone since: empty, it takes nothing with it.
        if name not in known and (not _TABLE.fullmatch(f"tables/{name}.json") or _is_full(reading, name)):
            reading.wrong(f"{MANIFEST}: tables", name, "tables that this program knows")
    for name in names:
        found_table = _TABLE.fullmatch(name)
        if found_table and found_table.group(1) not in listed:
            reading.wrong(name, "a table", f"only tables that {MANIFEST} lists")
    reading.refuse_if_wrong()
    people = reading.table(PEOPLE, manifest.get("people"))
    tables = {
        model: reading.table(f"tables/{name}.json", listed[name]) if name in listed else []
        for name, model in known.items()
    }
    if len(tables[Kitchen]) != 1:
        reading.wrong("tables/web.kitchen.json", f"{len(tables[Kitchen])} rows", "one kitchen")
    for person in people:
        username = person.get("username")
        if not isinstance(username, str) or not 0 < len(username) <= 150:
            reading.wrong(f"{PEOPLE}: {person.get('id')}", username, "a name of at most 150 characters")
    reading.refuse_if_wrong()
    return tables, people


def _is_full(reading: _Reading, name: str) -> bool:
    return bool(_json(reading.content(f"tables/{name}.json", ENTRY_BYTES)) != [])


def _check_schema(reading: _Reading, schema: Any) -> None:
    loader = MigrationLoader(connection, ignore_no_migrations=True)
    if not isinstance(schema, dict):
        reading.wrong(f"{MANIFEST}: schema", "something else", "the last change of each part")
        return
    for app, name in schema.items():
        if not isinstance(name, str) or (app, name) not in loader.graph.nodes:
            expected = "a change of the tables that this program knows"
            reading.wrong(f"{MANIFEST}: schema", f"{app} {name}", expected, "bring the program up to date first")


def _lay_down(reading: _Reading, tables: dict[Model, list[dict[str, Any]]], people: list[dict[str, Any]]) -> Kitchen:
    # Once on paper, so that everything wrong is told together, then in earnest.
    paper = {model: {number: number for number in range(1, len(rows) + 1)} for model, rows in tables.items()}
    nobody = {person["id"]: User(pk=person["id"]) for person in people}
    for model, rows in tables.items():
        for number, data in enumerate(rows, start=1):
            _row_in(reading, model, data, paper, nobody, _place(model, number))
    reading.refuse_if_wrong()
    persons = {person["id"]: _person(person) for person in people}
    keys: dict[Model, dict[int, Any]] = {}
    for model in kitchen_tables():
        mine = keys.setdefault(model, {})
        for number, data in enumerate(tables.get(model, []), start=1):
            row = _row_in(reading, model, data, keys, persons, _place(model, number))
            reading.refuse_if_wrong()
            _write(row, _place(model, number))
            mine[number] = row.pk
    return Kitchen.objects.get(pk=keys[Kitchen][1])


def _place(model: Model, number: int) -> str:
    return f"tables/{label(model)}.json: {number}"


def _write(row: models.Model, place: str) -> None:
    try:
        with transaction.atomic():
            write_as_it_is(row)
    except DatabaseError as error:
        expected = "a row that agrees with the others"
        raise BadInput([Problem(place=place, found=str(error).splitlines()[0], expected=expected)]) from error


def _row_in(
    reading: _Reading,
    model: Model,
    data: dict[str, Any],
    keys: dict[Model, dict[int, Any]],
    persons: dict[int, User],
    place: str,
) -> models.Model:
    row = model()
    wanted = columns(model)
    for name in data.keys() - {column.name for column in wanted} - {"id"}:
        reading.wrong(f"{place}: {name}", "a value", "only columns that this program knows")
    for column in wanted:
        if column.name not in data:
            continue  # an older archive: the model's own default stands
        try:
            value = _value_in(reading, model, column, data[column.name], keys, persons, place)
            way = POINTERS.get(label(model), {}).get(column.name)
            setattr(row, column.attname, value if way is None else renumbered(value, way, keys[Commission]))
        except (ValidationError, ValueError, TypeError, OverflowError, LookupError, zlib.error) as error:
            words = "; ".join(error.messages) if isinstance(error, ValidationError) else str(error)
            reading.wrong(f"{place}: {column.name}", data[column.name], f"a value of this column ({words})")
    for name in SECRETS.get(label(model), ()):
        setattr(row, name, secrets.token_hex(32))
    return row


def _value_in(
    reading: _Reading,
    model: Model,
    column: models.Field[Any, Any],
    value: Any,
    keys: dict[Model, dict[int, Any]],
    persons: dict[int, User],
    place: str,
) -> Any:
    if value is None:
        if not column.null:
            raise ValueError("nothing")
        return None
    if isinstance(column, models.ForeignKey):
        if column.related_model is User:
            return persons[value].pk
        return keys[column.related_model][value]
    if isinstance(column, models.BinaryField):
        name = value["file"]
        data = reading.content(f"files/{name}", ENTRY_BYTES)
        if hashlib.sha256(data).hexdigest() != name:
            reading.wrong(f"{place}: {column.name}", "other content", f"the file {name}")
        return data
    if isinstance(column, models.JSONField):
        return value
    # The model's rules hold for what comes in from a file as for what comes in by a form.
    return column.clean(value, model())


def _person(data: dict[str, Any]) -> User:
    found = User.objects.filter(username=data["username"]).first()
    if found is not None:
        return found
    user = User(username=data["username"])
    for name in ("first_name", "last_name", "email"):
        setattr(user, name, str(data.get(name, ""))[:150])
    user.set_unusable_password()
    user.save()
    return user


def _prove(reading: _Reading, kitchen: Kitchen, file: Path) -> None:
    """Write the new kitchen out again, and compare it with what came in, table by table."""
    with zipfile.ZipFile(io.BytesIO(archive_bytes(kitchen.pk))) as again:
        for name in again.namelist():
            if name == MANIFEST or (name not in reading.archive.namelist() and again.getinfo(name).file_size <= 2):
                continue
            if _same(again, name) != _same(reading.archive, name):
                reading.wrong(f"{file.name}: {name}", "something else after reading", "what was written")
    reading.refuse_if_wrong()


def _same(archive: zipfile.ZipFile, name: str) -> Any:
    data = archive.read(name)
    return data if name.startswith("files/") else _json(data)


def _json(data: bytes) -> Any:
    """Return what a JSON text holds; None where it is none."""
    try:
        return json.loads(data, parse_constant=_refuse)
    except (ValueError, RecursionError):
        return None


def _refuse(constant: str) -> Any:
    raise ValueError(constant)
