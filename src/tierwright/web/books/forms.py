"""The forms of the kitchen's own book: fields by their path in the kitchen's file."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.larder import boards, pans, supports
from tierwright.web.books.colours import COLOURS
from tierwright.web.lots.forms import LABELLING
from tierwright.web.money import forms as money
from tierwright.web.sheet import Box, Field, Part, Rows


def hours_said(hours: Any) -> str:
    """Return one stretch of work as a line: ``Mon 07:00 to 15:00``."""
    return f"{hours.get('day')} {hours.get('from')} to {hours.get('to')}" if isinstance(hours, dict) else str(hours)


UNSAID = ("", "\N{EN DASH}")
KINDS = (("home", _("home kitchen")), ("licensed", _("licensed kitchen")))
MODES = (("", "\N{EN DASH}"), ("conventional", _("conventional")), ("convection", _("fan")))
COLD = (("", "\N{EN DASH}"), ("fridge", _("fridge")), ("freezer", _("freezer")))
BONDS = (UNSAID, ("none", _("nothing")), ("buttercream", _("buttercream")), ("royal-icing", _("royal icing")),
         ("chocolate", _("chocolate")))  # fmt: skip
RODS = (UNSAID, ("none", _("none")), ("loose", _("loose in its board")), ("anchored", _("fixed to its board")))
LEAVES = (UNSAID, ("chilled", _("chilled")), ("room", _("as warm as the room")))
DRIVES = (UNSAID, ("careful", _("unhurried stops")), ("hard", _("one hard stop")),
          ("cargo-us", _("the US rule for securing cargo")),
          ("cargo-en", _("EN 12195-1 for securing cargo")))  # fmt: skip
SHAPES = (("", "\N{EN DASH}"), ("round", _("round")), ("square", _("square")), ("rectangle", _("rectangle")),
          ("hexagon", _("hexagon")), ("heart", _("heart")), ("petal", _("petal")))  # fmt: skip

GENERAL = Part(
    key="kitchen",
    title=_("The kitchen"),
    hint=_(
        "Commissions that begin from now on are worked with it; one that stands takes it over when you work it again."
    ),
    items=(
        Field(path="name", label=_("Name")),
        Field(path="licence", label=_("Kind of kitchen"), box=Box.CHOICE, choices=KINDS),
        Field(path="altitude", label=_("Height above the sea"), hint=_("such as 1,420 m or 4,660 ft")),
        Field(path="timezone", label=_("Time zone"), hint=_("such as Europe/London")),
        Field(path="currency", label=_("Currency"), hint=_("three letters, such as USD")),
        Field(path="room", label=_("Usual warmth of the room"), hint=_("such as 21 C")),
        Field(path="scale_step", label=_("Finest step of the scale"), hint=_("such as 1 g")),
        Field(path="note", label=_("Note"), box=Box.AREA),
    ),
)
OVENS = Part(
    key="ovens",
    title=_("Ovens, mixers and cold places"),
    hint=_("What bakes, beats and keeps cold, by its inner measures: loads and weeks are planned round it."),
    items=(
        Rows(
            path="ovens", label=_("Ovens"), row=_("Oven"), most=10,
            hint=_("Measures are of the inside; the offset is the true temperature less what the dial says."),
            fields=(
                Field(path="name", label=_("Name")),
                Field(path="width", label=_("Width"), hint=_("such as 46 cm")),
                Field(path="depth", label=_("Depth")),
                Field(path="height", label=_("Height")),
                Field(path="shelves", label=_("Shelves"), box=Box.WHOLE),
                Field(path="mode", label=_("Air"), box=Box.CHOICE, choices=MODES),
                Field(path="offset", label=_("Offset"), hint=_("such as -10 F")),
                Field(path="hottest", label=_("Hottest it gets"), hint=_("such as 260 C")),
                Field(path="power", label=_("Power"), hint=_("such as 2.4 kW")),
            ),
        ),
        Rows(
            path="mixers", label=_("Mixers"), row=_("Mixer"), most=20,
            fields=(
                Field(path="name", label=_("Name")),
                Field(path="bowl", label=_("Bowl"), hint=_("such as 4.8 l")),
                Field(path="power", label=_("Power"), hint=_("such as 325 W")),
            ),
        ),
        Rows(
            path="cold", label=_("Cold places"), row=_("Cold place"), most=30,
            fields=(
                Field(path="name", label=_("Name")),
                Field(path="kind", label=_("Kind"), box=Box.CHOICE, choices=COLD),
                Field(path="width", label=_("Width")),
                Field(path="depth", label=_("Depth")),
                Field(path="height", label=_("Height")),
                Field(path="temperature", label=_("Temperature"), hint=_("such as 4 C")),
            ),
        ),
    ),
)  # fmt: skip
HANDS = Part(
    key="hands",
    title=_("Hands and their cost"),
    hint=_("Who works when, what they can do, and what an hour and the rest cost."),
    prices=True,
    items=(
        Rows(
            path="hands", label=_("Hands"), row=_("Person"), most=30,
            hint=_("Outside these hours nothing is planned for a person; a rate is for one hour."),
            fields=(
                Field(path="name", label=_("Name")),
                Field(
                    path="hours", label=_("Hours of work"), box=Box.LINES, say=hours_said,
                    hint=_("one stretch a line, such as Mon 07:00 to 15:00"),
                ),
                Field(path="rate", label=_("Rate for an hour")),
                Field(path="skills", label=_("Skills"), box=Box.LINES, hint=_("one a line")),
            ),
        ),
        Field(path="rates.electricity_per_kwh", label=_("Electricity, for a kWh")),
        Field(path="rates.overhead_per_hour", label=_("Overhead, for an hour")),
        Field(path="rates.travel_per_km", label=_("Travel, for a km")),
    ),
)  # fmt: skip
PANS = Part(
    key="pans",
    title=_("Pans"),
    hint=_("A pan of the table by its key, such as round_8x2_in, or one of its own measures."),
    items=(
        Rows(
            path="pans", label=_("Pans that are owned"), row=_("Pan"), most=200,
            fields=(
                Field(path="pan", label=_("Key in the table"), suggestions=tuple(pans())),
                Field(path="count", label=_("How many"), box=Box.WHOLE),
                Field(path="shape", label=_("Shape"), box=Box.CHOICE, choices=SHAPES),
                Field(path="width", label=_("Width inside"), hint=_("such as 8 in")),
                Field(path="length", label=_("Length inside")),
                Field(path="depth", label=_("Depth")),
                Field(path="material", label=_("Material")),
            ),
        ),
    ),
)  # fmt: skip
BOARDS = Part(
    key="boards",
    title=_("Boards and supports"),
    hint=_("What carries the tiers: what is in the cupboard is taken before anything is bought."),
    items=(
        Rows(
            path="boards", label=_("Boards and drums"), row=_("Board"), most=200,
            fields=(
                Field(
                    path="board", label=_("Key in the table"), hint=_("such as card_round_8_in"),
                    suggestions=tuple(boards()),
                ),
                Field(path="count", label=_("How many"), box=Box.WHOLE),
            ),
        ),
        Rows(
            path="supports", label=_("Supports"), row=_("Support"), most=50,
            fields=(
                Field(
                    path="support", label=_("Kind"), box=Box.CHOICE,
                    choices=(UNSAID, *((key, key.replace("_", " ")) for key in supports())),
                ),
                Field(path="count", label=_("How many"), box=Box.WHOLE),
            ),
        ),
    ),
)  # fmt: skip
CARRYING = Part(
    key="carrying",
    title=_("Stacking and carrying"),
    hint=_("How you stack a cake and take it to the venue; what is left open is assumed, and listed as such."),
    items=(
        Field(path="carrying.bond", label=_("What sticks each board to the tier below"), box=Box.CHOICE, choices=BONDS),
        Field(path="carrying.centre_rod", label=_("A rod through the middle"), box=Box.CHOICE, choices=RODS),
        Field(path="carrying.leaves", label=_("It leaves the kitchen"), box=Box.CHOICE, choices=LEAVES),
        Field(path="carrying.drive", label=_("On the road it has to stand"), box=Box.CHOICE, choices=DRIVES),
        Field(path="carrying.box", label=_("It travels in a box"), box=Box.TICK),
        Field(path="carrying.mat", label=_("It stands on a mat that grips"), box=Box.TICK),
        Field(path="carrying.wedged", label=_("The box or base is wedged so that it cannot slide"), box=Box.TICK),
        Field(path="carrying.boards_damp", label=_("Boards get damp: cut edges, a wet fridge"), box=Box.TICK),
        Field(
            path="carrying.cutting_error", label=_("Usual difference between supports cut alike"),
            hint=_("such as 0.5 mm"),
        ),
    ),
)  # fmt: skip
PARTS = {part.key: part for part in (GENERAL, OVENS, HANDS, PANS, BOARDS, CARRYING, LABELLING, COLOURS)} | money.PARTS
