"""The money room as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig


class MoneyConfig(AppConfig):
    """Offers, the ledger, shopping and what work really took."""

    name = "tierwright.web.money"
    label = "money"
    default_auto_field = "django.db.models.BigAutoField"
