"""Pictures as Django knows them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from tierwright.web.jobs.running import Work


class LookConfig(AppConfig):
    """Pictures of finished cakes."""

    name = "tierwright.web.look"
    label = "look"
    verbose_name = "Tierwright's pictures"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Hang up the long work of this app."""
        from tierwright.web.jobs.kinds import Kind, hang_up

        hang_up(Kind(key="look.picture", words=_("Making the picture"), run=_make))


def _make(work: Work) -> dict[str, Any]:
    """Make a picture; what that needs is read when it is first done, not whenever Django starts."""
    from tierwright.web.look.making import make_picture

    return make_picture(work)
