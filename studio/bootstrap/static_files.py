"""Collects static files into the data folder, only when they have changed."""

import hashlib
from pathlib import Path

from studio.places import ROOT, data_dir


def fingerprint() -> str:
    """A hash over everything in ``static`` and the pinned programs that bring files of their own."""
    digest = hashlib.sha256((ROOT / "requirements.txt").read_bytes())
    for path in sorted((ROOT / "static").rglob("*")):
        if path.is_file():
            digest.update(str(path.relative_to(ROOT)).encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def stamp() -> Path:
    return data_dir() / "static.collected"


def collect() -> bool:
    """Whether anything had to be collected."""
    from django.conf import settings
    from django.core.management import call_command

    now = fingerprint()
    manifest = Path(settings.STATIC_ROOT) / "staticfiles.json"
    if manifest.exists() and stamp().exists() and stamp().read_text(encoding="ascii") == now:
        return False
    call_command("collectstatic", interactive=False, verbosity=0)
    stamp().write_text(now, encoding="ascii")
    return True
