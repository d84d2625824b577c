"""The forms of the tiers sheet: guests, portion, cake, settled tiers, day, venue, diets and allergies."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from tierwright.shapes import Shape
from tierwright.web.sheet import Box, Field, Part, Rows
from tierwright.words import CutPattern, Cutter, OtherDessert, RingMeasure

DESSERT = (
    (OtherDessert.NONE, _("nothing else sweet")),
    (OtherDessert.SOME, _("a small table beside it")),
    (OtherDessert.MAIN, _("a full dessert before it")),
)
PATTERNS = (
    (CutPattern.RINGS, _("rings, then slices across")),
    (CutPattern.GRID, _("straight cuts both ways")),
    (CutPattern.WEDGES, _("wedges from the middle")),
    (CutPattern.FINGERS, _("upright fingers in a close grid")),
    (CutPattern.SHEET, _("squares or bars, from a flat cake")),
)
MEASURED = (
    (RingMeasure.OUTER_EDGE, _("at the outer edge")),
    (RingMeasure.MIDDLE, _("in the middle of the ring")),
    (RingMeasure.AREA, _("by area")),
)
CUTTERS = ((Cutter.MAKER, _("the maker")), (Cutter.CATERER, _("a caterer")), (Cutter.CLIENT, _("the client")))
SHAPES = tuple(
    (shape.value, words)
    for shape, words in (
        (Shape.ROUND, _("round")),
        (Shape.SQUARE, _("square")),
        (Shape.HEXAGON, _("hexagon")),
        (Shape.PETAL, _("petal")),
        (Shape.HEART, _("heart")),
        (Shape.RECTANGLE, _("rectangle")),
    )
)
UNSAID = ("", "\N{EN DASH}")

GUESTS = Part(
    key="guests",
    title=_("Guests"),
    hint=_("The count decides everything after it. A range is as good as a number while replies are coming in."),
    items=(
        Field(path="guests.invited", label=_("People invited"), box=Box.WHOLE),
        Field(path="guests.attending", label=_("People who will come"), hint=_("such as 110, or 102 to 118")),
        Field(path="guests.eating_cake", label=_("Share of them who eat cake"), hint=_("such as 85 %, or 76 to 90 %")),
        Field(path="guests.other_dessert", label=_("What else is sweet"), box=Box.CHOICE, choices=(UNSAID, *DESSERT)),
        Field(
            path="guests.shortage_risk",
            label=_("Chance of running short that is acceptable"),
            hint=_("such as 5 %; the smaller it is, the more is left over"),
        ),
    ),
)
PORTION = Part(
    key="portion",
    title=_("Portion"),
    hint=_("One portion as a block of cake, and how the tiers are cut."),
    items=(
        Field(path="portion.width", label=_("Width of a slice"), hint=_("such as 1 in or 25 mm")),
        Field(path="portion.depth", label=_("Depth of a slice"), hint=_("such as 2 in")),
        Field(path="portion.height", label=_("Height of a slice, and so of a tier"), hint=_("such as 4 in")),
        Field(path="portion.pattern", label=_("Cut in"), box=Box.CHOICE, choices=(UNSAID, *PATTERNS)),
        Field(path="portion.measured_at", label=_("Width is measured"), box=Box.CHOICE, choices=(UNSAID, *MEASURED)),
        Field(path="portion.cut_by", label=_("Cut by"), box=Box.CHOICE, choices=(UNSAID, *CUTTERS)),
    ),
)
CAKE = Part(
    key="cake",
    title=_("Shape and layers"),
    items=(
        Field(path="cake.shape", label=_("Shape"), box=Box.CHOICE, choices=(UNSAID, *SHAPES)),
        Field(path="cake.tiers", label=_("Tiers wished for"), box=Box.WHOLE, hint=_("empty: proposed")),
        Field(path="cake.layers", label=_("Layers in a tier"), box=Box.WHOLE),
        Field(path="cake.filling_depth", label=_("Depth of each filling"), hint=_("such as 8 mm")),
        Field(path="cake.keepsake", label=_("The top tier is kept, not cut"), box=Box.TICK),
        Field(path="cake.look", label=_("How it should look"), box=Box.AREA),
        Field(path="cake.decoration", label=_("Decoration"), box=Box.LINES, hint=_("one a line")),
    ),
)
SETTLED = Part(
    key="settled",
    title=_("Settled tiers"),
    hint=_("A tier that is settled is not proposed anew. Without any, the best stack is chosen."),
    items=(
        Rows(
            path="cake.fixed",
            label=_("Settled tiers"),
            row=_("Tier"),
            most=8,
            fields=(
                Field(path="number", label=_("Number, 1 at the bottom"), box=Box.WHOLE),
                Field(path="width", label=_("Width"), hint=_("such as 10 in")),
                Field(path="shape", label=_("Shape"), box=Box.CHOICE, choices=(UNSAID, *SHAPES)),
                Field(path="length", label=_("Shorter side"), hint=_("of a rectangle")),
                Field(
                    path="kind",
                    label=_("Made of"),
                    box=Box.CHOICE,
                    choices=(UNSAID, ("cake", _("cake")), ("dummy", _("foam"))),
                ),
            ),
        ),
    ),
)
DAY = Part(
    key="day",
    title=_("Day and client"),
    items=(
        Field(path="title", label=_("What it is for")),
        Field(path="client", label=_("Client")),
        Field(path="day.date", label=_("Day"), box=Box.DATE),
        Field(path="day.handover", label=_("Handover"), box=Box.CLOCK),
        Field(path="day.cutting", label=_("Cutting"), box=Box.CLOCK),
        Field(path="day.last_slice", label=_("Last slice"), box=Box.CLOCK),
        Field(path="day.timezone", label=_("Time zone of the venue"), hint=_("such as America/Denver")),
    ),
)
DIETS = Part(
    key="diets",
    title=_("Diets and allergies"),
    hint=_("An allergy is never a diet: it decides what must be asked, not only what is nice."),
    health=True,
    items=(
        Rows(
            path="diets",
            label=_("Diets"),
            row=_("Diet"),
            most=30,
            fields=(
                Field(path="diet", label=_("Diet"), hint=_("such as vegan")),
                Field(path="count", label=_("Guests"), box=Box.WHOLE),
                Field(
                    path="reason",
                    label=_("Because of"),
                    box=Box.CHOICE,
                    choices=(
                        UNSAID,
                        ("ethics", _("conviction")),
                        ("religion", _("religion")),
                        ("taste", _("taste")),
                        ("health", _("health")),
                        ("allergy", _("an allergy: enter it below, too")),
                    ),
                ),
                Field(path="note", label=_("Note")),
            ),
        ),
        Rows(
            path="allergies",
            label=_("Allergies"),
            row=_("Allergy"),
            most=30,
            fields=(
                Field(path="allergen", label=_("Allergen"), hint=_("such as hazelnut")),
                Field(path="count", label=_("Guests"), box=Box.WHOLE),
                Field(
                    path="severity",
                    label=_("How severe"),
                    box=Box.CHOICE,
                    choices=(UNSAID, ("severe", _("severe")), ("mild", _("mild")), ("unknown", _("not known"))),
                ),
                Field(path="note", label=_("Note")),
            ),
        ),
    ),
)


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet."""
    return (GUESTS, PORTION, CAKE, SETTLED, DAY, DIETS)
