"""Tags and filters for the frame and the sheets."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from typing import Any

from django import template
from django.conf import settings
from django.contrib.staticfiles import finders
from django.template import Context, defaultfilters
from django.template.base import Parser, Token
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import NoReverseMatch, get_script_prefix
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from tierwright.drawings import Drawing
from tierwright.web.addresses import address
from tierwright.web.dates import as_written
from tierwright.web.frame.desk import Desk
from tierwright.web.frame.moved import said, span_of
from tierwright.web.room_words import told, told_in
from tierwright.web.sheet import sheets
from tierwright.working import Figure

register = template.Library()


@lru_cache(maxsize=64)
def _addressed(path: str) -> str:
    found = finders.find(path)
    if not isinstance(found, str):
        raise FileNotFoundError(path)
    with open(found, "rb") as file:  # noqa: PTH123
        return f"{static(path)}?v={hashlib.sha256(file.read()).hexdigest()[:12]}"


@register.simple_tag
def file(path: str) -> str:
    """Return the address of a static file with its content's hash, so that a browser may keep it for long."""
    return _addressed.__wrapped__(path) if settings.DEBUG else _addressed(path)


@register.simple_tag(takes_context=True)
def house(context: Context) -> SafeString:
    """Return the places of the kitchen, which stand on every page of it."""
    door, place = context["door"], str(context.get("place", ""))
    kitchen, language = door.kitchen, get_language() or ""
    return _house(kitchen.pk, kitchen.name, door.membership.owns, place, language, get_script_prefix())


@lru_cache(maxsize=256)
def _house(kitchen: int, name: str, owns: bool, place: str, language: str, prefix: str) -> SafeString:
    return render_to_string("_house.html", {"kitchen": kitchen, "name": name, "owns": owns, "place": place})


@register.simple_tag
def in_english() -> SafeString:
    """
    Return the mark of words that the rooms have in English alone, for a page in another language.

    References
    ----------
    WCAG 2.2, success criterion 3.1.2, Language of Parts.
    """
    return mark_safe("" if (get_language() or "en").startswith("en") else ' lang="en"')


register.simple_tag(told)


class _InRoomWords(template.Node):
    def __init__(self, inside: template.NodeList) -> None:
        self._inside = inside

    def render(self, context: Context) -> SafeString:
        """Render what stands inside, and put what the rooms say in it into the page's language."""
        return mark_safe(told_in(self._inside.render(context)))


@register.tag
def roomwords(parser: Parser, _token: Token) -> _InRoomWords:
    """Put what the rooms say, up to ``endroomwords``, into the page's language."""
    inside = parser.parse(("endroomwords",))
    parser.delete_first_token()
    return _InRoomWords(inside)


@register.filter(name="date", expects_localtime=True, is_safe=False)
def day(moment: Any, form: str | None = None) -> str:
    """Return a day or a moment in words, as the language of the page writes them; in the place of Django's own."""
    written: str = defaultfilters.date(moment, form and as_written(form, get_language() or ""))
    return written


@register.filter
def drawn(drawing: Drawing) -> SafeString:
    """Return a drawing's markup: made by this program, with every word in it escaped, and in English."""
    return mark_safe(drawing.svg.replace("<svg ", f"<svg{in_english()} ", 1))


@register.simple_tag(takes_context=True)
def figure(context: dict[str, Any], key: str) -> str:
    """Return a figure in the maker's units, as a link that opens its working."""
    desk: Desk = context["desk"]
    found = desk.figures.get(key)
    if found is None:
        return format_html('<span class="none">{}</span>', _("not shown") if key in _all(desk) else "\N{EN DASH}")
    return figure_link(desk, found)


def _all(desk: Desk) -> set[str]:
    return {figure.key for figure in desk.dossier.notes.figures}


def figure_link(desk: Desk, found: Figure) -> SafeString:
    """Return the link of a figure."""
    display = desk.words.display
    return format_html(
        '<a class="figure" href="{}" data-working title="{}">{}</a>',
        desk.url("working", key=found.key),
        _("how this was worked"),
        said(display, found.value, found.unit, found.key),
    )


@register.simple_tag(takes_context=True)
def figure_of(context: dict[str, Any], found: Figure) -> SafeString:
    """Return the link of a figure at hand."""
    return figure_link(context["desk"], found)


@register.simple_tag(takes_context=True)
def likely(context: dict[str, Any], found: Figure) -> str:
    """Return a figure's likely range in words, or nothing."""
    desk: Desk = context["desk"]
    return span_of(desk.words.display, found)


@register.simple_tag(takes_context=True)
def to(context: dict[str, Any], name: str, **named: Any) -> str:
    """Return the address of a page of the commission on the desk."""
    desk: Desk = context["desk"]
    return desk.url(name, **named)


@register.simple_tag(takes_context=True)
def to_if_any(context: dict[str, Any], name: str, **named: Any) -> str:
    """Return the address of a page of the commission where there is such a page, else nothing."""
    try:
        return to(context, name, **named)
    except NoReverseMatch:
        return ""


@register.simple_tag(takes_context=True)
def at(context: dict[str, Any], name: str, **named: Any) -> str:
    """Return the address of a page of the kitchen."""
    return address(name, kitchen=context["door"].kitchen.pk, **named)


@register.filter
def sheet_title(key: str) -> str:
    """Return what a sheet is called."""
    known = sheets().get(key)
    return str(known.title) if known else key


SEVERITIES = {4: "danger", 3: "stop", 2: "ask", 1: "note"}


@register.filter
def severity_mark(severity: int) -> str:
    """Return the name of a severity's shape."""
    return SEVERITIES.get(int(severity), "clear")


@register.filter
def severity_words(severity: int) -> str:
    """Return how serious something is, in words."""
    words = {4: _("could hurt"), 3: _("must change"), 2: _("to be asked"), 1: _("worth knowing")}
    return words.get(int(severity), _("nothing open"))
