"""Django's settings: SQLite on this machine without a word of configuration, more by environment variables.

``TIERWRIGHT_HOME``   folder of the database and the secret
``TIERWRIGHT_HOSTS``  names under which the pages are reached, with commas; any but this machine's own ask
                      for sign-in
``TIERWRIGHT_HTTPS``  yes where a proxy in front speaks HTTPS: secure cookies, redirect, HSTS
``TIERWRIGHT_DEBUG``  yes for Django's error pages
``TIERWRIGHT_SECRET`` the signing secret, where it does not come from the data folder
``DATABASE_URL``      postgresql://... instead of SQLite
``TIERWRIGHT_WORKERS`` processes for long work: beside the pages, or of one ``tierwright work``; 0 leaves it to others
``TIERWRIGHT_TRYING`` processes in which ``tierwright serve`` tries changes out; 0 has the pages' own do it
"""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path

from csp.constants import NONE, SELF
from django.utils.translation import gettext_lazy as _

from tierwright.web import env

WEB = Path(__file__).parent
HOME = env.home()

DEBUG = env.flag("TIERWRIGHT_DEBUG")
SECRET_KEY = env.secret(HOME)
HTTPS = env.flag("TIERWRIGHT_HTTPS")
ALLOWED_HOSTS = list(env.names("TIERWRIGHT_HOSTS", ("localhost", "127.0.0.1", "[::1]")))
LOOPBACK_ONLY = all(env.is_loopback(host) for host in ALLOWED_HOSTS)
"""Whether the pages are meant for this machine alone; only then may they go without sign-in."""

ROOT_URLCONF = "tierwright.web.urls"
WSGI_APPLICATION = "tierwright.web.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "django_q",
    "axes",
    "csp",
    "tierwright.web",
    "tierwright.web.money",
    "tierwright.web.lots",
    "tierwright.web.jobs",
    "tierwright.web.plans",
    "tierwright.web.handover",
    "tierwright.web.look",
    "tierwright.web.prints",
]
MIDDLEWARE = [
    "tierwright.web.lighter.LighterMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "tierwright.web.keepsafe.private.PrivateMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "tierwright.web.people.local.LocalMakerMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "tierwright.web.keepsafe.disk.DiskMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        # A sheet of work keeps its template in its own folder: work/tiers/sheet.html.
        "DIRS": [WEB / "templates", WEB],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["django.templatetags.i18n", "tierwright.web.templatetags.board"],
        },
    },
]

DATABASES = {"default": env.database(env.text("DATABASE_URL", ""), HOME)}

WORKERS = env.whole("TIERWRIGHT_WORKERS", 1, 0, 16)
TRYING = env.whole("TIERWRIGHT_TRYING", 1 if (os.cpu_count() or 1) > 1 else 0, 0, 16)
LONGEST_WORK_S = 900
# Long work waits in the same database. A task is struck off when it has ended well, so what a lost worker had comes
# again; a worker is replaced after some tasks, or when it has grown large, so that the memory of a search goes back.
Q_CLUSTER = {
    "name": "tierwright",
    "orm": "default",
    "workers": max(1, WORKERS),
    "queue_limit": max(1, WORKERS),
    "poll": 0.5,
    "timeout": LONGEST_WORK_S,
    "retry": LONGEST_WORK_S + 60,
    "max_attempts": 3,
    "ack_failures": False,
    "catch_up": False,
    "recycle": 20,
    "max_rss": 600_000,
    "save_limit": -1,
}

AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "tierwright.web.people.passwords.LongestPassword"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_CALLABLE = "tierwright.web.people.views.locked_out"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False

SESSION_COOKIE_AGE = int(timedelta(days=14).total_seconds())
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_NAME = "tierwright_session"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_NAME = "tierwright_csrf"
CSRF_FAILURE_VIEW = "tierwright.web.people.refusals.form_refused"
if HTTPS:
    # RFC 6265bis, section 4.1.3.2: a browser takes a cookie of this name over HTTPS alone and for this host alone.
    SESSION_COOKIE_NAME = f"__Host-{SESSION_COOKIE_NAME}"
    CSRF_COOKIE_NAME = f"__Host-{CSRF_COOKIE_NAME}"
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = int(timedelta(days=365).total_seconds())
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS if host != "*"]
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "font-src": [SELF],
        "img-src": [SELF, "data:"],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    },
}

# A saved recipe page is the largest thing that anybody sends.
DATA_UPLOAD_MAX_MEMORY_SIZE = 4_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 4_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000

STATIC_URL = "/static/"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
# Nothing is collected or built: files are served from where they lie, under a name that carries their content's hash.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
WHITENOISE_MAX_AGE = int(timedelta(days=30).total_seconds())

USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = True
LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English")), ("en-gb", _("British English")), ("es", _("Spanish"))]
LOCALE_PATHS = [WEB / "locale"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"discreet": {"()": "tierwright.web.keepsafe.discreet.DiscreetFormatter"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "discreet"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
