"""For all tests: a property is held by its law, never by how long one example takes on a busy machine."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.load_profile("house")
