"""What does whoever receives and cuts the cake need to know, and what goes along with it?"""

from tierwright.handover.answer import hand_over
from tierwright.handover.calendar import write_calendar
from tierwright.handover.counting import count_in, dismantling, first_cut, kind_of
from tierwright.handover.kit import pack_kit, spare_coat_g
from tierwright.handover.model import (
    Box,
    CoatToMend,
    Counted,
    Dated,
    FirstCut,
    FlowerToSpare,
    Handover,
    HandoverAsk,
    Kind,
    Kit,
    Meanwhile,
    PieceToLoad,
    Place,
    Spare,
    StockToSpare,
    TierToHand,
    Tool,
)
from tierwright.handover.venue import ask_venue

__all__ = [
    "Box",
    "CoatToMend",
    "Counted",
    "Dated",
    "FirstCut",
    "FlowerToSpare",
    "Handover",
    "HandoverAsk",
    "Kind",
    "Kit",
    "Meanwhile",
    "PieceToLoad",
    "Place",
    "Spare",
    "StockToSpare",
    "TierToHand",
    "Tool",
    "ask_venue",
    "count_in",
    "dismantling",
    "first_cut",
    "hand_over",
    "kind_of",
    "pack_kit",
    "spare_coat_g",
    "write_calendar",
]
