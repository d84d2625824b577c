"""For all tests: a property is held by its law, never by how long one example takes on a busy machine."""

from __future__ import annotations

import pytest
from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.load_profile("house")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """
    Keep the tests' SQLite in a file, as the program does.

    In memory its connections would share one cache, in which a reader beside a writer is refused instead of served.
    """
    from django.db import connections

    database = connections.settings["default"]
    if "sqlite" in database["ENGINE"]:
        database["TEST"]["NAME"] = tmp_path_factory.mktemp("database") / "tests.sqlite3"
