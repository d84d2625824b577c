"""What does the finished cake wear, how much of it, and how is it laid out?"""

from tierwright.finish.model import (
    DecorMass,
    Inedible,
    Labour,
    Placed,
    Point3,
    Rim,
    Surface,
    Ware,
)
from tierwright.finish.paths import Path, Spot, line_round
from tierwright.finish.surfaces import natural_colour, surfaces_of
from tierwright.finish.unrolling import Unrolled, unrolled

__all__ = [
    "DecorMass",
    "Inedible",
    "Labour",
    "Path",
    "Placed",
    "Point3",
    "Rim",
    "Spot",
    "Surface",
    "Unrolled",
    "Ware",
    "line_round",
    "natural_colour",
    "surfaces_of",
    "unrolled",
]
