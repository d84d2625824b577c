"""The set-up log as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class HandoverConfig(AppConfig):
    """What happened when a cake was handed over."""

    name = "tierwright.web.handover"
    label = "handover"
    verbose_name = "Tierwright's set-up log"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell of the papers of this app."""
        from tierwright.web.prints.papers import PaperKind, offer_paper_kind

        for name, words in (
            ("venue", _("Two pages for the venue")),
            ("along", _("Loading list, repair kit, paper to sign")),
            ("record", _("The record of the handover")),
        ):
            write = f"tierwright.web.handover.papers.{name}"
            offer_paper_kind(PaperKind(key=f"handover.{name}", words=words, write=write))
