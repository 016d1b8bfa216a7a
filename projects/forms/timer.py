"""Forms that ask about a timer: when a forgotten one was stopped, and what a silence was."""

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from projects.activities import timing
from projects.calc.clock import ClockTime, parse_clock
from projects.calc.minutes import TimeError
from projects.planning.moments import moment

from .plain import PlainWords

NEAR = timedelta(hours=16)
"""A time of day within this of the last sign of work is meant before one on an earlier day."""


def moment_between(
    given: ClockTime, first: datetime, last: datetime, near: datetime, zone: ZoneInfo
) -> datetime:
    """The moment from ``first`` to ``last`` at which the studio's clock showed ``given``.

    Of several, the first after ``near`` where it comes soon, else the last before it. Raises ValidationError.
    """
    found = [at for at in _moments(given, first, last, zone) if first <= at <= last]
    if not found:
        began, ended = (at.astimezone(zone).strftime("%-d %B %H:%M") for at in (first, last))
        raise ValidationError(f"{given} does not lie between {began} and {ended}. Type a time between them.")
    after = [at for at in found if near <= at <= near + NEAR]
    before = [at for at in found if at < near]
    return (after[:1] or before[-1:] or found[:1])[0]


def _moments(given: ClockTime, first: datetime, last: datetime, zone: ZoneInfo) -> list[datetime]:
    day, end = first.astimezone(zone).date(), last.astimezone(zone).date()
    found = []
    while day <= end and len(found) < 60:
        try:
            found.append(moment(given, day, zone))
        except TimeError as error:
            if day in (first.astimezone(zone).date(), end):
                raise ValidationError(str(error)) from error
        day += timedelta(days=1)
    return found


class _Asking(PlainWords, forms.Form):
    """One choice by its button, or a time that was typed."""

    log = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=1, max_value=2**63 - 1)
    at = forms.CharField(required=False, max_length=40)
    at_id, at_label = "id_%s", ""
    """As the page calls them: what an error is led to, and named."""

    def __init__(self, *args: Any, clock: Any, zone: ZoneInfo, **kwargs: Any) -> None:
        self.clock, self.zone = clock, zone
        super().__init__(*args, auto_id=self.at_id, **kwargs)
        self.fields["at"].label = self.at_label
        self.initial.setdefault("log", clock.log.pk)

    def _typed(self, first: datetime, last: datetime, near: datetime) -> datetime:
        try:
            given = parse_clock(self.cleaned_data.get("at", ""))
        except TimeError as error:
            raise ValidationError({"at": str(error)}) from error
        try:
            return moment_between(given, first, last, near, self.zone)
        except ValidationError as error:
            raise ValidationError({"at": error.messages}) from error


class StoppedForm(_Asking):
    """When the work of a forgotten timer ended: ``moment``, or None where it still goes on."""

    at_id, at_label = "ask-%s", "At another time"

    when = forms.ChoiceField(choices=[(name, name) for name in ("last", "now", "still", "typed")])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        when, clock = data.get("when"), self.clock
        if when in ("now", "still") and clock.too_long:
            raise ValidationError({"at": "That would be more than a day. Type the time the work ended."})
        if when == "typed":
            data["moment"] = self._typed(clock.log.started_at, clock.now, clock.last)
        else:
            data["moment"] = {"last": clock.last, "now": clock.now}.get(str(when))
        return data


class GapForm(_Asking):
    """Up to when a silence was work: ``until``, None where it was none."""

    at_id, at_label = "gap-%s", "Up to"

    was = forms.ChoiceField(choices=[(name, name) for name in ("none", "all", "typed")])

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        log = self.clock.log
        if data.get("was") == "typed":
            data["until"] = self._typed(log.gap_from, log.started_at, log.gap_from)
        else:
            data["until"] = log.started_at if data.get("was") == "all" else None
        if data["until"] and data["until"] - log.gap_from > timing.A_DAY:
            raise ValidationError({"at": "That would be more than a day. Type up to when it was work."})
        return data
