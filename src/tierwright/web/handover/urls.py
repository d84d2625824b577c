"""Addresses of the set-up log, below a commission's bench: the bench's worker keeps them at hand too."""

from __future__ import annotations

from django.urls import path

from tierwright.web.handover import views

urlpatterns = [
    path("", views.set_up, name="set-up"),
    path("state/", views.set_up_state, name="set-up-state"),
    path("entries/", views.set_up_entries, name="set-up-entries"),
    path("record.pdf", views.set_up_pdf, name="set-up-record"),
    path("photograph/<uuid:entry>/", views.set_up_photograph, name="set-up-photograph"),
]
papers = [
    path("handover/venue.pdf", views.venue_papers, name="venue-papers"),
    path("handover/going-along.pdf", views.going_along, name="going-along"),
    path("handover/dates.ics", views.dates, name="dates"),
]
