"""Quantities that are asked for on a live page."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _

from tierwright.units import Kind, parse_quantity


class Asked:
    """What was typed into a live page: read field by field, and what could not be read said of each."""

    def __init__(self, typed: Mapping[str, str]) -> None:
        self.typed = typed
        self.wrong: dict[str, str] = {}

    def read(self, name: str, kind: Kind) -> float | None:
        """Return a quantity, or None where nothing was typed or it cannot be read."""
        text = self.typed.get(name, "").strip()
        if not text:
            return None
        try:
            return parse_quantity(text, kind)
        except ValueError as error:
            self.wrong[name] = _("Expected %(expected)s.") % {"expected": str(error)}
            return None
