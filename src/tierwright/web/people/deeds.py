"""What the record of deeds says, in the reader's language; what is stored stays as it was written."""

from __future__ import annotations

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import pgettext_lazy

# A deed has words of its own: "kept" is what somebody did here, and elsewhere the head of a column.
DEEDS: Final[dict[str, Promise]] = {
    "asked the client": pgettext_lazy("deed", "asked the client"),
    "begun": pgettext_lazy("deed", "begun"),
    "brought back": pgettext_lazy("deed", "brought back"),
    "client brought back": pgettext_lazy("deed", "client brought back"),
    "client kept": pgettext_lazy("deed", "client kept"),
    "client put away": pgettext_lazy("deed", "client put away"),
    "client set": pgettext_lazy("deed", "client set"),
    "correction entered": pgettext_lazy("deed", "correction entered"),
    "downloaded": pgettext_lazy("deed", "downloaded"),
    "erased everywhere": pgettext_lazy("deed", "erased everywhere"),
    "formula brought back": pgettext_lazy("deed", "formula brought back"),
    "formula kept": pgettext_lazy("deed", "formula kept"),
    "formula put away": pgettext_lazy("deed", "formula put away"),
    "health data erased": pgettext_lazy("deed", "health data erased"),
    "invoice entered": pgettext_lazy("deed", "invoice entered"),
    "kept": pgettext_lazy("deed", "kept"),
    "kitchen changed": pgettext_lazy("deed", "kitchen changed"),
    "link made": pgettext_lazy("deed", "link made"),
    "link withdrawn": pgettext_lazy("deed", "link withdrawn"),
    "offer accepted": pgettext_lazy("deed", "offer accepted"),
    "offer withdrawn": pgettext_lazy("deed", "offer withdrawn"),
    "offered": pgettext_lazy("deed", "offered"),
    "oven learnt": pgettext_lazy("deed", "oven learnt"),
    "packet kept": pgettext_lazy("deed", "packet kept"),
    "password changed": pgettext_lazy("deed", "password changed"),
    "payment entered": pgettext_lazy("deed", "payment entered"),
    "person added": pgettext_lazy("deed", "person added"),
    "person changed": pgettext_lazy("deed", "person changed"),
    "person removed": pgettext_lazy("deed", "person removed"),
    "picture begun": pgettext_lazy("deed", "picture begun"),
    "printed": pgettext_lazy("deed", "printed"),
    "put away": pgettext_lazy("deed", "put away"),
    "quoted": pgettext_lazy("deed", "quoted"),
    "received": pgettext_lazy("deed", "received"),
    "refund entered": pgettext_lazy("deed", "refund entered"),
    "rest of week planned": pgettext_lazy("deed", "rest of week planned"),
    "set-up signed": pgettext_lazy("deed", "set-up signed"),
    "shopping list made": pgettext_lazy("deed", "shopping list made"),
    "sign-in turned off": pgettext_lazy("deed", "sign-in turned off"),
    "sign-in turned on": pgettext_lazy("deed", "sign-in turned on"),
    "signed in": pgettext_lazy("deed", "signed in"),
    "times kept": pgettext_lazy("deed", "times kept"),
    "token made": pgettext_lazy("deed", "token made"),
    "token withdrawn": pgettext_lazy("deed", "token withdrawn"),
    "units changed": pgettext_lazy("deed", "units changed"),
    "week planned": pgettext_lazy("deed", "week planned"),
}


def deed_words(deed: str) -> str:
    """Return a deed in words; one that this program does not know any more as it was written."""
    return str(DEEDS.get(deed, deed))
