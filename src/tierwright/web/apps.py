"""The web room as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """The drawing board."""

    name = "tierwright.web"
    label = "web"
    verbose_name = "Tierwright"
