"""The forms of the kitchen's money: shops, pantry, policy, tax, terms and the cap, by their path in its file."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from tierwright.web.sheet import Box, Field, Part, Rows

DASH = "\N{EN DASH}"
POLICIES = (
    ("markup", _("cost and a markup")),
    ("margin", _("a margin of the price")),
    ("portion", _("a price for a portion")),
    ("hour", _("what an hour is to bring")),
)
SHOWN = (("exclusive", _("before tax, with tax added")), ("inclusive", _("with tax inside")))
COUNTS = (("", DASH), ("received", _("what is received")), ("invoiced", _("what is invoiced")))
LABEL = (
    Field(path="label_read", label=_("The label has been read"), box=Box.TICK),
    Field(path="contains", label=_("Contains"), box=Box.LINES, hint=_("one allergen a line")),
    Field(path="may_contain", label=_("May contain"), box=Box.LINES, hint=_("one allergen a line")),
)
PRICES = Part(
    key="prices",
    title=_("Price book"),
    hint=_("What can be used of one pack, and what it costs; an allergen is known only once its label is read."),
    prices=True,
    items=(
        Rows(
            path="prices", label=_("Ingredients"), row=_("Price"), most=1000,
            fields=(
                Field(path="ingredient", label=_("Ingredient")),
                Field(path="brand", label=_("Brand or size, in your words")),
                Field(path="pack", label=_("One pack holds"), hint=_("such as 1.5 kg")),
                Field(path="price", label=_("Price"), hint=_("such as 4.20")),
                Field(path="packs", label=_("Packs for that price"), box=Box.WHOLE, hint=_("3 for three together")),
                Field(path="most", label=_("At most so often"), box=Box.WHOLE, hint=_("empty: no limit")),
                Field(path="shop", label=_("Shop, by its key")),
                *LABEL,
            ),
        ),
        Rows(
            path="accounts.wares", label=_("Boards, supports, boxes"), row=_("Ware"), most=500,
            fields=(
                Field(path="ware", label=_("Key in the table"), hint=_("such as card_round_8_in or box_30_cm")),
                Field(path="pieces", label=_("Pieces in a pack"), box=Box.WHOLE),
                Field(path="price", label=_("Price")),
                Field(path="shop", label=_("Shop, by its key")),
            ),
        ),
    ),
)  # fmt: skip
SHOPS = Part(
    key="shops",
    title=_("Shops"),
    hint=_("Where things are bought; a least order or a charge decides what is bought together."),
    prices=True,
    items=(
        Rows(
            path="accounts.shops", label=_("Shops"), row=_("Shop"), most=50,
            fields=(
                Field(path="key", label=_("Key"), hint=_("small letters, such as mill")),
                Field(path="name", label=_("Name")),
                Field(path="lead_days", label=_("Days from order to having it"), box=Box.WHOLE),
                Field(path="minimum", label=_("Least order")),
                Field(path="fee", label=_("Charge for an order, or cost of a trip")),
                Field(
                    path="aisles", label=_("Shelves in the order of your walk"), box=Box.LINES,
                    hint=_("one a line, such as dairy"),
                ),
            ),
        ),
        Field(path="accounts.near_equal", label=_("What less left over may cost more"), hint=_("such as 1 %")),
    ),
)  # fmt: skip
PANTRY = Part(
    key="pantry",
    title=_("Pantry"),
    hint=_("What stands there: by-products are used first, then what expires first."),
    items=(
        Rows(
            path="accounts.pantry", label=_("Lots"), row=_("Lot"), most=2000,
            fields=(
                Field(path="lot", label=_("Lot, as on its label")),
                Field(path="ingredient", label=_("Ingredient")),
                Field(path="amount", label=_("What is left of it"), hint=_("such as 800 g")),
                Field(path="best_before", label=_("Best before"), box=Box.DATE),
                Field(path="left_by_a_job", label=_("Left over by a job"), box=Box.TICK),
                *LABEL,
            ),
        ),
    ),
)  # fmt: skip
POLICY = Part(
    key="policy",
    title=_("Price policy"),
    hint=_("How a price is set. No figure here is a market's: all are yours."),
    prices=True,
    items=(
        Field(path="accounts.pricing.by", label=_("The price follows"), box=Box.CHOICE, choices=POLICIES),
        Field(path="accounts.pricing.markup", label=_("Markup on cost"), hint=_("such as 40 %")),
        Field(path="accounts.pricing.margin", label=_("Margin of the price"), hint=_("such as 30 %")),
        Field(path="accounts.pricing.per_portion", label=_("Price of a portion")),
        Field(path="accounts.pricing.hourly", label=_("An hour is to bring")),
        Field(path="accounts.pricing.minimum", label=_("Least price")),
        Field(path="accounts.pricing.round_to", label=_("Round up to"), hint=_("such as 5")),
        Field(path="accounts.overhead_per_month", label=_("Overhead of a month")),
        Field(path="accounts.commissions_per_month", label=_("Commissions in a usual month")),
        Field(path="accounts.cleaning", label=_("Cleaning for an hour in the kitchen"), hint=_("such as 20 %")),
        Field(path="accounts.layer_failure", label=_("Chance that a layer is baked twice"), hint=_("such as 2 %")),
        Rows(
            path="accounts.equipment", label=_("Equipment that wears"), row=_("Equipment"), most=100,
            fields=(
                Field(path="name", label=_("Name")),
                Field(path="price", label=_("Price")),
                Field(path="residual", label=_("Worth at the end")),
                Field(path="commissions", label=_("Commissions it lasts"), box=Box.WHOLE),
            ),
        ),
    ),
)  # fmt: skip
TAX = Part(
    key="tax",
    title=_("Tax"),
    hint=_("Rates as you have looked them up for your place."),
    prices=True,
    items=(
        Rows(
            path="accounts.tax.rates", label=_("Rates"), row=_("Rate"), most=20,
            fields=(
                Field(path="key", label=_("Key"), hint=_("small letters, such as sales")),
                Field(path="name", label=_("Name on paper")),
                Field(path="rate", label=_("Rate"), hint=_("such as 4 %")),
            ),
        ),
        Field(path="accounts.tax.cake", label=_("A cake bears, by its key")),
        Field(path="accounts.tax.delivery", label=_("Its delivery bears, by its key")),
        Field(path="accounts.tax.shown", label=_("Prices are shown"), box=Box.CHOICE, choices=SHOWN),
    ),
)  # fmt: skip
TERMS = Part(
    key="terms",
    title=_("Terms"),
    hint=_("What every client is asked; a sentence that is left empty is left out."),
    prices=True,
    items=(
        Field(path="accounts.terms.retainer", label=_("Retainer"), hint=_("a share of the price, such as 30 %")),
        Field(path="accounts.terms.valid_days", label=_("A quotation holds, days"), box=Box.WHOLE),
        Field(path="accounts.terms.freeze_days", label=_("No change from so many days before"), box=Box.WHOLE),
        Field(path="accounts.terms.balance_days", label=_("The balance is due so many days before"), box=Box.WHOLE),
        Field(
            path="accounts.terms.cancellation_days", label=_("Steps of a cancellation, days before"), box=Box.LINES,
            hint=_("one a line, such as 28"),
        ),
        Field(path="accounts.terms.lost_share", label=_("Share of lost earnings that is kept"), hint=_("such as 50 %")),
        Field(path="accounts.terms.lost_from_days", label=_("from so many days before"), box=Box.WHOLE),
        Field(path="accounts.terms.round_to", label=_("What is kept is rounded up to")),
        Field(path="accounts.terms.set_up", label=_("Who answers for it after the set-up"), box=Box.AREA),
        Field(path="accounts.terms.weather", label=_("Weather"), box=Box.AREA),
        Field(path="accounts.terms.illness", label=_("Illness of the maker"), box=Box.AREA),
        Field(path="accounts.terms.allergens", label=_("Allergens, beyond the statement"), box=Box.AREA),
    ),
)  # fmt: skip
YEAR = Part(
    key="year",
    title=_("Cap on a year's sales"),
    hint=_("Where the law of your place caps what a home kitchen may sell: every quotation is held against it."),
    prices=True,
    items=(
        Field(path="accounts.cap.amount", label=_("Amount in a calendar year"), hint=_("empty: no cap")),
        Field(path="accounts.cap.counts", label=_("What counts"), box=Box.CHOICE, choices=COUNTS),
        Field(path="accounts.cap.law", label=_("Which law says so")),
    ),
)
PARTS = {part.key: part for part in (PRICES, SHOPS, PANTRY, POLICY, TAX, TERMS, YEAR)}
