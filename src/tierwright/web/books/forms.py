"""The forms of the kitchen's own book: fields by their path in the kitchen's file."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from tierwright.web.lots.forms import LABELLING
from tierwright.web.money import forms as money
from tierwright.web.sheet import Box, Field, Part, Rows

KINDS = (("home", _("home kitchen")), ("licensed", _("licensed kitchen")))
MODES = (("", "\N{EN DASH}"), ("conventional", _("conventional")), ("convection", _("fan")))
COLD = (("", "\N{EN DASH}"), ("fridge", _("fridge")), ("freezer", _("freezer")))
SHAPES = (("", "\N{EN DASH}"), ("round", _("round")), ("square", _("square")), ("rectangle", _("rectangle")),
          ("hexagon", _("hexagon")), ("heart", _("heart")), ("petal", _("petal")))  # fmt: skip

GENERAL = Part(
    key="kitchen",
    title=_("The kitchen"),
    hint=_("It holds for commissions that begin from now on; those that stand keep the kitchen they had."),
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
    prices=True,
    items=(
        Rows(
            path="hands", label=_("Hands"), row=_("Person"), most=30,
            hint=_("Hours of work stay as they stand; a rate is for one hour."),
            fields=(
                Field(path="name", label=_("Name")),
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
                Field(path="pan", label=_("Key in the table")),
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
PARTS = {part.key: part for part in (GENERAL, OVENS, HANDS, PANS, LABELLING)} | money.PARTS
