"""The packets as a Django app: label photos have a table of their own."""

from __future__ import annotations

from django.apps import AppConfig


class LotsConfig(AppConfig):
    """Packets and the photos of their labels."""

    name = "tierwright.web.lots"
    label = "lots"
    default_auto_field = "django.db.models.BigAutoField"
