"""Making a picture as long work, and finding the one that has been made."""

from __future__ import annotations

from time import monotonic
from typing import Any, Final

from django.conf import settings
from django.utils.translation import gettext as _

from tierwright.dossier import Dossier
from tierwright.drawings.picture import Wanted, picture_of
from tierwright.drawings.scene import look, look_mark
from tierwright.errors import MissingData
from tierwright.web.frame.desk import dossier_of
from tierwright.web.jobs.running import Work
from tierwright.web.look.models import LookPicture
from tierwright.web.models import Commission, Version

KIND: Final = "look.picture"
SPARE_S: Final = 240
"""Time left over when a picture is ended with what it has, before the queue would end it with nothing. [s]"""


def mark_for(dossier: Dossier) -> str:
    """Return what stands for the look of a cake; empty where nobody knows how it looks."""
    try:
        return look_mark(look(dossier))
    except MissingData:
        return ""


def picture_for(commission: Commission, dossier: Dossier) -> LookPicture | None:
    """Return the picture of a cake as it is now, without its bytes; None where none has been made."""
    # The mark takes a moment: it is not worked out where there is no picture at all.
    made = LookPicture.objects.filter(commission=commission).defer("jpeg")
    if not made:
        return None
    mark = mark_for(dossier)
    return next((one for one in made if one.mark == mark), None)


def make_picture(work: Work) -> dict[str, Any]:
    """Make a picture and keep it; stopped, or out of time, it is kept with the grain that it has."""
    version = Version.objects.select_related("commission").get(
        commission_id=work.asked["commission"], commission__kitchen=work.job.kitchen, number=work.asked["version"]
    )
    seen = look(dossier_of(version))
    begun = monotonic()

    def told(done: int, of: int) -> bool:
        words = _("%(done)s of %(of)s passes of light; it can be stopped at any time with a grainier picture.")
        stopping = work.report(done=done, of=of, words=words % {"done": done, "of": of})
        return stopping or monotonic() - begun > settings.LONGEST_WORK_S - SPARE_S

    work.report(done=0, of=Wanted().samples, words=_("The cake is set up before the light."), at_once=True)
    made = picture_of(seen, kind="jpeg", report=told)
    LookPicture.objects.update_or_create(
        commission=version.commission,
        mark=look_mark(seen),
        defaults={
            "jpeg": made.content, "width": made.width_px, "height": made.height_px, "samples": made.samples,
        },
    )  # fmt: skip
    return {"samples": made.samples}
