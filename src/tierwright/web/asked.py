"""
What every page asks the database, in SQL of our own.

Django takes ten times as long to put such a question together as the database takes to answer it, and a list of twenty
commissions has 4 ms of a processor's time in all. Everything that fewer pages ask is asked through Django.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import cached_property
from typing import Any, Generic, TypeVar

from django.db import connection
from django.db.models import Model

M = TypeVar("M", bound=Model)


def rows(sql: str, *values: int | str | datetime) -> list[tuple[Any, ...]]:
    """Return the answer to a question, as the database gives it."""
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        found: list[tuple[Any, ...]] = cursor.fetchall()
        return found


class Columns(Generic[M]):
    """The columns of a model, in their order: what to ask for, and what to make of the answer."""

    def __init__(self, model: type[M]) -> None:
        self._model = model
        self._names = [field.attname for field in model._meta.concrete_fields]
        self.table = f'"{model._meta.db_table}"'
        self.listed = ", ".join(f'{self.table}."{field.column}"' for field in model._meta.concrete_fields)

    def __len__(self) -> int:
        return len(self._names)

    @cached_property
    def _converters(self) -> list[tuple[int, Any, Any]]:
        columns = [field.get_col(self._model._meta.db_table) for field in self._model._meta.concrete_fields]
        return [
            (place, convert, column)
            for place, column in enumerate(columns)
            for convert in (*connection.ops.get_db_converters(column), *column.get_db_converters(connection))
        ]

    def made(self, values: Sequence[Any]) -> M:
        """Return an object from a row of these columns, as a queryset would."""
        row = list(values)
        for place, convert, column in self._converters:
            row[place] = convert(row[place], column, connection)
        return self._model.from_db(connection.alias, self._names, row)
