"""Plans that a kitchen keeps, what is held in them, and who is away."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("jobs", "0001_initial"),
        ("web", "0003_oven_evidence"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="AwayDay",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("hand", models.CharField(max_length=200)),
                ("day", models.DateField()),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="away_days", to="web.kitchen"
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("day", "hand"),
                "constraints": [models.UniqueConstraint(fields=("kitchen", "hand", "day"), name="away_once_a_day")],
            },
        ),
        migrations.CreateModel(
            name="HeldTask",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("monday", models.DateField()),
                ("task", models.CharField(max_length=200)),
                ("label", models.CharField(max_length=400)),
                ("begins", models.DateTimeField()),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="held_tasks", to="web.kitchen"
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("begins", "pk"),
                "constraints": [models.UniqueConstraint(fields=("kitchen", "monday", "task"), name="one_hold_a_task")],
            },
        ),
        migrations.CreateModel(
            name="KeptWeek",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("monday", models.DateField()),
                ("whose", models.JSONField()),
                ("wishes", models.JSONField(default=dict)),
                ("plan", models.BinaryField()),
                ("moved", models.JSONField(default=list)),
                ("safe", models.JSONField(default=dict)),
                ("words", models.CharField(blank=True, max_length=400)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                (
                    "job",
                    models.OneToOneField(
                        null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to="jobs.job"
                    ),
                ),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="weeks", to="web.kitchen"
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ("-pk",),
                "indexes": [models.Index(fields=["kitchen", "monday"], name="kept_week_by_monday")],
            },
        ),
    ]
