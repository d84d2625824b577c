"""What has to be bought, where, in which packs, and by when?"""

from tierwright.purchase.model import (
    AllergenStatus,
    Allocation,
    Book,
    BuyingRule,
    FromStock,
    Item,
    Lot,
    Offer,
    Policy,
    PurchaseLine,
    PurchasePlan,
    Shop,
    Split,
    SplitDone,
    Unit,
    Unmet,
    Use,
)
from tierwright.purchase.plan import plan_purchase
from tierwright.purchase.receiving import Receipt, receive
from tierwright.purchase.recheck import Recheck, recheck
from tierwright.purchase.tables import buying_rule, splits
from tierwright.purchase.writing import list_csv, list_xlsx

__all__ = [
    "AllergenStatus",
    "Allocation",
    "Book",
    "BuyingRule",
    "FromStock",
    "Item",
    "Lot",
    "Offer",
    "Policy",
    "PurchaseLine",
    "PurchasePlan",
    "Receipt",
    "Recheck",
    "Shop",
    "Split",
    "SplitDone",
    "Unit",
    "Unmet",
    "Use",
    "buying_rule",
    "list_csv",
    "list_xlsx",
    "plan_purchase",
    "receive",
    "recheck",
    "splits",
]
