"""What does the cake look like, drawn to scale?"""

from tierwright.drawings.charts import shortage_chart
from tierwright.drawings.cutting import Row, cutting_guide, order_of_cutting, rows_of
from tierwright.drawings.deflected import deflected_board
from tierwright.drawings.front import front
from tierwright.drawings.ovens import OnShelf, core_chart, oven_shelf
from tierwright.drawings.plan import Mark, plan
from tierwright.drawings.section import Bar, Base, Names, section
from tierwright.drawings.still import still
from tierwright.svg import AS_THE_PAGE, INK_ON_PAPER, Drawing, Ink

__all__ = [
    "AS_THE_PAGE",
    "INK_ON_PAPER",
    "Bar",
    "Base",
    "Drawing",
    "Ink",
    "Mark",
    "Names",
    "OnShelf",
    "Row",
    "core_chart",
    "cutting_guide",
    "deflected_board",
    "front",
    "order_of_cutting",
    "oven_shelf",
    "plan",
    "rows_of",
    "section",
    "shortage_chart",
    "still",
]
