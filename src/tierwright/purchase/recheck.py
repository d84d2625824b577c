"""Another brand in the shop, or another ingredient: what does it do to the promises that were made?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tierwright.larder import Allergen
from tierwright.purchase.model import AllergenStatus, Item, Offer, Use


@dataclass(frozen=True, slots=True, kw_only=True)
class Recheck:
    """
    What a substitute means for one commission.

    Attributes
    ----------
    commission
        Which.
    fit
        False where it holds, or may hold, what the commission has to be kept clear of.
    brings
        Allergens that it adds to the cake and that the label of the cake has to name from now on.
    unread
        Allergens to be avoided on which nothing is known of this packet.
    drops
        Allergens that the old one held and the new one does not, for certain.
    text
        The finding in one sentence.
    """

    commission: str
    fit: bool
    brings: tuple[Allergen, ...]
    unread: tuple[Allergen, ...]
    drops: tuple[Allergen, ...]
    text: str


def recheck(old: Item, new: Item, pack: Offer, uses: Iterable[Use]) -> tuple[Recheck, ...]:
    """
    Check a substitute for the allergens of every commission that would get it.

    Parameters
    ----------
    old, new
        What was planned, and what would be bought instead (the same item for another brand of it).
    pack
        The very packet: what its label says, and whether anybody has read it.
    uses
        Uses of the old item.

    Returns
    -------
    findings
        One for each commission. A packet that nobody has read is never found fit for a commission that must be kept
        clear of anything common in foods of its kind.
    """
    there = {*new.contains, *pack.contains, *pack.may_contain}
    read = pack.status is AllergenStatus.READ
    brings = tuple(sorted({*new.contains, *pack.contains, *pack.may_contain} - set(old.contains)))
    drops = tuple(sorted(set(old.contains) - there)) if read else ()
    avoided: dict[str, set[Allergen]] = {}
    for use in uses:
        if use.item == old.key:
            avoided.setdefault(use.commission, set()).update(use.avoid)
    findings: list[Recheck] = []
    for commission, avoid in sorted(avoided.items()):
        clash = sorted(there & avoid)
        unread = () if read else tuple(sorted(avoid & {*new.ask_about, *old.ask_about} - there))
        if clash:
            text = f"Not for {commission}: {pack.name} holds, or may hold, {', '.join(clash)}."
        elif unread:
            text = f"Not for {commission} until its label is read: {', '.join(unread)} is unknown."
        elif brings:
            text = f"Can be used for {commission}; its label must now name {', '.join(brings)}."
        else:
            text = f"Can be used for {commission}; no other allergen comes with it."
        findings.append(
            Recheck(
                commission=commission,
                fit=not clash and not unread,
                brings=brings,
                unread=unread,
                drops=drops,
                text=text,
            )
        )
    return tuple(findings)
