"""Settings of one installation. Every variable read from the environment is in DEVELOPERS.md."""

import os
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from .places import ROOT, data_dir, incoming_dir, secret_key

BASE_DIR = ROOT
DATA_DIR = data_dir()
SECRET_KEY = os.environ.get("FOLDWRIGHT_SECRET_KEY") or secret_key()
DEBUG = False
ALLOWED_HOSTS = [h for h in os.environ.get("FOLDWRIGHT_HOSTS", "localhost,127.0.0.1,[::1]").split(",") if h]
CSRF_TRUSTED_ORIGINS = [o for o in os.environ.get("FOLDWRIGHT_ORIGINS", "").split(",") if o]
BEHIND_TLS = os.environ.get("FOLDWRIGHT_TLS") == "1"

INSTALLED_APPS = [
    "projects",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "csp",
    "django_htmx",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "studio.headers.SecurityHeaders",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "projects.views.uploads.UploadLimit",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "projects.views.access.RequireSignIn",
    "projects.views.workroom.WorkroomMiddleware",
]

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "projects.views.workroom.page_context",
            ],
            "builtins": ["projects.templatetags.lengths", "projects.templatetags.pages"],
            "loaders": [
                ("django.template.loaders.cached.Loader", ["django.template.loaders.filesystem.Loader"])
            ],
        },
    }
]

SQLITE_OPTIONS = {
    "timeout": 20,
    # IMMEDIATE takes the write lock at BEGIN, so a transaction that read first can never fail to upgrade.
    "transaction_mode": "IMMEDIATE",
    # FULL: a power cut loses nothing that was acknowledged.
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-16000;"
    "PRAGMA journal_size_limit=27103364;",
}


def _database() -> dict[str, Any]:
    config = dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'studio.sqlite3'}", conn_max_age=600
    )
    if config["ENGINE"].endswith("sqlite3"):
        config["OPTIONS"] = {**SQLITE_OPTIONS, **config.get("OPTIONS", {})}
    return dict(config)


DATABASES = {"default": _database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "projects.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign_in"

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
# Only our own files: what installed apps bring along is not used, and packing it would slow the first start.
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
WHITENOISE_KEEP_ONLY_HASHED_FILES = True
# Prints read these from the disk; browsers are sent the woff2 beside them, which is packed already.
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = ["ttf", "woff2", "jpg", "jpeg", "png", "gz", "br"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
MEDIA_ROOT = DATA_DIR / "photographs"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "connect-src": [SELF],
        "font-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
        "manifest-src": [SELF],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = BEHIND_TLS
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
SESSION_COOKIE_SAMESITE = "Lax"
if BEHIND_TLS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
CSRF_FAILURE_VIEW = "projects.views.errors.csrf_failure"
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
# More than a post of photographs takes, so that the page itself can say which of them are too many.
DATA_UPLOAD_MAX_NUMBER_FILES = 100
# Bytes of a post where its page says nothing else. Files wait in the data folder: a system's own folder for
# such things may lie in memory.
LARGEST_POST = 60_000_000
FILE_UPLOAD_TEMP_DIR = incoming_dir()
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # What visitors mistype is no trouble of the studio's; 5xx still shows with where it came from.
    "loggers": {
        "django.request": {"level": "ERROR"},
        "django.security.DisallowedHost": {"handlers": [], "propagate": False},
    },
}
