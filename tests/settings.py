"""The studio's settings, for tests: a data folder of their own, quick passwords, static files unhashed."""

import os
import tempfile
from pathlib import Path

_DATA = tempfile.TemporaryDirectory(prefix="foldwright-tests-")
os.environ["FOLDWRIGHT_DATA"] = _DATA.name
# The browser's driver keeps an event loop in the tests' thread; the tests still talk to the database there.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

from studio.settings import *  # noqa: E402, F403
from studio.settings import DATABASES, STORAGES  # noqa: E402

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True
ALLOWED_HOSTS = ["*"]

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file, so that each of the live server's threads has a connection of its own.
    DATABASES["default"]["TEST"] = {"NAME": str(Path(_DATA.name) / "tests.sqlite3")}
    DATABASES["default"]["OPTIONS"]["init_command"] = "PRAGMA journal_mode=WAL; PRAGMA synchronous=OFF;"
