"""What was done and seen at a handover. Entries are only ever added; what was wrong is put right by a further one."""

from __future__ import annotations

import uuid
from typing import Any, NoReturn

from django.conf import settings
from django.db import models

from tierwright.web.models import Commission


class AddOnly(models.QuerySet[Any]):
    """Rows that are written once: nothing changes or takes them away, one by one or many at a time."""

    def update(self, **_kwargs: Any) -> NoReturn:
        """Refuse: an entry is never changed."""
        raise ValueError("an entry of the set-up log is not changed; add another one")

    def bulk_update(self, *_args: Any, **_kwargs: Any) -> NoReturn:
        """Refuse: an entry is never changed."""
        raise ValueError("an entry of the set-up log is not changed; add another one")

    def delete(self) -> NoReturn:
        """Refuse: an entry goes only with its commission."""
        raise ValueError("an entry of the set-up log is not taken away; add another one")


class WrittenOnce(models.Model):
    """A row that is never written again."""

    objects = AddOnly.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a new row; an old one is never written again."""
        if not self._state.adding:
            raise ValueError("an entry of the set-up log is not changed; add another one")
        super().save(*args, **kwargs)

    def delete(self, *_args: Any, **_kwargs: Any) -> NoReturn:
        """Refuse: an entry goes only with its commission."""
        raise ValueError("an entry of the set-up log is not taken away; add another one")


class SetUpEntry(WrittenOnce):
    """
    One thing done, measured, seen or signed at a handover.

    The browser makes the key, so that an entry sent twice over a poor network arrives once; ``order`` counts per
    device. ``mark`` stands for the exact dossier of ``version``: what was handed over, to the last gram.
    """

    key = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="set_up_entries")
    version = models.PositiveIntegerField()
    mark = models.CharField(max_length=64)
    what = models.CharField(max_length=20)
    value = models.JSONField(default=dict)
    device = models.CharField(max_length=60)
    order = models.PositiveBigIntegerField()
    done_at = models.DateTimeField()
    arrived_at = models.DateTimeField(auto_now_add=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ("done_at", "device", "order")
        constraints = (
            models.UniqueConstraint(fields=("commission", "device", "order"), name="one_set_up_entry_a_place"),
        )

    def __str__(self) -> str:
        return f"{self.what} of {self.commission_id} at {self.done_at:%Y-%m-%d %H:%M}"


class Photograph(WrittenOnce):
    """A photograph of an entry, made anew from its pixels: nothing of the camera's own notes is in it."""

    entry = models.OneToOneField(SetUpEntry, on_delete=models.CASCADE, related_name="photograph")
    jpeg = models.BinaryField()
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"photograph of {self.entry_id}, {self.width} by {self.height}"
