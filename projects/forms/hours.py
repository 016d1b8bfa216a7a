"""Forms for hours."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone

from projects.calc import labour
from projects.models import LabourLog, Person, Project, Workroom

from .base import StudioForm

OPEN_STATES = ("in_hand", "waiting", "asked")


def projects_to_log(also: Project | None = None) -> Any:
    """Projects that time is usually logged on, and the one a log already has."""
    found = Project.objects.live().filter(state__in=OPEN_STATES).order_by("state", "due", "pk")
    return found | Project.objects.filter(pk=also.pk).order_by("state", "due", "pk") if also else found


class MinutesField(forms.CharField):
    """Time as people write it: 40 min, 1h20, 1:20, 1.5 h, 90."""

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return labour.parse_minutes(text)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error


class LogForm(StudioForm):
    """Hours by hand, or the change of a log."""

    project = forms.ModelChoiceField(
        queryset=Project.objects.none(), required=False, empty_label="No project"
    )
    stage = forms.ChoiceField(required=False, choices=[("", "Not said"), *labour.STAGES])
    date = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    minutes = MinutesField(label="Time", max_length=40, help_text="40 min, 1h20 or 1:20")
    person = forms.ModelChoiceField(queryset=Person.objects.none(), required=False, empty_label=None)
    note = forms.CharField(required=False, max_length=300)
    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, workroom: Workroom, person: Person, log: LabourLog | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, workroom=workroom, **kwargs)
        self.fields["project"].queryset = projects_to_log(log.project if log else None)
        self.whose = log.person if log else person
        if person.is_owner:
            self._offer_people(log.worker if log else "")
        else:
            del self.fields["person"]

    def _offer_people(self, worker: str) -> None:
        """Everybody here. Hours of somebody switched off since stay theirs when the log is changed, and those
        that came with a file stay under the name they came with until they are given to a person."""
        pk = self.whose.pk if self.whose else None
        known = Person.objects.filter(Q(is_active=True) | Q(pk=pk))
        self.fields["person"].queryset = known.order_by("shown_name")
        if worker:
            self.fields["person"].empty_label = f"{worker}, as the file says"
        self.initial.setdefault("person", pk)

    def clean_person(self) -> Person | None:
        """Nobody named: the log stays whose it is, and a new one is one's own."""
        return self.cleaned_data["person"] or self.whose

    def clean_date(self) -> datetime.date:
        on = self.cleaned_data["date"]
        today = timezone.localdate()
        if on > today + datetime.timedelta(days=1):
            raise ValidationError(f"{on:%d %b %Y} has not come yet; give the day the work was done.")
        if on.year < 2000:
            raise ValidationError(f"{on:%d %b %Y} is too long ago; give a day from 2000 on.")
        return on


class StartForm(StudioForm):
    """Start the timer on a project and stage, both as far as known."""

    project = forms.ModelChoiceField(
        queryset=Project.objects.none(), required=False, empty_label="No project"
    )
    stage = forms.ChoiceField(required=False, choices=[("", "Not said"), *labour.STAGES])

    def __init__(self, *args: Any, workroom: Workroom, **kwargs: Any) -> None:
        super().__init__(*args, workroom=workroom, **kwargs)
        self.fields["project"].queryset = projects_to_log()
