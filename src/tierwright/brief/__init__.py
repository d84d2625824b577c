"""What does the client want, and what does the maker have?"""

from tierwright.brief.commission import Commission, FixedTier, Flavour, FormulaSheet
from tierwright.brief.kitchen import Kitchen, Oven, OwnedPan
from tierwright.brief.reading import (
    Brief,
    parse_commission,
    parse_kitchen,
    read_brief,
    read_commission,
    read_formula_sheet,
    read_kitchen,
    read_label_book,
    read_table,
    read_text,
)

__all__ = [
    "Brief",
    "Commission",
    "FixedTier",
    "Flavour",
    "FormulaSheet",
    "Kitchen",
    "Oven",
    "OwnedPan",
    "parse_commission",
    "parse_kitchen",
    "read_brief",
    "read_commission",
    "read_formula_sheet",
    "read_kitchen",
    "read_label_book",
    "read_table",
    "read_text",
]
