"""Printed sheets."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("web", "0004_accepted"),
    ]

    operations = [
        migrations.CreateModel(
            name="PrintedSheets",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "part",
                    models.CharField(
                        choices=[("sheets", "All sheets to print"), ("working", "The working to print")], max_length=10
                    ),
                ),
                ("prices", models.BooleanField()),
                ("health", models.BooleanField()),
                ("program", models.CharField(max_length=40)),
                ("pdf", models.BinaryField()),
                ("size", models.PositiveIntegerField()),
                ("made_at", models.DateTimeField(auto_now=True)),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="printed", to="web.version"
                    ),
                ),
            ],
            options={
                "ordering": ("-made_at", "-pk"),
                "constraints": [
                    models.UniqueConstraint(fields=("version", "part", "prices", "health"), name="one_print_a_reader")
                ],
            },
        ),
    ]
