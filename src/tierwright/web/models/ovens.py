"""What has been seen of a kitchen's ovens: kept as it was seen, so that it can be added to and taken back."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from tierwright.web.models.commissions import Commission
from tierwright.web.models.kitchens import Kitchen


class OvenEvidence(models.Model):
    """
    One bake, probe log or thermometer reading of one oven in one mode.

    ``evidence`` is the piece as the bake room keeps it; ``before`` is what the kitchen said of the oven when the first
    piece came, so that taking everything back leaves the oven as it was. A piece that was taken back stays on record.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="oven_evidence")
    commission = models.ForeignKey(Commission, on_delete=models.SET_NULL, null=True, related_name="+")
    oven = models.CharField(max_length=400)
    mode = models.CharField(max_length=20)
    key = models.CharField(max_length=200)
    evidence = models.JSONField()
    before = models.JSONField(default=dict)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.oven}: {self.key}"
