"""The label sheet and the allergen card as accessible pages."""

from __future__ import annotations

from datetime import date

import pypdfium2  # type: ignore[import-untyped]
import pytest

from tierwright.label import (
    BrandLot,
    Component,
    Jurisdiction,
    LabelOrder,
    Labels,
    PartOf,
    Unit,
    Used,
    label_cake,
)
from tierwright.larder import Allergen
from tierwright.sheets import Book, Paper, render_pdf
from tierwright.sheets.label import card_page, page
from tierwright.units import English

BOOK = Book(title="Test", cutting="Saturday 26 June 2027, 20:45", dated=date(2027, 6, 26), paper=Paper.A4)


def labels(place: Jurisdiction) -> Labels:
    components = (
        Component(
            key="cake",
            name="Vanilla cake",
            noun="cake",
            used=tuple(
                Used(ingredient=k, grams=100.0) for k in ("plain_flour", "white_sugar", "whole_egg", "unsalted_butter")
            ),
            loss_share=0.05,
            leavened=True,
        ),
        Component(
            key="chocolate", name="Chocolate", noun="icing", used=(Used(ingredient="vegan_dark_chocolate", grams=1),)
        ),
    )
    both = tuple(PartOf(component=c.key, grams=300.0) for c in components)
    return label_cake(
        LabelOrder(
            jurisdiction=place,
            english=English.UK,
            components=components,
            units=(
                Unit(key="tier.1", name="bottom tier", food_name="Vanilla", parts=both, portions=20),
                Unit(key="tier.2", name="top tier", food_name="Chocolate", parts=both[1:], portions=4, diet="vegan"),
            ),
            lots=(BrandLot(ingredient="unsalted_butter", lot="1", contains=(Allergen.MILK,)),),
        )
    )


def read(pdf: bytes) -> str:
    return "\n".join(p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(pdf))


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_label_sheet(place: Jurisdiction) -> None:
    made = labels(place)
    pdf = render_pdf([page(made, made.notes.cautions)], BOOK)
    text = " ".join(read(pdf).split())
    assert "Draft: not to be used" in text
    assert "Read the packet's list" in text.replace("\u2019", "'")
    assert "Never offer it to a guest with an allergy to milk or egg as safe" in text
    assert made.units[0].panel.rows[0].label in text, "the panel stays text"


@pytest.mark.parametrize("place", list(Jurisdiction))
def test_allergen_card_fits_one_page(place: Jurisdiction) -> None:
    made = labels(place)
    pdf = render_pdf([card_page(made, title="Test", cautions=made.notes.cautions)], BOOK)
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    text = " ".join(read(pdf).split())
    assert "contains" in text
    assert "may contain" in text
    assert "not a promise" in text
    assert "no promise for milk or egg allergy" in text
    assert "free from" not in text
