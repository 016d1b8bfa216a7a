"""Forms for hours."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils import timezone

from projects.activities import timing
from projects.calc import labour
from projects.calc.clock import Span, parse_span
from projects.calc.minutes import TimeError
from projects.models import LabourLog, Person, Project, Workroom
from projects.planning.moments import moments
from projects.planning.stages import stage_choices

from .base import StudioForm

SPENT = "40 min, 1h20, 1:20 or 1.5 h, or from when to when: 9:10-10:25"
ALONE = "A number alone is minutes (90), with a part hours (1.5)."
OPEN_STATES = ("in_hand", "waiting", "asked")


def projects_to_log(also: Project | None = None) -> Any:
    """Projects that time is usually logged on, and the one a log already has."""
    found = Project.objects.live().filter(state__in=OPEN_STATES).order_by("state", "due", "pk")
    return found | Project.objects.filter(pk=also.pk).order_by("state", "due", "pk") if also else found


OTHER_STEP = "That is no step of the project chosen now. Choose one of its steps, or “Not said”."


class MinutesField(forms.CharField):
    """Time as people write it: 40 min, 1h20, 1:20, 1.5 h, 90 (minutes), 1.5 (hours)."""

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return labour.parse_minutes(text)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error


class TimeSpentField(forms.CharField):
    """Time as people write it: as ``MinutesField``, or from when to when: 9:10-10:25.

    Cleans to whole minutes or to a ``Span``; which day the span is on the form knows.
    """

    def clean(self, value: Any) -> int | Span | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_span(text) or labour.parse_minutes(text, examples=SPENT)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error


class LogForm(StudioForm):
    """Hours by hand, or the change of a log, which asks for a reason.

    ``cleaned_data`` holds ``minutes``, and ``started_at`` and ``ended_at`` (UTC) where times of day were
    typed; a time left as it stood keeps its seconds. ``steps`` are those of the project that is chosen now;
    ``steps_of`` is the row of the project whose steps were offered, since keys of two projects may be alike.
    """

    project = forms.ModelChoiceField(
        queryset=Project.objects.none(), required=False, empty_label="No project"
    )
    stage = forms.ChoiceField(required=False)
    step = forms.ChoiceField(
        required=False,
        help_text="Its hours teach how long such a step takes. Its stage holds unless you choose one.",
        error_messages={"invalid_choice": OTHER_STEP},
    )
    steps_of = forms.IntegerField(
        widget=forms.HiddenInput, required=False, min_value=0, max_value=2**63 - 1
    )
    date = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    minutes = TimeSpentField(
        label="Time",
        max_length=60,
        help_text=(
            f"40 min, 1h20, or from when to when: 9:10-10:25. {ALONE} Over midnight: on the day it began."
        ),
    )
    rework = forms.BooleanField(label="Done again: it had been done before", required=False)
    person = forms.ModelChoiceField(queryset=Person.objects.none(), required=False, empty_label=None)
    note = forms.CharField(required=False, max_length=300)
    reason = forms.CharField(
        label="Why it is changed", max_length=300, help_text="Kept with what stood there before."
    )
    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        *args: Any,
        workroom: Workroom,
        person: Person,
        log: LabourLog | None = None,
        steps: list[tuple[str, str]] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, workroom=workroom, **kwargs)
        if steps or (self.is_bound and self.data.get("step")):
            self.fields["step"].choices = [("", "Not said"), *(steps or [])]
        else:
            del self.fields["step"]
        self.log = log
        self.fields["stage"].choices = stage_choices(log.stage if log else "")
        self.fields["project"].queryset = projects_to_log(log.project if log else None)
        if log is None:
            del self.fields["reason"]
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
            raise ValidationError(f"{on.day} {on:%B %Y} has not come yet; give the day the work was done.")
        if on.year < 2000:
            raise ValidationError(f"{on.day} {on:%B %Y} is too long ago; give a day from 2000 on.")
        return on

    def clean_step(self) -> str:
        """Never dropped in silence: chosen among the steps of another project, it has to be chosen anew."""
        chosen, project = self.cleaned_data["step"], self.cleaned_data.get("project")
        if chosen and self._steps_were_of() != getattr(project, "pk", None):
            raise ValidationError(OTHER_STEP, code="invalid_choice")
        return chosen

    def _steps_were_of(self) -> int | None:
        """The project whose steps were offered; what the page was opened with where it doesn't say."""
        typed = self.data.get("steps_of", "")
        return int(typed) if typed.isascii() and typed.isdecimal() else self.initial.get("project")

    def ask_step_again(self) -> None:
        """After a refusal the steps offered are those of the project chosen now, and none is chosen."""
        project = self.cleaned_data.get("project")
        again = {"steps_of": str(project.pk) if project else ""}
        if "step" in self.errors:
            again["step"] = ""
        self.data = {**self.data.dict(), **again}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("stage") and "stage" in self.changed_data and "step" not in self.changed_data:
            # The step only came with the page; the stage was chosen by hand.
            data["step"] = ""
        if "minutes" in data and "date" in data:
            try:
                data.update(self._times(data["minutes"], data["date"]))
            except TimeError as error:
                self.add_error("minutes", str(error))
        return data

    def _times(self, given: int | Span, on: datetime.date) -> dict[str, Any]:
        """Minutes, start and end. What stood there stays to the second while it and its day are left."""
        log = self.log
        if log is not None and not {"minutes", "date"} & set(self.changed_data):
            return {"minutes": log.minutes, "started_at": log.started_at, "ended_at": log.ended_at}
        if isinstance(given, int):
            return {"minutes": given, "started_at": None, "ended_at": None}
        began, ended = moments(given, on, self.workroom.zone)
        if ended > timezone.now() + datetime.timedelta(minutes=1):
            raise TimeError(
                f"{given.end} has not come yet.", given=str(given.end), expected="a time that has passed",
                remedy="Type when the work ended, or start the timer.",
            )  # fmt: skip
        return {"minutes": timing.minutes_between(began, ended), "started_at": began, "ended_at": ended}


class StartForm(StudioForm):
    """Start the timer on a project and stage, both as far as known."""

    project = forms.ModelChoiceField(
        queryset=Project.objects.none(), required=False, empty_label="No project"
    )
    stage = forms.ChoiceField(required=False, choices=stage_choices)
    rework = forms.BooleanField(label="Done again: it had been done before", required=False)

    def __init__(self, *args: Any, workroom: Workroom, **kwargs: Any) -> None:
        super().__init__(*args, workroom=workroom, **kwargs)
        self.fields["project"].queryset = projects_to_log()
