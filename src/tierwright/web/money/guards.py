"""Guards in the database itself: rows of some tables can be added, and neither changed nor deleted, by any program."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.backends.base.base import BaseDatabaseWrapper

WORDS = "entries are only ever added; correct one by a further entry"


def guard(connection: BaseDatabaseWrapper, tables: Iterable[str]) -> None:
    """
    Set the guards of some tables.

    Parameters
    ----------
    connection
        SQLite or PostgreSQL.
    tables
        Their names; a guard that stands already is set anew.
    """
    unguard(connection, tables)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "CREATE OR REPLACE FUNCTION money_only_added() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
                f"RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'restrict_violation'; END $$"
            )
        for table in tables:
            for statement in _made(connection.vendor, table):
                cursor.execute(statement)


def unguard(connection: BaseDatabaseWrapper, tables: Iterable[str]) -> None:
    """Take the guards of some tables away, as undoing a migration has to."""
    with connection.cursor() as cursor:
        for table in tables:
            for event in ("update", "delete"):
                where = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{event}{where}")


def _made(vendor: str, table: str) -> list[str]:
    if vendor == "postgresql":
        return [
            f"CREATE TRIGGER {table}_no_{event} BEFORE {event.upper()} ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION money_only_added()"
            for event in ("update", "delete")
        ]
    return [
        f"CREATE TRIGGER {table}_no_{event} BEFORE {event.upper()} ON {table} BEGIN SELECT RAISE(ABORT, '{WORDS}'); END"
        for event in ("update", "delete")
    ]
