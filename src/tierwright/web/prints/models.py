"""Sheets that have been printed."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from tierwright.web.models import Kitchen, Version


class Part(models.TextChoices):
    """What of a dossier is printed."""

    SHEETS = "sheets", _("All sheets to print")
    WORKING = "working", _("The working to print")


class PrintedSheets(models.Model):
    """
    The PDF of a version, as somebody with these rights reads it.

    A version never changes and its kitchen says on which paper it is printed, so the same file serves until another
    ``program`` might set it differently. The last few of a kitchen are kept; any other is printed anew.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="printed")
    part = models.CharField(max_length=10, choices=Part.choices)
    prices = models.BooleanField()
    health = models.BooleanField()
    program = models.CharField(max_length=40)
    pdf = models.BinaryField()
    size = models.PositiveIntegerField()
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("-made_at", "-pk")
        constraints = (
            models.UniqueConstraint(fields=("version", "part", "prices", "health"), name="one_print_a_reader"),
        )

    def __str__(self) -> str:
        return f"{self.part} of {self.version_id}, {self.size} bytes"


class PrintedPaper(models.Model):
    """
    The PDF of a paper that no version holds, such as a week's day sheets or an invoice.

    ``mark`` stands for everything that is printed on it: what reads alike is the same paper, and whatever changes makes
    another. The last few of a kitchen are kept; any other is printed anew.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="papers")
    mark = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    pdf = models.BinaryField()
    size = models.PositiveIntegerField()
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("-made_at", "-pk")
        constraints = (models.UniqueConstraint(fields=("kitchen", "mark"), name="one_paper_a_mark"),)

    def __str__(self) -> str:
        return f"{self.name}, {self.size} bytes"
