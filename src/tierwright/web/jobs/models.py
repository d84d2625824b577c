"""What long work is asked for, how far it is, and what came of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from tierwright.web.models import Kitchen


class State(models.TextChoices):
    """Where a piece of work stands."""

    WAITING = "waiting", _("waiting its turn")
    RUNNING = "running", _("under way")
    DONE = "done", _("done")
    STOPPED = "stopped", _("stopped as asked")
    FAILED = "failed", _("could not be done")


ENDED = (State.DONE, State.STOPPED, State.FAILED)


class Job(models.Model):
    """
    A piece of long work of one kitchen.

    ``key`` names what is asked (a digest of the input): asking twice for the same is asking once. ``asked``,
    ``progress`` and ``result`` are plain JSON of the kind's own; ``worker`` is who has it, ``tries`` how often it was
    taken up.
    """

    kitchen = models.ForeignKey(Kitchen, on_delete=models.CASCADE, related_name="jobs")
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=80)
    asked = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    progress = models.JSONField(default=dict)
    asked_to_stop = models.BooleanField(default=False)
    result = models.JSONField(null=True)
    error = models.TextField(blank=True)
    worker = models.CharField(max_length=300, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("-pk",)
        constraints = (models.UniqueConstraint(fields=("kitchen", "kind", "key"), name="one_job_a_question"),)
        indexes = (models.Index(fields=("state",), name="job_by_state"),)

    def __str__(self) -> str:
        return f"{self.kind} of {self.kitchen_id}: {self.state}"

    @property
    def ended(self) -> bool:
        """Whether nothing more will come of it unless it is begun again."""
        return self.state in ENDED
