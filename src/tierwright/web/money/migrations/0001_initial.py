"""Offers, the ledger, shopping and worked times, with the guards of what is only ever added to."""

from __future__ import annotations

import uuid
from typing import Any

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from tierwright.web.money.guards import guard, unguard

GUARDED = ("money_ledgerentry", "money_offer", "money_acceptance", "money_withdrawal")


def set_guards(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
    """Let nobody change or delete what has been entered."""
    guard(editor.connection, GUARDED)


def take_guards(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
    """Take the guards away again."""
    unguard(editor.connection, GUARDED)


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("web", "0003_oven_evidence"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Offer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.CharField(max_length=20)),
                ("turn", models.PositiveIntegerField()),
                ("content", models.JSONField()),
                ("mark", models.CharField(max_length=12)),
                ("valid_until", models.DateField()),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("made_by", models.CharField(max_length=150)),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="offers", to="web.commission"
                    ),
                ),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="offers", to="web.kitchen"
                    ),
                ),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="offers", to="web.version"
                    ),
                ),
            ],
            options={
                "ordering": ("-turn",),
            },
        ),
        migrations.CreateModel(
            name="Acceptance",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                ("clock", models.CharField(max_length=40)),
                ("mark", models.CharField(max_length=12)),
                (
                    "link",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="web.clientlink"
                    ),
                ),
                (
                    "offer",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="acceptance", to="money.offer"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="ShoppingList",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("whose", models.JSONField()),
                ("content", models.JSONField()),
                ("from_day", models.DateField()),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("put_away_at", models.DateTimeField(blank=True, null=True)),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="shopping", to="web.kitchen"
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
                "ordering": ("-made_at", "-pk"),
            },
        ),
        migrations.CreateModel(
            name="ShopEntry",
            fields=[
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("line", models.CharField(max_length=160)),
                ("what", models.CharField(max_length=10)),
                ("value", models.JSONField(default=dict)),
                ("device", models.CharField(max_length=60)),
                ("order", models.PositiveBigIntegerField()),
                ("done_at", models.DateTimeField()),
                ("arrived_at", models.DateTimeField(auto_now_add=True)),
                (
                    "user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shopping",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="entries", to="money.shoppinglist"
                    ),
                ),
            ],
            options={
                "ordering": ("done_at", "device", "order"),
            },
        ),
        migrations.CreateModel(
            name="Withdrawal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("made_by", models.CharField(max_length=150)),
                (
                    "offer",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="withdrawal", to="money.offer"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="WorkedTime",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("task", models.CharField(max_length=40)),
                ("usual_min", models.FloatField()),
                ("minutes", models.FloatField()),
                ("changed_at", models.DateTimeField(auto_now=True)),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="worked", to="web.commission"
                    ),
                ),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="worked", to="web.kitchen"
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
                "ordering": ("commission__handover_at", "commission", "task"),
            },
        ),
        migrations.CreateModel(
            name="LedgerEntry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("clock", models.CharField(max_length=40)),
                ("day", models.DateField()),
                ("kind", models.CharField(max_length=12)),
                ("whose", models.CharField(max_length=420)),
                ("document", models.CharField(max_length=20)),
                ("coins", models.BigIntegerField()),
                ("tax_coins", models.BigIntegerField(default=0)),
                ("currency", models.CharField(max_length=3)),
                ("text", models.CharField(max_length=400)),
                ("seal", models.CharField(max_length=64)),
                ("paper", models.JSONField(default=dict)),
                ("made_by", models.CharField(max_length=150)),
                (
                    "commission",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="ledger", to="web.commission"
                    ),
                ),
                (
                    "corrects",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="money.ledgerentry",
                    ),
                ),
                (
                    "kitchen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="ledger", to="web.kitchen"
                    ),
                ),
            ],
            options={
                "ordering": ("number",),
                "indexes": [models.Index(fields=["kitchen", "day"], name="ledger_by_day")],
                "constraints": [
                    models.UniqueConstraint(fields=("kitchen", "number"), name="one_entry_a_number"),
                    models.UniqueConstraint(fields=("kitchen", "document"), name="one_paper_a_number"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("corrects__isnull", False), ("kind", "correction")),
                            models.Q(
                                ("coins__gt", 0),
                                ("corrects__isnull", True),
                                ("kind__in", ("invoice", "payment", "refund")),
                            ),
                            _connector="OR",
                        ),
                        name="entry_is_sound",
                    ),
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="offer",
            constraint=models.UniqueConstraint(fields=("commission", "turn"), name="one_offer_a_turn"),
        ),
        migrations.AddConstraint(
            model_name="offer",
            constraint=models.UniqueConstraint(
                fields=("kitchen", "number", "turn"), name="one_offer_a_number_and_turn"
            ),
        ),
        migrations.AddConstraint(
            model_name="shopentry",
            constraint=models.UniqueConstraint(
                fields=("shopping", "device", "order"), name="one_shop_entry_a_place_in_order"
            ),
        ),
        migrations.AddConstraint(
            model_name="shopentry",
            constraint=models.UniqueConstraint(
                condition=models.Q(("what", "bought")), fields=("shopping", "line"), name="bought_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="workedtime",
            constraint=models.UniqueConstraint(fields=("commission", "task"), name="one_time_a_task"),
        ),
        migrations.RunPython(set_guards, take_guards),
    ]
