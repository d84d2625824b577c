"""The set-up log as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig


class HandoverConfig(AppConfig):
    """What happened when a cake was handed over."""

    name = "tierwright.web.handover"
    label = "handover"
    verbose_name = "Tierwright's set-up log"
    default_auto_field = "django.db.models.BigAutoField"
