"""The strip of photographs on the page of what they show."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse

from projects.activities.photos import kind_of, photos_of
from projects.forms.photo import PhotosForm
from projects.models import Fabric, Notion, Photo, Project, Sample

SHOWN = 8


@dataclass(frozen=True, slots=True)
class Strip:
    """The newest photographs of a row, how many more there are, and where all of them are."""

    photos: list[Photo]
    count: int
    address: str
    form: PhotosForm


def address_of(row: Project | Sample | Fabric | Notion) -> str:
    """The page of all photographs of a row."""
    if isinstance(row, Project):
        return reverse("project_photos", args=[row.pk])
    return reverse("photos_of", args=[kind_of(row), row.pk])


def strip_of(row: Project | Sample | Fabric | Notion, request: HttpRequest) -> Strip:
    """What ``photos/_strip.html`` shows, in two queries."""
    photos = photos_of(row)
    form = PhotosForm(workroom=request.workroom, initial={"stay": "1"})
    return Strip(list(photos[:SHOWN]), photos.count(), address_of(row), form)
