"""Long work: what is asked for, how far it is, what came of it."""

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
            name="Job",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(max_length=40)),
                ("key", models.CharField(max_length=80)),
                ("asked", models.JSONField(default=dict)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting its turn"),
                            ("running", "under way"),
                            ("done", "done"),
                            ("stopped", "stopped as asked"),
                            ("failed", "could not be done"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("progress", models.JSONField(default=dict)),
                ("asked_to_stop", models.BooleanField(default=False)),
                ("result", models.JSONField(null=True)),
                ("error", models.TextField(blank=True)),
                ("worker", models.CharField(blank=True, max_length=300)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("started_at", models.DateTimeField(null=True)),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "begun_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="jobs", to="web.kitchen"
                    ),
                ),
            ],
            options={
                "ordering": ("-pk",),
                "indexes": [models.Index(fields=["state"], name="job_by_state")],
                "constraints": [models.UniqueConstraint(fields=("kitchen", "kind", "key"), name="one_job_a_question")],
            },
        ),
    ]
