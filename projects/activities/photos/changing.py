"""Telling about a photograph, deleting it, and clearing away what can't be brought back any more."""

import contextlib
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from projects.activities import deleting, revising
from projects.models import Deletion, Person, Photo

from . import files

UNFINISHED_FOR = timedelta(days=1)
GRACE = timedelta(days=1)
"""Files stay a day longer than a deletion can be undone, so that an undo in the last minute works."""


def change_photo(photo: Photo, *, revision: int, changes: dict[str, Any]) -> Photo:
    """Raises Stale when somebody saved first, ValidationError for what can't be kept."""
    return revising.save_changes(photo, revision=revision, changes=changes)


@transaction.atomic
def delete_photo(photo: Photo, *, person: Person) -> Deletion:
    """Hide a photograph. Its files stay for as long as it can be brought back."""
    named = f"the photograph “{photo.caption}”" if photo.caption else f"photograph {photo.pk}"
    return deleting.delete([photo], what=f"{named} of {owner_name(photo)}", person=person)


def owner_name(photo: Photo) -> str:
    """What a photograph is of, in words."""
    for row in (photo.project, photo.sample, photo.fabric, photo.notion):
        if row is not None:
            return str(row)
    raise ValueError(f"photograph {photo.pk} is of nothing")


def clear_old(now: datetime) -> int:
    """Remove rows and files of photographs deleted too long ago to be brought back; how many there were.

    Files that a computer which stopped left half written go as well.
    """
    old = Photo.objects.filter(deleted_at__lt=now - deleting.KEPT_FOR - GRACE)
    keys = list(old.values_list("key", flat=True))
    # Rows first: a file without a row does no harm, a row without its file would.
    Photo.objects.filter(key__in=keys).delete()
    for key in keys:
        files.remove(key)
    _clear_unfinished(now)
    return len(keys)


def _clear_unfinished(now: datetime) -> None:
    for path in files.unfinished():
        # Another process may finish or clear it at this very moment.
        with contextlib.suppress(FileNotFoundError):
            if datetime.fromtimestamp(path.stat().st_mtime, now.tzinfo) < now - UNFINISHED_FOR:
                path.unlink()
