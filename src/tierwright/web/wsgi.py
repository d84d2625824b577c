"""The WSGI application, for any server that speaks it."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

from tierwright.web import env

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tierwright.web.settings")
# Several processes must sign with one secret, so it is on the disk before any of them reads it.
env.keep_secret(env.home())
application = get_wsgi_application()
