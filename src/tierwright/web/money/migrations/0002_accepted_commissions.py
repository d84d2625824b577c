"""Write on each commission which offer was accepted before commissions had a place for it."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def write_accepted(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Copy every acceptance to its commission; the latest turn stands."""
    taken = apps.get_model("money", "Acceptance").objects.using(editor.connection.alias)
    commissions = apps.get_model("web", "Commission").objects.using(editor.connection.alias)
    for offer, number, at in taken.order_by("offer__turn").values_list(
        "offer__commission", "offer__version__number", "at"
    ):
        commissions.filter(pk=offer).update(accepted=number, accepted_at=at)


class Migration(migrations.Migration):
    """After the commissions have their columns."""

    dependencies = [("money", "0001_initial"), ("web", "0004_accepted")]
    operations = [migrations.RunPython(write_accepted, migrations.RunPython.noop)]
