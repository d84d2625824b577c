"""Papers that no version holds."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("prints", "0001_initial"),
        ("web", "0005_packets_live_in_the_kitchen"),
    ]

    operations = [
        migrations.CreateModel(
            name="PrintedPaper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=120)),
                ("pdf", models.BinaryField()),
                ("size", models.PositiveIntegerField()),
                ("made_at", models.DateTimeField(auto_now=True)),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="papers", to="web.kitchen"
                    ),
                ),
            ],
            options={
                "ordering": ("-made_at", "-pk"),
                "constraints": [models.UniqueConstraint(fields=("kitchen", "mark"), name="one_paper_a_mark")],
            },
        ),
    ]
