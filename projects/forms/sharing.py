"""The form of a link by which a client sees the build page, and of what is said there."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from projects.activities.sharing import SHOWS
from projects.models import Photo, Project, ShareLink

from .base import StudioForm
from .project import likely

NEVER, DAYS, ON_DATE = "never", "days", "date"
LASTS = [
    (DAYS, "for 30 days"),
    (ON_DATE, "until the end of a date"),
    (NEVER, "until it is revoked"),
]
LATEST_YEAR = 2200


class ShareForm(StudioForm):
    """Whom a link is for, how long it works, what it shows. Days end in the studio's zone.

    With it the project's words to the client and the photographs chosen: ``offered`` names those that stood
    on the page, so that others stay as they are. Without ``revision`` none of this was asked for.
    """

    name = forms.CharField(
        label="Who it is for",
        max_length=120,
        help_text="For your own list; the page does not show it.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    lasts = forms.ChoiceField(label="It works", choices=LASTS, initial=DAYS)
    until = forms.DateField(
        label="Date, where you chose one",
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )

    promised = forms.DateField(
        label="Promised to the client for",
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )
    client_note = forms.CharField(
        label="Note to the client", required=False, max_length=5000, widget=forms.Textarea(attrs={"rows": 4})
    )
    offered = forms.CharField(required=False, max_length=400, widget=forms.HiddenInput)
    revision = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, project: Project, photos: list[Photo], preview: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.photos, self.preview = photos, preview
        for name in ("promised", "client_note", "revision"):
            self.initial.setdefault(name, getattr(project, name))
        self.initial.setdefault("offered", " ".join(str(photo.pk) for photo in photos))
        self.fields["name"].required = not (self.words_alone or preview)
        self.fields["lasts"].required = not preview  # how long a link works shows nowhere on the page
        for name in SHOWS:
            label = str(ShareLink._meta.get_field(name).verbose_name)
            words = label[:1].upper() + label[1:]
            self.fields[name] = forms.BooleanField(label=words, required=False, initial=True)

    @property
    def switches(self) -> list[forms.BoundField]:
        return [self[name] for name in SHOWS]

    @property
    def words_alone(self) -> bool:
        """Only what is said is to be saved; no link is wanted."""
        return self.is_bound and "words_alone" in self.data

    @property
    def pictures(self) -> list[tuple[Photo, bool]]:
        """The photographs offered, each with whether it is chosen, as typed where something was."""
        if not self.is_bound or not self.data.get("offered"):
            return [(photo, photo.for_client) for photo in self.photos]
        return [(photo, photo.pk in self.chosen) for photo in self.photos]

    @property
    def chosen(self) -> set[int]:
        """Ids of the photographs ticked. What is no id of a photograph offered is left out."""
        return _ids(self.data.getlist("photos")) & _ids(self.data.get("offered", "").split())

    @property
    def left_out(self) -> set[int]:
        """Ids of the photographs offered and not ticked."""
        return _ids(self.data.get("offered", "").split()) - self.chosen

    @property
    def says(self) -> dict[str, Any]:
        """What the project says to its client; empty where it was not asked for."""
        if self.cleaned_data["revision"] is None:
            return {}
        return {name: self.cleaned_data[name] for name in ("promised", "client_note")}

    def clean_promised(self) -> date | None:
        return likely(self.cleaned_data["promised"])

    def clean_until(self) -> date | None:
        until: date | None = self.cleaned_data["until"]
        if until and not self.preview and not timezone.localdate() <= until <= date(LATEST_YEAR, 12, 31):
            today = timezone.localdate().isoformat()
            raise ValidationError(f"{until.isoformat()} is not a day to come; choose {today} or later.")
        return until

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if self.preview:
            return data
        if data.get("lasts") == ON_DATE and not data.get("until") and "until" not in self.errors:
            self.add_error("until", "No date was given; choose the last day the link works.")
        return data

    @property
    def expires_at(self) -> datetime | None:
        """The moment it stops working; None: never by itself."""
        data = self.cleaned_data
        if data["lasts"] == NEVER:
            return None
        until = timezone.localdate() + timedelta(days=30) if data["lasts"] == DAYS else data["until"]
        return datetime.combine(until, time(23, 59, 59), timezone.get_current_timezone())

    @property
    def shows(self) -> dict[str, bool]:
        return {name: bool(self.cleaned_data[name]) for name in SHOWS}


def _ids(texts: list[str]) -> set[int]:
    return {int(text) for text in texts if text.isascii() and text.isdigit() and len(text) < 19}
