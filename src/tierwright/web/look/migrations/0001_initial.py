"""Pictures of finished cakes."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("web", "0003_oven_evidence"),
    ]

    operations = [
        migrations.CreateModel(
            name="LookPicture",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("mark", models.CharField(max_length=64)),
                ("jpeg", models.BinaryField()),
                ("width", models.PositiveIntegerField()),
                ("height", models.PositiveIntegerField()),
                ("samples", models.PositiveIntegerField()),
                ("made_at", models.DateTimeField(auto_now=True)),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="look_pictures", to="web.commission"
                    ),
                ),
            ],
            options={
                "ordering": ("-pk",),
                "constraints": [models.UniqueConstraint(fields=("commission", "mark"), name="one_picture_a_look")],
            },
        ),
    ]
