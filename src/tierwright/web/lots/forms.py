"""The forms of the book of packets: one packet, and what the kitchen has recorded for all its labels."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part, Rows

DASH: Final = "\N{EN DASH}"
BATCHES = (
    ("", DASH),
    ("day", _("day of making, such as 20260612")),
    ("year-day", _("year and day of the year, such as 26-163")),
    ("asked", _("written by hand for each commission")),
)
VEGAN = (("", DASH), ("yes", _("says that it is")), ("no", _("is not")), ("ask", _("not settled")))

LABELLING = Part(
    key="labelling",
    title=_("Maker and cross-contact"),
    hint=_("What stands on every label, and how allergens may get from one thing to another in this kitchen."),
    items=(
        Field(path="labelling.maker.name", label=_("Name on the label")),
        Field(path="labelling.maker.address", label=_("Address on the label")),
        Field(path="labelling.maker.phone", label=_("Telephone")),
        Field(path="labelling.maker.permit", label=_("Permit or registration number")),
        Field(
            path="labelling.maker.home_sentence", label=_("Sentence for a home kitchen"),
            hint=_("word for word as the authority asks for it"),
        ),
        Field(
            path="labelling.region", label=_("State or country"),
            hint=_("by ISO 3166-2, such as US-CA; a sentence that was read at its source is then filled in"),
        ),
        Field(path="labelling.batch", label=_("Lot number is made from"), box=Box.CHOICE, choices=BATCHES),
        Rows(
            path="labelling.cross_contact", label=_("Cross-contact as it was seen"), row=_("Cross-contact"), most=100,
            hint=_("Only what really happened or stands nearby: 'may contain' is never printed as a blanket."),
            fields=(
                Field(path="allergen", label=_("Allergen"), hint=_("such as hazelnut")),
                Field(path="where", label=_("Where and how"), hint=_("such as: hazelnuts are ground on one mixer")),
                Field(
                    path="cakes", label=_("Cakes concerned"), box=Box.LINES,
                    hint=_("such as tier.1, one a line; none for all"),
                ),
            ),
        ),
    ),
)  # fmt: skip

PACKET = Part(
    key="packet",
    title=_("A packet"),
    items=(
        Field(path="ingredient", label=_("Ingredient"), hint=_("such as dark chocolate 60 %")),
        Field(path="lot", label=_("Lot"), hint=_("the maker's mark on the packet")),
        Field(path="product", label=_("What the packet calls it")),
        Field(path="declaration", label=_("Its ingredient list, word for word"), box=Box.AREA),
        Field(
            path="declaration_french", label=_("The same in French"), box=Box.AREA,
            hint=_("for labels in both languages"),
        ),
        Field(path="contains", label=_("Contains"), box=Box.LINES, hint=_("one allergen a line, such as milk")),
        Field(path="may_contain", label=_("May contain"), box=Box.LINES, hint=_("one allergen a line")),
        Field(
            path="denied", label=_("Ruled out in writing by its maker"), box=Box.LINES,
            hint=_("one allergen a line; a telephone call is no writing"),
        ),
        Field(path="species", label=_("Fish, crustaceans or molluscs by name"), box=Box.LINES),
        Field(path="sulphites_mg_per_kg", label=_("Sulphites in mg/kg, where its maker told")),
        Field(path="vegan", label=_("Vegan"), box=Box.CHOICE, choices=VEGAN),
        Field(path="best_before", label=_("Best before"), box=Box.DATE),
        Field(path="read_on", label=_("Read on"), box=Box.DATE),
        Field(path="nutrition.fat", label=_("Fat in 100 g"), hint=_("such as 34 g; what is left out is the table's")),
        Field(path="nutrition.saturated", label=_("Saturated fat in 100 g")),
        Field(path="nutrition.trans", label=_("Trans fat in 100 g")),
        Field(path="nutrition.carbohydrate", label=_("Carbohydrate in 100 g")),
        Field(path="nutrition.with_fibre", label=_("The carbohydrate has the fibre in it"), box=Box.TICK,
              hint=_("as American and Canadian panels print it")),
        Field(path="nutrition.sugars", label=_("Sugars in 100 g")),
        Field(path="nutrition.added_sugars", label=_("Added sugars in 100 g")),
        Field(path="nutrition.fibre", label=_("Fibre in 100 g")),
        Field(path="nutrition.protein", label=_("Protein in 100 g")),
        Field(path="nutrition.salt", label=_("Salt in 100 g")),
        Field(path="nutrition.sodium", label=_("Sodium in 100 g"), hint=_("such as 120 mg")),
        Field(path="nutrition.potassium", label=_("Potassium in 100 g")),
        Field(path="nutrition.calcium", label=_("Calcium in 100 g")),
        Field(path="nutrition.iron", label=_("Iron in 100 g")),
        Field(path="nutrition.cholesterol", label=_("Cholesterol in 100 g")),
        Field(
            path="used_up", label=_("Used up"), box=Box.TICK,
            hint=_("it stays on record, and nothing is made from it any more"),
        ),
    ),
)  # fmt: skip
