"""Addresses of the look, below a commission's and below a client's link."""

from __future__ import annotations

from django.urls import path

from tierwright.web.look import views

urlpatterns = [
    path("", views.turned, name="turned"),
    path("scene.json", views.turned_scene, name="turned-scene"),
    path("picture.jpg", views.turned_picture, name="turned-picture"),
    path("make/", views.turned_make, name="turned-make"),
]
shared = [path("picture.jpg", views.shared_picture, name="shared-picture")]
