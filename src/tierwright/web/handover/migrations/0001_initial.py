"""The set-up log: entries that are only added to, and their photographs."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("web", "0003_oven_evidence"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="SetUpEntry",
            fields=[
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField()),
                ("mark", models.CharField(max_length=64)),
                ("what", models.CharField(max_length=20)),
                ("value", models.JSONField(default=dict)),
                ("device", models.CharField(max_length=60)),
                ("order", models.PositiveBigIntegerField()),
                ("done_at", models.DateTimeField()),
                ("arrived_at", models.DateTimeField(auto_now_add=True)),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="set_up_entries", to="web.commission"
                    ),
                ),
                (
                    "user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("done_at", "device", "order"),
            },
        ),
        migrations.CreateModel(
            name="Photograph",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("jpeg", models.BinaryField()),
                ("width", models.PositiveIntegerField()),
                ("height", models.PositiveIntegerField()),
                ("digest", models.CharField(max_length=64)),
                (
                    "entry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="photograph", to="handover.setupentry"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddConstraint(
            model_name="setupentry",
            constraint=models.UniqueConstraint(
                fields=("commission", "device", "order"), name="one_set_up_entry_a_place"
            ),
        ),
    ]
