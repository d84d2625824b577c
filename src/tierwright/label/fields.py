"""The further particulars of a label: name of the food, net quantity, date, lot, maker."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tierwright.brief.commission import Jurisdiction
from tierwright.label.french import french_word
from tierwright.label.model import Field
from tierwright.label.order import DateKind, Durability, LabelOrder
from tierwright.label.rules import home_sentence, rule
from tierwright.units import OUNCE_G, POUND_G
from tierwright.working import Basis, Source

_SECTIONS: Final[Mapping[Jurisdiction, Mapping[str, str]]] = {
    Jurisdiction.US: {
        "food_name": "21 CFR 101.3",
        "net_quantity": "21 CFR 101.7",
        "maker": "21 CFR 101.5",
        "batch": "no federal rule for this food; kept so that a lot can be called back",
        "storage": "no federal rule for this food",
    },
    Jurisdiction.EU: {
        "food_name": "Regulation (EU) No 1169/2011, Article 17",
        "net_quantity": "Regulation (EU) No 1169/2011, Article 23 and Annex IX",
        "maker": "Regulation (EU) No 1169/2011, Articles 8(1) and 9(1)(h)",
        "batch": "Directive 2011/91/EU",
        "storage": "Regulation (EU) No 1169/2011, Article 25",
    },
    Jurisdiction.UK: {
        "food_name": "Regulation (EU) No 1169/2011 as retained, Article 17",
        "net_quantity": "Regulation (EU) No 1169/2011 as retained, Article 23 and Annex IX",
        "maker": "Regulation (EU) No 1169/2011 as retained, Articles 8(1) and 9(1)(h)",
        "batch": "Food (Lot Marking) Regulations 1996 (SI 1996/1502)",
        "storage": "Regulation (EU) No 1169/2011 as retained, Article 25",
    },
    Jurisdiction.CANADA: {
        "food_name": "Safe Food for Canadians Regulations, section 218",
        "net_quantity": "Safe Food for Canadians Regulations, section 221",
        "maker": "Safe Food for Canadians Regulations, section 218",
        "batch": "Safe Food for Canadians Regulations, section 92",
        "storage": "Food and Drug Regulations, B.01.007",
    },
    Jurisdiction.AUSTRALIA_NEW_ZEALAND: {
        "food_name": "Food Standards Code, Standard 1.2.2, section 1.2.2-2",
        "net_quantity": "trade measurement law of Australia and New Zealand",
        "maker": "Food Standards Code, Standard 1.2.2, section 1.2.2-4",
        "batch": "Food Standards Code, Standard 1.2.2, section 1.2.2-3",
        "storage": "Food Standards Code, Standard 1.2.6",
    },
}

LABELS: Final = {
    "food_name": "Name of the food",
    "net_quantity": "Net quantity",
    "date": "Date",
    "storage": "Storage",
    "batch": "Lot",
    "maker": "Maker",
    "permit": "Permit",
    "home_sentence": "Home kitchen",
}
"""Names of the fields, in the order in which they are printed."""


def net_quantity(mass_g: float, place: Jurisdiction) -> str:
    """
    Return a net mass as a place prints it.

    The United States prints pounds and ounces before grams; the other places grams, and kilograms from one up.

    Examples
    --------
    >>> net_quantity(992.0, Jurisdiction.US)
    'NET WT 2 LB 2 OZ (992 g)'
    >>> net_quantity(1234.0, Jurisdiction.EU)
    '1.234 kg'
    """
    grams = f"{mass_g:.0f} g" if mass_g < 1000 else f"{mass_g / 1000:.3f}".rstrip("0").rstrip(".") + " kg"
    if place is not Jurisdiction.US:
        return grams
    # Mass is never overstated: ounces are cut, not rounded, and grams are those of the scale.
    ounces = int(mass_g / OUNCE_G * 10 + 1e-6) / 10
    if mass_g < POUND_G:
        return f"NET WT {ounces:g} OZ ({grams})"
    pounds, rest = divmod(int(mass_g / OUNCE_G + 1e-6), 16)
    return f"NET WT {pounds} LB{f' {rest} OZ' if rest else ''} ({grams})"


def fields_of(order: LabelOrder, food_name: str, quantity: str) -> tuple[Field, ...]:
    """Return the further particulars of a label; what nobody has given is empty."""
    place = order.jurisdiction
    sections = _SECTIONS[place]
    maker = order.maker
    words = rule("date_words", place)
    assert words is not None
    date_text, storage = "", ""
    if order.durability is not None:
        date_text = _date_words(order, order.durability, words.text)
        both = order.french and order.durability.storage_french
        storage = order.durability.storage + (f" / {order.durability.storage_french}" if both else "")
    values = {
        "food_name": food_name,
        "net_quantity": quantity,
        "date": date_text,
        "storage": storage,
        "batch": order.batch,
        "maker": ", ".join(part for part in (maker.name, maker.address, maker.phone) if part),
    }
    found = [
        Field(
            key=key,
            label=LABELS[key],
            value=value,
            source=words.source if key == "date" else Source(basis=Basis.FROM_MEMORY, text=sections[key]),
        )
        for key, value in values.items()
    ]
    home = rule("home_kitchen", place)
    verified = home_sentence(order.region)
    if order.home_kitchen and home is not None:
        found.append(Field(key="permit", label=LABELS["permit"], value=maker.permit, source=home.source))
        found.append(
            Field(
                key="home_sentence",
                label=LABELS["home_sentence"],
                value=maker.home_sentence or ("" if verified is None else verified.text),
                source=home.source if verified is None or maker.home_sentence else verified.source,
            )
        )
    return tuple(found)


_MONTHS: Final = ("JA", "FE", "MR", "AL", "MA", "JN", "JL", "AU", "SE", "OC", "NO", "DE")
"""Months in letters that both languages of Canada read: Food and Drug Regulations, B.01.007(5), from memory."""


def _date_words(order: LabelOrder, durability: Durability, best_before: str) -> str:
    """Return the date mark as the place writes it; Canada has one kind, and months for both its languages."""
    day = durability.day
    if order.jurisdiction is Jurisdiction.CANADA:
        title = f"{best_before} / {french_word('best_before')}" if order.french else best_before
        return f"{title} {day.year} {_MONTHS[day.month - 1]} {day:%d}"
    kind = "Use by" if durability.kind is DateKind.USE_BY else best_before
    return f"{kind} {day.day} {day:%B %Y}"
