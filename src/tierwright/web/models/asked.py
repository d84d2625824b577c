"""What the maker has put to a client, and what the client has answered."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from tierwright.web.models.commissions import Commission
from tierwright.web.models.records import ClientLink


class ClientQuestion(models.Model):
    """
    A question put to the client of a commission, in the maker's words.

    ``key`` is the open question of the dossier that it stands for, or empty; ``seen_at`` is when the maker read the
    answer.
    """

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="client_questions")
    key = models.CharField(max_length=400, blank=True)
    text = models.CharField(max_length=1000)
    asked_at = models.DateTimeField(auto_now_add=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    answer = models.TextField(blank=True, max_length=2000)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(ClientLink, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.text
