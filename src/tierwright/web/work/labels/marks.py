"""The marks of the allergen matrix: a shape and a word, never a colour, never a blank."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from tierwright.label import Presence
from tierwright.web.sheet import Words

MARKS: dict[Presence, tuple[str, Words]] = {
    Presence.PRESENT: ("danger", _("contains")),
    Presence.MAY: ("stop", _("may contain")),
    Presence.SUSPECTED: ("ask", _("not known")),
    Presence.UNREAD: ("ask", _("not known")),
    Presence.NOT_DECLARED: ("note", _("not declared")),
}
"""Shape and word of each mark."""
