"""From every shape the tables have ever had, a start brings them up to date with everything in them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from tierwright.web.keepsafe.copies import faults_of
from tierwright.web.keepsafe.tables import own_tables

OLD = "old"


def _shapes() -> list[tuple[str, str]]:
    from django.db.migrations.loader import MigrationLoader

    ours = {model._meta.app_label for model in own_tables()}
    loader = MigrationLoader(None, ignore_no_migrations=True)
    return sorted(key for key in loader.disk_migrations if key[0] in ours and key not in loader.graph.leaf_nodes())


@pytest.fixture
def old_database(tmp_path: Path, django_db_blocker: pytest.FixtureRequest) -> Iterator[Path]:
    path = tmp_path / "old.sqlite3"
    plain = {"ENGINE": "django.db.backends.sqlite3", "NAME": path, "OPTIONS": {"transaction_mode": "IMMEDIATE"}}
    connections.databases[OLD] = connections.configure_settings({"default": {}, OLD: plain})[OLD]
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        yield path
        connections[OLD].close()
        del connections[OLD]
        del connections.databases[OLD]


@pytest.mark.parametrize("shape", _shapes(), ids="-".join)
def test_rows_of_an_older_shape_are_there_after_the_start(old_database: Path, shape: tuple[str, str]) -> None:
    executor = MigrationExecutor(connections[OLD])
    # Every part that this change stands on, at the shape it had then.
    executor.migrate([shape, ("auth", "0012_alter_user_first_name_max_length")])
    apps = executor.loader.project_state([shape, ("auth", "0012_alter_user_first_name_max_length")]).apps
    now = timezone.now()
    user = apps.get_model("auth", "User").objects.using(OLD).create(username="maker")
    # The page of units once kept a word for weights that no kitchen is read with.
    data = {"a": [1, 0.1, "ü"], "units": {"mass": "metric", "length": "in"}}
    kitchen = apps.get_model("web", "Kitchen").objects.using(OLD).create(name="Old kitchen", data=data)
    commission = apps.get_model("web", "Commission").objects.using(OLD).create(
        kitchen=kitchen, title="Old cake", enquired_at=now, handover_at=now, cutting_at=now, last_slice_at=now,
        timezone="Europe/Zurich", head=1,
    )  # fmt: skip
    apps.get_model("web", "Version").objects.using(OLD).create(
        commission=commission, number=1, brief={"title": "Old cake"}, kitchen={}, dossier=b"\x00\xff", made_by=user
    )
    call_command("migrate", database=OLD, verbosity=0, interactive=False)
    from tierwright.web.models import Kitchen, Version

    version = Version.objects.using(OLD).select_related("commission__kitchen", "made_by").get()
    assert bytes(version.dossier) == b"\x00\xff"
    assert version.brief == {"title": "Old cake"}
    assert version.commission.title == "Old cake"
    assert version.made_by is not None
    assert version.made_by.username == "maker"
    assert Kitchen.objects.using(OLD).get().data == {"a": [1, 0.1, "ü"], "units": {"mass": "g", "length": "in"}}
    assert faults_of(connections[OLD].connection) == ()


@pytest.mark.django_db
def test_the_tables_are_what_the_models_say() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
