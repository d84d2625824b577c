"""The page of units kept words for weights that no kitchen is read with; they become those that are."""

from typing import Any

from django.db import migrations

WORDS = {"metric": "g", "us": "oz"}


def mend(apps: Any, editor: Any) -> None:
    for kitchen in apps.get_model("web", "Kitchen").objects.using(editor.connection.alias).iterator():
        units = kitchen.data.get("units")
        if isinstance(units, dict) and units.get("mass") in WORDS:
            kitchen.data = {**kitchen.data, "units": {**units, "mass": WORDS[units["mass"]]}}
            kitchen.save(update_fields=["data"])


class Migration(migrations.Migration):
    dependencies = [
        ("web", "0005_packets_live_in_the_kitchen"),
    ]

    operations = [
        migrations.RunPython(mend, migrations.RunPython.noop),
    ]
