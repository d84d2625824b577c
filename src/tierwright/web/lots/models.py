"""Photos of packets' labels; what the packets say stands in the kitchen's file."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from tierwright.web.models import Kitchen


class LabelPhoto(models.Model):
    """
    The photo of a packet's label, as it was sent.

    ``name`` is made from the content, so that the same picture is kept once and a name never means two pictures.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="label_photos")
    name = models.CharField(max_length=80)
    media_type = models.CharField(max_length=20)
    content = models.BinaryField()
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("kitchen", "name"), name="one_photo_a_name_and_kitchen"),)

    def __str__(self) -> str:
        return self.name
