"""Bakes: how long each pan takes in this oven, what goes in together, and what the oven has been seen to do."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.bake import Option
from tierwright.dossier import Dossier, PanBake
from tierwright.drawings import AS_THE_PAGE, Drawing
from tierwright.sheets import ovens as printed
from tierwright.sheets import words_of
from tierwright.web.frame.desk import Desk
from tierwright.web.sheet import Sheet, before_handover
from tierwright.web.work.bakes.forms import parts
from tierwright.web.work.pictures import all_on_page, on_page


def show(desk: Desk) -> dict[str, Any]:
    """Return pans, loads and the curves in the middle of the layers, as the printed sheet has them."""
    pages = printed.of(desk.dossier, desk.words, ink=AS_THE_PAGE)
    if not pages:
        return {"bakes": None}
    data: dict[str, Any] = dict(pages[0].data)
    data["chart"] = on_page(data["chart"])
    data["loads"] = [load | {"pictures": all_on_page(load["pictures"])} for load in data["loads"]]
    # The printed sheet and the dossier name the pans in the same order.
    data["pans"] = [pan | _more(one, desk) for pan, one in zip(data["pans"], desk.dossier.bakes.pans, strict=True)]
    return {"bakes": data}


def _more(one: PanBake, desk: Desk) -> dict[str, Any]:
    place = f"bake.{one.answer.pan.key}"
    return {
        "done_key": f"{place}.done_min" if f"{place}.done_min" in desk.figures else "",
        "core_key": f"{place}.core_c",
        "loss_key": f"{place}.weight_loss",
        "dome_key": f"{place}.dome_mm",
        "wanted": desk.words.display.show_temperature(one.bake_c),
        "overflow": one.answer.overflow,
        "options": [_option(option, desk) for option in one.answer.options],
    }


def _option(option: Option, desk: Desk) -> dict[str, Any]:
    minus = "\N{MINUS SIGN}"
    change = "" if option.time_change is None else f"{option.time_change:+.0%}".replace("-", minus)
    return {
        "label": option.label,
        "done": "" if option.done_min is None else f"{option.done_min:.0f} min",
        "change": change,
        "waits": f"{option.rim_wait_min:.0f} min",
        "dome": desk.words.display.show_length(option.dome_mm),
        "advised": option.advised,
        "reason": option.reason,
    }


def redrawn(dossier: Dossier, prefix: str) -> Drawing | None:
    """Draw the curves in the middle of the layers, in the ink of the page; None where nothing bakes."""
    if not dossier.bakes.pans:
        return None
    return printed.chart_of(dossier, words_of(dossier), AS_THE_PAGE, prefix)


SHEET = Sheet(
    key="bakes",
    title=_("Bakes"),
    settles=_("How long each pan bakes in this oven, and which pans go in together."),
    hangs=before_handover(days=2),
    show=show,
    template="work/bakes/sheet.html",
    parts=parts,
    redrawn=redrawn,
)
