"""Printed sheets as Django knows them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from tierwright.web.jobs.running import Work


class PrintsConfig(AppConfig):
    """Sheets that have been printed."""

    name = "tierwright.web.prints"
    label = "prints"
    verbose_name = "Tierwright's printed sheets"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Hang up the long work of this app."""
        from tierwright.web.jobs.kinds import Kind, hang_up

        hang_up(Kind(key="prints.sheets", words=_("Printing the sheets"), run=_print, keeps_best=False))
        paper = Kind(key="prints.paper", words=_("Printing the paper"), run=_print_paper, keeps_best=False)
        hang_up(paper)
        hang_up(replace(paper, key="prints.books", owner_only=True))


def _print(work: Work) -> dict[str, Any]:
    """Print; what that needs is read when it is first done, not whenever Django starts."""
    from tierwright.web.prints.making import print_sheets

    return print_sheets(work)


def _print_paper(work: Work) -> dict[str, Any]:
    from tierwright.web.prints.papers import print_paper

    return print_paper(work)
