"""Addresses of the bench, below a commission's."""

from __future__ import annotations

from django.urls import path

from tierwright.web.bench import views

urlpatterns = [
    path("", views.bench, name="bench"),
    path("state/", views.bench_state, name="bench-state"),
    path("entries/", views.bench_entries, name="bench-entries"),
    path("<slug:sheet>/", views.bench_sheet, name="bench-sheet"),
]
