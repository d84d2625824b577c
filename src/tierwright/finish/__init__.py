"""What does the finished cake wear, how much of it, and how is it laid out?"""

from tierwright.finish.answer import Order, Work, scene_parts, work_finish
from tierwright.finish.bands import Template, WorkedBand, band_template
from tierwright.finish.closing import Closed, close, close_count, whole_number
from tierwright.finish.colour import Contrast, Lab, contrast, delta_e_2000, hex_of_lab, read_colour
from tierwright.finish.colour_cautions import colour_cautions
from tierwright.finish.colour_mixing import MixModel, OwnColour, RecordedMix, learn_mixes
from tierwright.finish.colour_wish import ColouredBatch, ColourMatch, mix_for, nearest_mix, portion_out
from tierwright.finish.drips import WorkedDrip, drip_ml
from tierwright.finish.inscriptions import Inscription, inscribe, letter_parts
from tierwright.finish.laying import Flowers, LaidFlower, LaidGroup, flower_notes, flower_parts, lay_flowers
from tierwright.finish.lettering_card import lettering_card
from tierwright.finish.lettering_faces import FaceStyle, face
from tierwright.finish.look import CutLetter, Look, Relief, Slab, look_of
from tierwright.finish.look_flowers import Bloom, bloom_of
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
from tierwright.finish.paths import Path, Spot, chords, line_round
from tierwright.finish.piping import PipedRow, swag_length_mm
from tierwright.finish.stuff import Stuff
from tierwright.finish.surfaces import natural_colour, surfaces_of
from tierwright.finish.textures import WorkedTexture
from tierwright.finish.tints import WorkedTint, colours_of, from_plants, mixes_of, wished, work_tints
from tierwright.finish.unrolling import Unrolled, unrolled

__all__ = [
    "Bloom",
    "Closed",
    "ColourMatch",
    "ColouredBatch",
    "Contrast",
    "CutLetter",
    "DecorMass",
    "FaceStyle",
    "Flowers",
    "Inedible",
    "Inscription",
    "Lab",
    "Labour",
    "LaidFlower",
    "LaidGroup",
    "Look",
    "MixModel",
    "Order",
    "OwnColour",
    "Path",
    "PipedRow",
    "Placed",
    "Point3",
    "RecordedMix",
    "Relief",
    "Rim",
    "Slab",
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
    "WorkedTint",
    "band_template",
    "bloom_of",
    "chords",
    "close",
    "close_count",
    "colour_cautions",
    "colours_of",
    "contrast",
    "delta_e_2000",
    "drip_ml",
    "face",
    "flower_notes",
    "flower_parts",
    "from_plants",
    "hex_of_lab",
    "inscribe",
    "lay_flowers",
    "learn_mixes",
    "letter_parts",
    "lettering_card",
    "line_round",
    "look_of",
    "mix_for",
    "mixes_of",
    "natural_colour",
    "nearest_mix",
    "notes_of",
    "portion_out",
    "read_colour",
    "scene_parts",
    "surfaces_of",
    "swag_length_mm",
    "template_sheets",
    "unrolled",
    "whole_number",
    "wished",
    "work_finish",
    "work_tints",
]
