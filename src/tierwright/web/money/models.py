"""What the money room remembers. Four of its tables are only ever added to, and the database itself sees to that."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.db import models

from tierwright.web.models import ClientLink, Commission, Kitchen, Version

GUARDED = ("money_ledgerentry", "money_offer", "money_acceptance", "money_withdrawal")
"""Tables whose rows the database lets nobody change or delete; a migration that remakes one sets its guard anew."""


class Kept(models.Model):
    """A row that is written once."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a new row; an old one is never written again."""
        if not self._state.adding:
            raise ValueError("what has been entered is not changed; a further entry corrects it")
        super().save(*args, **kwargs)

    def delete(self, *_args: Any, **_kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise ValueError("what has been entered is not deleted; a further entry corrects it")


class LedgerEntry(Kept):
    """
    One entry of a kitchen's ledger: an ``Entry`` of the price room, with the paper that goes with it.

    Amounts are whole coins of the currency, so that the database adds them up exactly. ``clock`` is the moment as it
    was sealed, ``day`` its day on the kitchen's clock.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.PROTECT, related_name="ledger")
    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="ledger")
    number = models.PositiveIntegerField()
    clock = models.CharField(max_length=40)
    day = models.DateField()
    kind = models.CharField(max_length=12)
    whose = models.CharField(max_length=420)
    document = models.CharField(max_length=20)
    coins = models.BigIntegerField()
    tax_coins = models.BigIntegerField(default=0)
    currency = models.CharField(max_length=3)
    text = models.CharField(max_length=400)
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    seal = models.CharField(max_length=64)
    paper = models.JSONField(default=dict)
    made_by = models.CharField(max_length=150)

    class Meta:
        ordering = ("number",)
        indexes = (models.Index(fields=("kitchen", "day"), name="ledger_by_day"),)
        constraints = (
            models.UniqueConstraint(fields=("kitchen", "number"), name="one_entry_a_number"),
            models.UniqueConstraint(fields=("kitchen", "document"), name="one_paper_a_number"),
            models.CheckConstraint(
                condition=models.Q(kind="correction", corrects__isnull=False)
                | models.Q(kind__in=("invoice", "payment", "refund"), corrects__isnull=True, coins__gt=0),
                name="entry_is_sound",
            ),
        )

    def __str__(self) -> str:
        return self.document


class Offer(Kept):
    """
    One version of a quotation as the client was shown it: ``content`` is the quotation to the last word.

    ``number`` is the quotation's running number in the kitchen, ``turn`` its version.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.PROTECT, related_name="offers")
    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="offers")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="offers")
    number = models.CharField(max_length=20)
    turn = models.PositiveIntegerField()
    content = models.JSONField()
    mark = models.CharField(max_length=12)
    valid_until = models.DateField()
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.CharField(max_length=150)

    class Meta:
        ordering = ("-turn",)
        constraints = (
            models.UniqueConstraint(fields=("commission", "turn"), name="one_offer_a_turn"),
            models.UniqueConstraint(fields=("kitchen", "number", "turn"), name="one_offer_a_number_and_turn"),
        )

    def __str__(self) -> str:
        return f"{self.number}, {self.turn}"


class Acceptance(Kept):
    """Who accepted an offer, when, and the mark of its exact content. At most one an offer."""

    offer = models.OneToOneField(Offer, on_delete=models.PROTECT, related_name="acceptance")
    name = models.CharField(max_length=200)
    at = models.DateTimeField()
    clock = models.CharField(max_length=40)
    mark = models.CharField(max_length=12)
    link = models.ForeignKey(ClientLink, on_delete=models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return f"{self.offer_id} accepted by {self.name}"


class Withdrawal(Kept):
    """An offer that the maker has taken back before it was accepted."""

    offer = models.OneToOneField(Offer, on_delete=models.PROTECT, related_name="withdrawal")
    at = models.DateTimeField(auto_now_add=True)
    made_by = models.CharField(max_length=150)

    def __str__(self) -> str:
        return f"{self.offer_id} withdrawn"


class ShoppingList(models.Model):
    """
    A shopping list for some commissions, as it was worked out: ``content`` is the purchase plan.

    ``whose`` names the commissions and their versions; it stands as it was although they change.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="shopping")
    whose = models.JSONField()
    content = models.JSONField()
    from_day = models.DateField()
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    put_away_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-made_at", "-pk")

    def __str__(self) -> str:
        return ", ".join(one["title"] for one in self.whose)


class ShopEntry(models.Model):
    """One thing done in the shop. The phone makes the key, so that an entry sent twice arrives once."""

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    shopping = models.ForeignKey(ShoppingList, on_delete=models.CASCADE, related_name="entries")
    line = models.CharField(max_length=160)
    what = models.CharField(max_length=10)
    value = models.JSONField(default=dict)
    device = models.CharField(max_length=60)
    order = models.PositiveBigIntegerField()
    done_at = models.DateTimeField()
    arrived_at = models.DateTimeField(auto_now_add=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("done_at", "device", "order")
        constraints = (
            models.UniqueConstraint(fields=("shopping", "device", "order"), name="one_shop_entry_a_place_in_order"),
            models.UniqueConstraint(fields=("shopping", "line"), name="bought_once", condition=models.Q(what="bought")),
        )

    def __str__(self) -> str:
        return f"{self.line}: {self.what}"


class WorkedTime(models.Model):
    """What one task of one commission really took, beside what the book of norms had planned. [min]"""

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="worked")
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="worked")
    task = models.CharField(max_length=40)
    usual_min = models.FloatField()
    minutes = models.FloatField()
    changed_at = models.DateTimeField(auto_now=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("commission__handover_at", "commission", "task")
        constraints = (models.UniqueConstraint(fields=("commission", "task"), name="one_time_a_task"),)

    def __str__(self) -> str:
        return f"{self.task}: {self.minutes:g} min"
