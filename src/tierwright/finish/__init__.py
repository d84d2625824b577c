"""What does the finished cake wear, how much of it, and how is it laid out?"""

from tierwright.finish.answer import Order, Work, scene_parts, work_finish
from tierwright.finish.bands import Template, WorkedBand, band_template
from tierwright.finish.closing import Closed, close, close_count, whole_number
from tierwright.finish.drips import WorkedDrip, drip_ml
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
from tierwright.finish.notes import notes_of
from tierwright.finish.painting import WorkedLeaf, WorkedPaint
from tierwright.finish.papers import TemplateSheet, template_sheets
from tierwright.finish.paths import Path, Spot, line_round
from tierwright.finish.piping import PipedRow, swag_length_mm
from tierwright.finish.stuff import Stuff
from tierwright.finish.surfaces import natural_colour, surfaces_of
from tierwright.finish.textures import WorkedTexture
from tierwright.finish.unrolling import Unrolled, unrolled

__all__ = [
    "Closed",
    "DecorMass",
    "Inedible",
    "Labour",
    "Order",
    "Path",
    "PipedRow",
    "Placed",
    "Point3",
    "Rim",
    "Spot",
    "Stuff",
    "Surface",
    "Template",
    "TemplateSheet",
    "Unrolled",
    "Ware",
    "Work",
    "WorkedBand",
    "WorkedDrip",
    "WorkedLeaf",
    "WorkedPaint",
    "WorkedTexture",
    "band_template",
    "close",
    "close_count",
    "drip_ml",
    "line_round",
    "natural_colour",
    "notes_of",
    "scene_parts",
    "surfaces_of",
    "swag_length_mm",
    "template_sheets",
    "unrolled",
    "whole_number",
    "work_finish",
]
