"""Addresses of the book of packets, below the books'."""

from __future__ import annotations

from django.urls import path

from tierwright.web.lots import changed, views

urlpatterns = [
    path("", views.packets, name="book-packets"),
    path("changed/", changed.changed, name="book-changed"),
    path("photos/<str:picture>", views.photo, name="book-packet-photo"),
    path("<int:packet>/", views.packet, name="book-packet"),
]
