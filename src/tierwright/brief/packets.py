"""What labels are made from beside the formulas: packets that were read, this kitchen's cross-contact, the maker."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from tierwright.brief.fields import Form, LongText, Mass, Text
from tierwright.larder import Allergen, Answer, find
from tierwright.units import English

Report = Callable[..., None]
Region = Annotated[str, Field(pattern=r"^[A-Z]{2}(-[A-Z0-9]{1,3})?$")]
"""A country, or a part of one, by ISO 3166-1 or 3166-2, such as ``US-CA``."""
PhotoName = Annotated[str, Field(max_length=120, pattern=r"^[A-Za-z0-9][A-Za-z0-9._ -]*$|^$")]
Allergens = Annotated[tuple[Allergen, ...], Field(max_length=30)]


class PacketNutrition(Form):
    """
    What the nutrition panel of a packet says of 100 g; what it leaves out is taken from the table.

    ``carbohydrate`` is without fibre, as panels outside North America print it, unless ``with_fibre`` says otherwise.
    """

    fat: Mass | None = Field(default=None, ge=0, le=100)
    saturated: Mass | None = Field(default=None, ge=0, le=100)
    trans: Mass | None = Field(default=None, ge=0, le=100)
    carbohydrate: Mass | None = Field(default=None, ge=0, le=100)
    with_fibre: bool = False
    sugars: Mass | None = Field(default=None, ge=0, le=100)
    added_sugars: Mass | None = Field(default=None, ge=0, le=100)
    fibre: Mass | None = Field(default=None, ge=0, le=100)
    protein: Mass | None = Field(default=None, ge=0, le=100)
    salt: Mass | None = Field(default=None, ge=0, le=100)
    sodium: Mass | None = Field(default=None, ge=0, le=40)
    potassium: Mass | None = Field(default=None, ge=0, le=50)
    calcium: Mass | None = Field(default=None, ge=0, le=50)
    iron: Mass | None = Field(default=None, ge=0, le=5)
    cholesterol: Mass | None = Field(default=None, ge=0, le=5)


class Packet(Form):
    """
    A packet whose label was read: the maker's own brand data, which go before the table.

    ``declaration`` is its ingredient list word for word, ``declaration_french`` the same in French; ``denied`` are the
    allergens that its maker has ruled out in writing; ``photo`` is the file of the label's picture; ``used_up`` keeps
    a packet on record that nothing is made from any more.
    """

    ingredient: Text
    lot: Annotated[str, Field(min_length=1, max_length=60)]
    product: Annotated[str, Field(max_length=200)] = ""
    declaration: LongText = ""
    declaration_french: LongText = ""
    contains: Allergens = ()
    may_contain: Allergens = ()
    denied: Allergens = ()
    species: tuple[Text, ...] = Field(default=(), max_length=10)
    sulphites_mg_per_kg: float | None = Field(default=None, ge=0, le=20_000)
    vegan: Answer | None = None
    nutrition: PacketNutrition | None = None
    best_before: date | None = None
    photo: PhotoName = ""
    read_on: date | None = None
    used_up: bool = False


class Met(Form):
    """
    A way by which an allergen may get onto a cake in this kitchen, as it was seen and recorded.

    ``cakes`` names the cakes concerned, such as ``tier.1`` or ``kitchen.1``; none for all.
    """

    allergen: Allergen
    where: Text
    cakes: tuple[Annotated[str, Field(pattern=r"^(tier|kitchen)\.[1-9]$")], ...] = Field(default=(), max_length=20)


class MakerEntry(Form):
    """Who answers for the food. ``home_sentence`` is what the place asks of a home kitchen, word for word."""

    name: Annotated[str, Field(max_length=200)] = ""
    address: Annotated[str, Field(max_length=400)] = ""
    phone: Annotated[str, Field(max_length=60)] = ""
    permit: Annotated[str, Field(max_length=80)] = ""
    home_sentence: Annotated[str, Field(max_length=400)] = ""


class BatchRule(StrEnum):
    """How a batch number is made from the day of making."""

    DAY = "day"
    YEAR_DAY = "year-day"
    ASKED = "asked"


class LabelBook(Form):
    """What a kitchen has recorded for its labels; what is missing is asked for."""

    packets: tuple[Packet, ...] = Field(default=(), max_length=2000)
    cross_contact: tuple[Met, ...] = Field(default=(), max_length=100)
    maker: MakerEntry = MakerEntry()
    region: Region | None = None
    batch: BatchRule = BatchRule.DAY


class LabelWish(Form):
    """
    How the labels of one commission are set out, within what the law of the place lets a maker choose.

    ``lots`` names the packets that were really used where several of an ingredient stand open; ``made_on`` is the day
    on which the cake is finished; ``stress`` names ingredients that the label praises in words or pictures;
    ``names_french`` are the names of the flavours in French, in their order. A form that is left out is the usual one
    of the place.
    """

    list_style: Annotated[str, Field(max_length=40)] = ""
    allergens: Annotated[str, Field(max_length=40)] = ""
    compounds: Annotated[str, Field(max_length=40)] = ""
    panel: Annotated[str, Field(max_length=40)] = ""
    languages: Annotated[str, Field(max_length=40)] = ""
    sale: Annotated[str, Field(max_length=40)] = ""
    english: Annotated[str, Field(max_length=40)] = ""
    stickers: Annotated[str, Field(max_length=60)] = ""
    surface_cm2: float = Field(default=500.0, ge=1, le=20_000)
    stress: tuple[Text, ...] = Field(default=(), max_length=10)
    lots: tuple[Annotated[str, Field(min_length=1, max_length=60)], ...] = Field(default=(), max_length=200)
    cross_contact: tuple[Met, ...] = Field(default=(), max_length=100)
    made_on: date | None = None
    batch: Annotated[str, Field(max_length=40)] = ""
    names_french: tuple[Text, ...] = Field(default=(), max_length=8)


def check_packets(book: LabelBook, report: Report, where: str = "labelling.packets") -> None:
    """Report every packet that no ingredient of the table stands for, and every packet that is there twice."""
    met: Counter[tuple[str, str]] = Counter()
    for position, packet in enumerate(book.packets, start=1):
        match = find(packet.ingredient)
        if match.ingredient is None:
            near = ", ".join(candidate.name_us for candidate in match.candidates[:3])
            report(f"{where}[{position}].ingredient", repr(packet.ingredient), "an ingredient of the table", near)
            continue
        key = (match.ingredient.key, packet.lot.casefold())
        met[key] += 1
        if met[key] == 2:
            report(f"{where}[{position}].lot", repr(packet.lot), "a lot that this ingredient does not have yet")
        both = [allergen.value for allergen in packet.contains if allergen in packet.denied]
        if both:
            report(f"{where}[{position}].denied", ", ".join(both), "allergens that the packet does not contain")


def check_wish(wish: LabelWish, report: Report) -> None:
    """Report every ingredient that a commission's labels praise and nobody knows, and English of no kind."""
    if wish.english and wish.english not in set(English):
        report("labelling.english", repr(wish.english), " or ".join(English), English.UK)
    for position, name in enumerate(wish.stress, start=1):
        match = find(name)
        if match.ingredient is None:
            near = ", ".join(candidate.name_us for candidate in match.candidates[:3])
            report(f"labelling.stress[{position}]", repr(name), "an ingredient of the table", near)
