"""The money room as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class MoneyConfig(AppConfig):
    """Offers, the ledger, shopping and what work really took."""

    name = "tierwright.web.money"
    label = "money"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell of the papers of this app."""
        from tierwright.web.prints.papers import PaperKind, offer_paper_kind

        for name, words, owner_only in (
            ("offer", _("Quotation"), True),
            ("entry", _("Paper of an entry"), True),
            ("ledger", _("Ledger"), True),
            ("year", _("The year's totals"), True),
            ("shopping", _("Shopping list"), False),
        ):
            write = f"tierwright.web.money.papers.{name}"
            offer_paper_kind(PaperKind(key=f"money.{name}", words=words, write=write, owner_only=owner_only))
