"""The shopping list as a table for other programs: CSV and XLSX."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Final

from tierwright.purchase.model import PurchasePlan, Shop
from tierwright.words import as_cell

HEADS: Final = (
    "day", "order by", "shop", "aisle", "item", "unit", "content", "packs", "price", "left over", "for",
    "label to read for",
)  # fmt: skip
Cell = str | int | float | Decimal

"""Signs with which a spreadsheet begins to compute a cell."""


def list_rows(plan: PurchasePlan, shops: Mapping[str, Shop], *, prices: bool = True) -> list[tuple[Cell, ...]]:
    """Return the list as rows under ``HEADS``; what has no price in the book stands at the end."""
    rows: list[tuple[Cell, ...]] = [
        (
            line.buy_on.isoformat(),
            line.order_by.isoformat(),
            as_cell(shops[line.shop].name),
            as_cell(line.aisle),
            as_cell(line.name),
            line.unit.value,
            round(line.content, 1),
            line.packs,
            line.price if prices else "",
            round(line.left, 1),
            as_cell("; ".join(sorted({one.commission for one in line.for_whom}))),
            "; ".join(allergen.value for allergen in line.label_unread),
        )
        for line in plan.lines
    ]
    rows += [
        (
            one.buy_by.isoformat(),
            one.buy_by.isoformat(),
            "",
            as_cell(one.aisle),
            as_cell(one.name),
            one.unit.value,
            round(one.amount, 1),
            "",
            "",
            "",
            as_cell("; ".join(one.commissions)),
            one.reason,
        )
        for one in plan.unmet
    ]
    return rows


def list_csv(plan: PurchasePlan, shops: Mapping[str, Shop], *, prices: bool = True) -> str:
    """Return the list as CSV (RFC 4180), UTF-8 text with CR LF line ends; without prices for a helper."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(HEADS)
    writer.writerows(list_rows(plan, shops, prices=prices))
    return out.getvalue()


def list_xlsx(plan: PurchasePlan, shops: Mapping[str, Shop], *, made: datetime, prices: bool = True) -> bytes:
    """
    Return the list as an Office Open XML workbook (ISO/IEC 29500).

    Parameters
    ----------
    plan, shops
        The list, and the shops by key.
    made
        Date that the file carries.
    prices
        Whether prices are in it; a helper's list goes without.
    """
    from openpyxl import Workbook  # type: ignore[import-untyped]
    from openpyxl.styles import Font  # type: ignore[import-untyped]

    book = Workbook()
    sheet = book.worksheets[0]
    sheet.title = "to buy"
    sheet.append(HEADS)
    for row in list_rows(plan, shops, prices=prices):
        sheet.append(row)
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    for letter, width in zip("ABCDEFGHIJKL", (11, 11, 18, 14, 30, 8, 10, 7, 10, 10, 28, 24), strict=True):
        sheet.column_dimensions[letter].width = width
    book.properties.created = book.properties.modified = made.replace(tzinfo=None)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
