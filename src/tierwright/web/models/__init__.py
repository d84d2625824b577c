"""What the web room remembers."""

from tierwright.web.models.asked import ClientQuestion
from tierwright.web.models.commissions import Commission, Draft, Version
from tierwright.web.models.kitchens import BookFormula, Client, Kitchen, Membership, Role
from tierwright.web.models.ovens import OvenEvidence
from tierwright.web.models.records import ApiToken, Audit, BenchEntry, ClientLink

__all__ = [
    "ApiToken",
    "Audit",
    "BenchEntry",
    "BookFormula",
    "Client",
    "ClientLink",
    "ClientQuestion",
    "Commission",
    "Draft",
    "Kitchen",
    "Membership",
    "OvenEvidence",
    "Role",
    "Version",
]
