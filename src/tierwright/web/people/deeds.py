"""What the record of deeds says, in the reader's language; what is stored stays as it was written."""

from __future__ import annotations

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

DEEDS: Final[dict[str, Promise]] = {
    "asked the client": _("asked the client"),
    "begun": _("begun"),
    "brought back": _("brought back"),
    "client brought back": _("client brought back"),
    "client kept": _("client kept"),
    "client put away": _("client put away"),
    "client set": _("client set"),
    "correction entered": _("correction entered"),
    "downloaded": _("downloaded"),
    "erased everywhere": _("erased everywhere"),
    "formula brought back": _("formula brought back"),
    "formula kept": _("formula kept"),
    "formula put away": _("formula put away"),
    "health data erased": _("health data erased"),
    "invoice entered": _("invoice entered"),
    "kept": _("kept"),
    "kitchen changed": _("kitchen changed"),
    "link made": _("link made"),
    "link withdrawn": _("link withdrawn"),
    "offer accepted": _("offer accepted"),
    "offer withdrawn": _("offer withdrawn"),
    "offered": _("offered"),
    "oven learnt": _("oven learnt"),
    "packet kept": _("packet kept"),
    "password changed": _("password changed"),
    "payment entered": _("payment entered"),
    "person added": _("person added"),
    "person changed": _("person changed"),
    "person removed": _("person removed"),
    "printed": _("printed"),
    "put away": _("put away"),
    "quoted": _("quoted"),
    "received": _("received"),
    "refund entered": _("refund entered"),
    "rest of week planned": _("rest of week planned"),
    "set-up signed": _("set-up signed"),
    "shopping list made": _("shopping list made"),
    "sign-in turned off": _("sign-in turned off"),
    "sign-in turned on": _("sign-in turned on"),
    "signed in": _("signed in"),
    "times kept": _("times kept"),
    "token made": _("token made"),
    "token withdrawn": _("token withdrawn"),
    "units changed": _("units changed"),
    "week planned": _("week planned"),
}


def deed_words(deed: str) -> str:
    """Return a deed in words; one that this program does not know any more as it was written."""
    return str(DEEDS.get(deed, deed))
