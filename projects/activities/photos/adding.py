"""Keeping photographs: what is good of a post is kept, the rest is refused one by one with a reason."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.core.files import File
from django.db import transaction
from PIL import Image

from projects.models import Fabric, Notion, Person, Photo, Project, Sample, Step

from . import files, intake
from .header import Refused

MOST_AT_ONCE = 20


@dataclass(frozen=True, slots=True)
class Added:
    """What was kept, and the name of each file that was not with the reason."""

    photos: list[Photo] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


def add_photos(
    *,
    files: Iterable[File],
    person: Person,
    project: Project | None = None,
    step: Step | None = None,
    sample: Sample | None = None,
    fabric: Fabric | None = None,
    notion: Notion | None = None,
    caption: str = "",
) -> Added:
    """Take in uploaded files as photographs of one row, each by itself: a bad one spoils no other.

    A photograph of a step is one of its project too. Raises ValidationError for a caption that can't be
    kept; then nothing is.
    """
    values = _values(project, step, sample, fabric, notion, caption=caption, added_by=person)
    added = Added()
    for number, file in enumerate(files):
        try:
            if number >= MOST_AT_ONCE:
                raise Refused(f"At most {MOST_AT_ONCE} are taken at once. Send this one after the others.")
            added.photos.append(_keep(intake.prepare(file), values))
        except Refused as refused:
            added.refused.append((file.name or "A file without a name", str(refused)))
    return added


def add_drawn(
    image: Image.Image,
    *,
    person: Person,
    caption: str,
    project: Project | None = None,
    step: Step | None = None,
    sample: Sample | None = None,
    fabric: Fabric | None = None,
    notion: Notion | None = None,
    for_client: bool = False,
    on_sheet: bool = False,
) -> Photo:
    """Keep a picture that was made in memory. Raises ``Refused`` where the disk won't take it."""
    values = _values(project, step, sample, fabric, notion, caption=caption, added_by=person)
    values |= {"for_client": for_client, "on_sheet": on_sheet}
    return _keep(intake.prepare_drawn(image), values)


def _values(
    project: Project | None,
    step: Step | None,
    sample: Sample | None,
    fabric: Fabric | None,
    notion: Notion | None,
    **others: Any,
) -> dict[str, Any]:
    """The row's values but those of its picture, checked before a picture is unpacked."""
    if step is not None:
        project = step.project
    of = {"project": project, "step": step, "sample": sample, "fabric": fabric, "notion": notion}
    values = {**of, **others}
    tried = Photo(key="0" * 32, width=1, height=1, size=1, **values)
    try:
        tried.full_clean()
    except ValidationError as error:
        if "caption" in error.message_dict:
            raise ValidationError({"caption": error.message_dict["caption"]}) from error
        raise
    return values


def _keep(prepared: intake.Prepared, values: dict[str, Any]) -> Photo:
    """Row and files, or neither. Only renaming the files happens while the row is being saved."""
    key = uuid.uuid4().hex
    size = sum(map(len, prepared.contents.values()))
    try:
        files.write_unfinished(key, prepared.contents)
        with transaction.atomic():
            _check_there(values)
            photo = Photo(key=key, width=prepared.width, height=prepared.height, size=size, **values)
            photo.save(force_insert=True)
            files.finish(key)
    except OSError as error:
        files.remove(key)
        why = error.strerror or "it can't be written to"
        raise Refused(f"The studio's disk would not take it: {why}. Make room and send it again.") from error
    except BaseException:
        files.remove(key)
        raise
    return photo


def _check_there(values: dict[str, Any]) -> None:
    """Somebody may have deleted what the photograph is of while it was on its way."""
    for name in ("project", "sample", "fabric", "notion"):
        row = values[name]
        if row and not type(row).objects.live().select_for_update().filter(pk=row.pk).first():
            raise Refused("What it shows was deleted meanwhile. Bring that back, then send this again.")
