"""Forms for photographs: several files at once, and what is told about one."""

from typing import Any

from django import forms
from django.core.files import File

from projects.activities.photos import MOST_AT_ONCE
from projects.models import Photo

from .base import RowForm, StudioForm

ACCEPTED = "image/jpeg,image/png,image/webp,image/gif"
"""Named one by one: a phone that keeps its photographs as HEIC then hands them over as JPEG."""


class ManyFilesInput(forms.FileInput):
    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[File]:
        return list(files.getlist(name)) if hasattr(files, "getlist") else []


class ManyFilesField(forms.Field):
    """Uploaded files, at least one; what each of them is, the activity finds out."""

    widget = ManyFilesInput(attrs={"multiple": True, "accept": ACCEPTED})

    def clean(self, value: list[File]) -> list[File]:
        if not value:
            raise forms.ValidationError("No photograph was chosen. Choose one or more.", code="required")
        return value


class PhotosForm(StudioForm):
    """Photographs to add, all with one caption. ``stay``: go back to the page the form stood on."""

    photos = ManyFilesField(
        label="Photographs to add",
        help_text=f"Up to {MOST_AT_ONCE} at once. Where they were taken is removed from them.",
    )
    caption = forms.CharField(label="Caption", required=False, max_length=300)
    step = forms.CharField(widget=forms.HiddenInput, required=False, max_length=200)
    stay = forms.CharField(widget=forms.HiddenInput, required=False, max_length=1)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="photos_%s", **kwargs)


class PhotoForm(RowForm):
    """What is told about a photograph; only a project's may go to its client and on its job sheet."""

    class Meta:
        model = Photo
        fields = ["caption", "for_client", "on_sheet"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.project_id is None:
            del self.fields["for_client"], self.fields["on_sheet"]
