"""Leaving the demo: everything invented goes, the studio becomes its owner's."""

import shutil
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import models, transaction
from django.utils import timezone

from projects.models import Person, Workroom

from .people import make_person


class NotDemo(Exception):
    """The studio is no demo (any more); nothing was cleared."""


@transaction.atomic
def start_own(*, name: str, username: str, shown_name: str, password: str) -> Person:
    """Clear the demo and make the new owner. Units, currency, time zone and paper stay as they were set.

    All or nothing; photographs go once the rows are gone for good. Raises ``NotDemo``.
    """
    workroom = Workroom.objects.select_for_update().get(pk=Workroom.load().pk)
    if not workroom.is_demo:
        raise NotDemo
    clear_all()
    owner = make_person(username=username, shown_name=shown_name, role=Person.OWNER, password=password)
    workroom.name, workroom.is_demo = name, False
    workroom.claim_hash, workroom.claimed_at = "", timezone.now()
    workroom.revision += 1
    workroom.full_clean()
    workroom.save()
    transaction.on_commit(clear_photographs)
    return owner


def clear_all() -> None:
    """Every row of the studio but its settings, children before parents, and all sign-ins."""
    for model in children_first():
        model._base_manager.all()._raw_delete(using="default")
    Session.objects.all().delete()


def children_first() -> list[type[models.Model]]:
    """The app's models but the settings (links between models too), each before what it points to."""
    models_here = apps.get_app_config("projects").get_models(include_auto_created=True)
    left = [model for model in models_here if model is not Workroom]
    ordered: list[type[models.Model]] = []
    while left:
        free = [m for m in left if not any(m in _targets(other) for other in left if other is not m)]
        if not free:
            raise RuntimeError(f"These models point at one another in a ring: {[m.__name__ for m in left]}")
        ordered += free
        left = [m for m in left if m not in free]
    return ordered


def _targets(model: type[models.Model]) -> set[type[models.Model]]:
    return {f.remote_field.model for f in model._meta.local_fields if f.remote_field}


def clear_photographs() -> None:
    """Remove what lies in the photographs' folder; the folder stays."""
    place = Path(settings.MEDIA_ROOT)
    for entry in place.iterdir() if place.is_dir() else ():
        shutil.rmtree(entry) if entry.is_dir() and not entry.is_symlink() else entry.unlink()
