"""What is printed of a week."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tierwright.sheets import day_pages, week_book
from tierwright.web.models import Kitchen
from tierwright.web.plans.models import KeptWeek
from tierwright.web.prints.papers import ToPrint


def day_sheets(kitchen: Kitchen, asked: Mapping[str, Any]) -> ToPrint:
    """Write the day sheets of a plan that is kept."""
    plan = KeptWeek.objects.get(kitchen=kitchen, pk=asked["week"]).read()
    return ToPrint(pages=day_pages(plan), book=week_book(plan), name="day-sheets")
