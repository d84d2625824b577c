"""The kitchen week as Django knows it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from tierwright.web.jobs.kinds import Run
    from tierwright.web.jobs.running import Work


class PlansConfig(AppConfig):
    """Plans that a kitchen keeps."""

    name = "tierwright.web.plans"
    label = "plans"
    verbose_name = "Tierwright's weeks"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Hang up the long work of this app."""
        from tierwright.web.jobs.kinds import Kind, hang_up
        from tierwright.web.prints.papers import PaperKind, offer_paper_kind

        hang_up(Kind(key="week.plan", words=_("Planning the week"), run=_run("plan_week")))
        hang_up(Kind(key="week.again", words=_("Planning the rest of the week"), run=_run("plan_again")))
        hang_up(Kind(key="week.take", words=_("Looking whether it fits"), run=_run("may_take"), owner_only=True))
        days = PaperKind(key="week.days", words=_("Day sheets"), write="tierwright.web.plans.papers.day_sheets")
        offer_paper_kind(days)


def _run(name: str) -> Run:
    """Return a kind's work, whose rooms are read when it is first done and not whenever Django starts."""

    def run(work: Work) -> dict[str, Any]:
        from tierwright.web.plans import planning

        done: dict[str, Any] = getattr(planning, name)(work)
        return done

    return run
