"""What must be said of a cake on paper, by the law of the place: ingredients, allergens, nutrition?"""

from tierwright.brief.commission import Jurisdiction
from tierwright.label.card import MARK_WORDS, NOT_A_PROMISE, Card, CardRow, card_of, card_text, diet_words
from tierwright.label.code import draw_code
from tierwright.label.declaring import quantity_words
from tierwright.label.fields import net_quantity
from tierwright.label.files import label_files, sticker_grid
from tierwright.label.forms import KINDS as FORM_KINDS
from tierwright.label.forms import Form, chosen_forms, lawful_forms
from tierwright.label.labelling import label_cake
from tierwright.label.lots import LotChange, differences, recheck
from tierwright.label.model import (
    Amount,
    Block,
    Declaration,
    Entry,
    Field,
    Labels,
    Panel,
    PanelRow,
    Presence,
    PrintForm,
    Run,
    Trace,
    UnitLabel,
)
from tierwright.label.nutrition import SALT_PER_SODIUM, energy
from tierwright.label.order import (
    Avoided,
    BrandLot,
    Component,
    CrossContact,
    DateKind,
    Durability,
    LabelOrder,
    Maker,
    PartOf,
    Sale,
    Style,
    Unit,
    Unnamed,
    Used,
)
from tierwright.label.panel import Helping, panel
from tierwright.label.panel_drawing import draw_panel, panel_words
from tierwright.label.rules import allergen_list, daily_values, home_sentences, rounded
from tierwright.label.serving import cake_class, lawful_slices, reference_amount, slices_for
from tierwright.label.stickers import Grid, draw_sheets, draw_sticker, fitting_grid, grid_of, grids
from tierwright.label.tracing import WHOLE

__all__ = [
    "FORM_KINDS",
    "MARK_WORDS",
    "NOT_A_PROMISE",
    "SALT_PER_SODIUM",
    "WHOLE",
    "Amount",
    "Avoided",
    "Block",
    "BrandLot",
    "Card",
    "CardRow",
    "Component",
    "CrossContact",
    "DateKind",
    "Declaration",
    "Durability",
    "Entry",
    "Field",
    "Form",
    "Grid",
    "Helping",
    "Jurisdiction",
    "LabelOrder",
    "Labels",
    "LotChange",
    "Maker",
    "Panel",
    "PanelRow",
    "PartOf",
    "Presence",
    "PrintForm",
    "Run",
    "Sale",
    "Style",
    "Trace",
    "Unit",
    "UnitLabel",
    "Unnamed",
    "Used",
    "allergen_list",
    "cake_class",
    "card_of",
    "card_text",
    "chosen_forms",
    "daily_values",
    "diet_words",
    "differences",
    "draw_code",
    "draw_panel",
    "draw_sheets",
    "draw_sticker",
    "energy",
    "fitting_grid",
    "grid_of",
    "grids",
    "home_sentences",
    "label_cake",
    "label_files",
    "lawful_forms",
    "lawful_slices",
    "net_quantity",
    "panel",
    "panel_words",
    "quantity_words",
    "recheck",
    "reference_amount",
    "rounded",
    "slices_for",
    "sticker_grid",
]
