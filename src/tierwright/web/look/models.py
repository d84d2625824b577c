"""Pictures that have been made."""

from __future__ import annotations

from django.db import models

from tierwright.web.models import Commission


class LookPicture(models.Model):
    """
    A picture of a finished cake.

    ``mark`` stands for exactly what is seen in it: as long as nothing of that changes, later versions of the commission
    show the same picture. ``samples`` tells with how much care it was made.
    """

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="look_pictures")
    mark = models.CharField(max_length=64)
    jpeg = models.BinaryField()
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    samples = models.PositiveIntegerField()
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("-pk",)
        constraints = (models.UniqueConstraint(fields=("commission", "mark"), name="one_picture_a_look"),)

    def __str__(self) -> str:
        return f"picture of {self.commission_id}, {self.width} by {self.height}"
