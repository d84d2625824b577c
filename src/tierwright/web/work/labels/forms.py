"""The forms of the labels sheet: whose law applies, and how a label looks within it."""

from __future__ import annotations

from typing import Any, Final

from django.utils.translation import gettext_lazy as _

from tierwright.brief.commission import Jurisdiction
from tierwright.label import FORM_KINDS, grids, lawful_forms
from tierwright.web.sheet import Box, Field, Part, Rows, Words
from tierwright.web.work.tiers.forms import DIETS

LAWS: tuple[tuple[str, Words], ...] = (
    (Jurisdiction.US.value, _("United States")),
    (Jurisdiction.EU.value, _("European Union")),
    (Jurisdiction.UK.value, _("United Kingdom")),
    (Jurisdiction.CANADA.value, _("Canada")),
    (Jurisdiction.AUSTRALIA_NEW_ZEALAND.value, _("Australia and New Zealand")),
)
LAW = Part(
    key="law",
    title=_("Whose law"),
    hint=_("Which allergens must be named, and how a panel looks, depends on where the cake is sold."),
    items=(Field(path="jurisdiction", label=_("Label and food law of"), box=Box.CHOICE, choices=LAWS),),
)
TITLES: Final[dict[str, Words]] = {
    "list_style": _("The ingredient list"),
    "allergens": _("Allergens are told"),
    "compounds": _("Compound ingredients"),
    "panel": _("The nutrition panel"),
    "languages": _("Languages"),
    "sale": _("How it is sold"),
}
ENGLISH = (("us", _("American")), ("uk", _("British")))


def parts(brief: dict[str, Any]) -> tuple[Part, ...]:
    """Return the forms of the sheet."""
    return (LAW, label_form(brief), MADE, DIETS)


def label_form(brief: dict[str, Any]) -> Part:
    """Return the label's own form, which offers what the law of the place lets a maker choose and nothing else."""
    law = str(brief.get("jurisdiction", Jurisdiction.US.value))
    place = Jurisdiction(law) if law in set(Jurisdiction) else Jurisdiction.US
    paper = "Letter" if place in (Jurisdiction.US, Jurisdiction.CANADA) else "A4"
    fields: list[Field] = []
    for kind in FORM_KINDS:
        forms = lawful_forms(place, kind)
        usual = (("", _("as usual: %(form)s") % {"form": forms[0].words}),)
        others = tuple((form.choice, f"{form.words} ({form.source.text.partition(', ')[2]})") for form in forms[1:])
        if others:
            fields.append(
                Field(path=f"labelling.{kind}", label=TITLES[kind], box=Box.CHOICE, choices=(*usual, *others))
            )
    sheets = tuple(
        (
            grid.key,
            _("%(width)g × %(height)g mm, %(count)d on a sheet of %(paper)s")
            % {"width": grid.width_mm, "height": grid.height_mm, "count": grid.count, "paper": grid.paper},
        )
        for grid in grids().values()
        if grid.paper == paper
    )
    return Part(
        key="label",
        title=_("How the label looks"),
        hint=_("Only forms that the law of the place lets stand can be chosen; each names its section."),
        items=(
            *fields,
            Field(
                path="labelling.english", label=_("English of the label"), box=Box.CHOICE,
                choices=(("", _("the kitchen's own")), *ENGLISH),
            ),
            Field(
                path="labelling.stickers", label=_("Sheet of stickers"), box=Box.CHOICE,
                choices=(("", _("the smallest that a label fits")), *sheets),
            ),
            Field(
                path="labelling.surface_cm2", label=_("Surface of the box that can bear labels, in cm²"),
                hint=_("such as 500; it decides the least type, and whether a small panel may stand"),
            ),
            Field(
                path="labelling.stress", label=_("Ingredients that words or pictures praise"), box=Box.LINES,
                hint=_("one a line; their quantity is then declared where the law wants it"),
            ),
            Field(
                path="labelling.names_french", label=_("Names of the flavours in French"), box=Box.LINES,
                hint=_("one a line, in the order of the flavours"),
            ),
        ),
    )  # fmt: skip


MADE = Part(
    key="made",
    title=_("Made of, and when"),
    hint=_("Which packets were really used, when it was finished, and what may have got onto it."),
    items=(
        Field(
            path="labelling.lots", label=_("Lots that were used"), box=Box.LINES,
            hint=_("one a line, where several packets of an ingredient stand open; none for all of them"),
        ),
        Field(path="labelling.made_on", label=_("Day of making"), box=Box.DATE, hint=_("else as the keeping plans it")),
        Field(path="labelling.batch", label=_("Lot number"), hint=_("else by the kitchen's rule")),
        Rows(
            path="labelling.cross_contact", label=_("Cross-contact as it was seen"), row=_("Cross-contact"), most=100,
            fields=(
                Field(path="allergen", label=_("Allergen"), hint=_("such as hazelnut")),
                Field(path="where", label=_("Where and how")),
                Field(
                    path="cakes", label=_("Cakes concerned"), box=Box.LINES,
                    hint=_("such as tier.1, one a line; none for all"),
                ),
            ),
        ),
    ),
)  # fmt: skip
