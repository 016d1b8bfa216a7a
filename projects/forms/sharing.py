"""The form of a link by which a client sees the build page."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from projects.activities.sharing import SHOWS
from projects.models import ShareLink

from .base import StudioForm

NEVER, DAYS, ON_DATE = "never", "days", "date"
LASTS = [
    (DAYS, "for 30 days"),
    (ON_DATE, "until the end of a date"),
    (NEVER, "until it is revoked"),
]
LATEST_YEAR = 2200


class ShareForm(StudioForm):
    """Whom a link is for, how long it works, what it shows. Days end in the studio's zone."""

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

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in SHOWS:
            label = str(ShareLink._meta.get_field(name).verbose_name)
            words = label[:1].upper() + label[1:]
            self.fields[name] = forms.BooleanField(label=words, required=False, initial=True)

    @property
    def switches(self) -> list[forms.BoundField]:
        return [self[name] for name in SHOWS]

    def clean_until(self) -> date | None:
        until: date | None = self.cleaned_data["until"]
        if until and not timezone.localdate() <= until <= date(LATEST_YEAR, 12, 31):
            today = timezone.localdate().isoformat()
            raise ValidationError(f"{until.isoformat()} is not a day to come; choose {today} or later.")
        return until

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
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
