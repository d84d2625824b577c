"""What the house remembers, told from the models themselves: which tables, in which order, and whose each row is.

Nothing here names a table of a room's own: a new one is kept safe as soon as it hangs on a kitchen.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from graphlib import TopologicalSorter
from typing import Any, Final

from django.apps import apps
from django.contrib.auth.models import User
from django.db import models

from tierwright.web.models import Commission, Kitchen

Model = type[models.Model]

OWN: Final = "tierwright.web"
LEFT_OUT: Final = {
    "web.apitoken": "a program's way in does not travel; make a new one",
    "jobs.job": "work under way is begun again where it is needed",
    "prints.printedpaper": "a paper is printed anew where it is asked for",
    "prints.printedsheets": "what a version says is in the archive, and is printed anew where it is asked for",
}
"""Tables of a kitchen that no archive holds, and why."""
POINTERS: Final[dict[str, dict[str, tuple[str | int, ...]]]] = {
    "money.shoppinglist": {"whose": ("*", "pk")},
    "plans.heldtask": {"task": ()},
    "plans.keptweek": {"whose": ("*", 0), "plan": (), "moved": (), "safe": (), "wishes": ()},
}
"""Columns that name commissions inside text or JSON: the way to the number, or () for keys such as ``c12/bake``."""
SECRETS: Final = {"web.clientlink": frozenset({"digest"})}
"""Columns that no archive holds: a client's link opens only where it was made."""


def own_tables() -> tuple[Model, ...]:
    """Return the tables of the house, each after those it points at."""
    found = [
        model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.app_config is not None and model._meta.app_config.name.startswith(OWN) and model._meta.managed
    ]
    return in_order(found)


def in_order(tables: Iterable[Model]) -> tuple[Model, ...]:
    """
    Put tables in an order in which each row can be written after those it points at.

    Raises
    ------
    graphlib.CycleError
        Two tables point at one another.
    """
    wanted = sorted(tables, key=label)
    graph: dict[Model, set[Model]] = {
        model: {to for to in _pointed_at(model) if to in wanted and to is not model} for model in wanted
    }
    return tuple(TopologicalSorter(graph).static_order())


def _pointed_at(model: Model) -> list[Model]:
    found = [field.related_model for field in model._meta.concrete_fields if isinstance(field, models.ForeignKey)]
    return [*found, Commission] if label(model) in POINTERS else found


@cache
def way_to_kitchen(model: Model) -> str | None:
    """Return the query path from a row to its kitchen, the shortest there is, or None where there is none."""
    seen = {model}
    ways: list[tuple[Model, str]] = [(model, "")]
    for at, way in ways:
        if at is Kitchen:
            return way or "pk"
        for field in at._meta.concrete_fields:
            to = field.related_model if isinstance(field, models.ForeignKey) else None
            if to is not None and to not in seen and to is not User:
                seen.add(to)
                ways.append((to, f"{way}__{field.name}" if way else field.name))
    return None


def kitchen_tables() -> tuple[Model, ...]:
    """Return the tables whose rows belong to one kitchen each and travel with it."""
    return tuple(model for model in own_tables() if way_to_kitchen(model) is not None and label(model) not in LEFT_OUT)


def rows_of(model: Model, kitchen: int) -> models.QuerySet[Any]:
    """
    Return a table's rows of one kitchen in an order that does not hang on this database.

    Rows that the database numbers come in the order they were written; rows with a random key by what they hold.
    """
    way = way_to_kitchen(model)
    assert way is not None
    held = [field.name for field in model._meta.concrete_fields if not field.primary_key]
    order = ["pk"] if numbered(model) else [*(model._meta.ordering or ()), *held]
    return model._base_manager.filter(**{way: kitchen}).order_by(*order)


def columns(model: Model) -> tuple[models.Field[Any, Any], ...]:
    """Return the columns of a table that an archive holds; a row's key is the database's own affair."""
    hidden = SECRETS.get(label(model), frozenset())
    return tuple(field for field in model._meta.concrete_fields if field.name not in hidden and not field.primary_key)


def numbered(model: Model) -> bool:
    """Say whether the database numbers the rows, so that numbers differ from one database to another."""
    return isinstance(model._meta.pk, models.AutoField | models.BigAutoField)


def label(model: Model) -> str:
    """Return the name of a table as files have it."""
    return model._meta.label_lower


def write_as_it_is(row: models.Model, using: str = "default") -> None:
    """Insert a row as it stands: no clock, no default and no rule of the model puts anything else in its place."""
    row.save_base(raw=True, force_insert=True, using=using)
