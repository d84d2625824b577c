"""Addresses of the maker's side, below a commission's."""

from __future__ import annotations

from django.urls import path

from tierwright.web.shared import views

urlpatterns = [
    path("", views.desk, name="shared-desk"),
    path("ask/", views.ask, name="shared-ask"),
    path("questions/<int:question>/", views.unask, name="shared-unask"),
    path("links/<int:link>/withdraw/", views.withdraw, name="shared-withdraw"),
]
