"""Addresses of long work."""

from __future__ import annotations

from django.urls import path

from tierwright.web.jobs.views import job, stop_job

urlpatterns = [
    path("<int:job>/", job, name="job"),
    path("<int:job>/stop/", stop_job, name="job-stop"),
]
