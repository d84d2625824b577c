"""Packets and lots stand in the kitchen's own sheet; this table never held a row."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("web", "0004_accepted"),
    ]

    operations = [
        migrations.DeleteModel(name="Lot"),
    ]
