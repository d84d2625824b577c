"""The task queue as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Long work, and what became of it."""

    name = "tierwright.web.jobs"
    label = "jobs"
    verbose_name = "Tierwright's long work"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Look for work whose worker is gone whenever a worker starts: it may have taken that one's place."""
        from django_q.signals import post_spawn

        from tierwright.web.jobs.running import pick_up_lost

        post_spawn.connect(pick_up_lost, dispatch_uid="tierwright.jobs.pick_up_lost")
