"""Forms for hours a week and days off."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dates import WEEKDAYS

from projects.calc import labour
from projects.calc.minutes import parse_hours
from projects.models import Person

from .base import StudioForm

NONE = ("0", "0 h", "0h", "0 min", "none", "-", "–")
STUDIO = "studio"


class DayField(forms.CharField):
    """Hours on a weekday as people write them; empty, 0 or "none" is a day without work."""

    def clean(self, value: Any) -> int:
        text = super().clean(value).strip()
        if not text or text.lower() in NONE:
            return 0
        try:
            return parse_hours(text)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error


class WeekForm(StudioForm):
    """Usual minutes of one person by weekday, the studio's first day first."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, week: tuple[int, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("seen", _seen(week))
        for weekday in ((self.workroom.first_day + n) % 7 for n in range(7)):
            field = DayField(label=str(WEEKDAYS[weekday]), required=False, max_length=40)
            field.widget.attrs.update({"autocomplete": "off", "placeholder": "none"})
            self.fields[f"day{weekday}"] = field
            if week[weekday]:
                self.initial.setdefault(f"day{weekday}", labour.format_minutes(week[weekday]))

    @property
    def minutes(self) -> dict[int, int]:
        return {weekday: self.cleaned_data[f"day{weekday}"] for weekday in range(7)}

    def was(self) -> tuple[int, ...] | None:
        """The hours as they were when the form was shown; None where that can't be read."""
        found = self.cleaned_data["seen"].split(",")
        return tuple(map(int, found)) if len(found) == 7 and all(n.isdecimal() for n in found) else None

    def show_changed(self, week: tuple[int, ...]) -> None:
        """Say what somebody else wrote meanwhile; saving again writes over it."""
        self.data = {**self.data.dict(), "seen": _seen(week)}
        days = (f"{WEEKDAYS[n]} {labour.format_minutes(week[n]) if week[n] else 'none'}" for n in range(7))
        self.add_error(None, f"Somebody changed these hours meanwhile, to: {', '.join(days)}. Save again to "
                             "keep what stands below.")  # fmt: skip


def _seen(week: tuple[int, ...]) -> str:
    return ",".join(map(str, week))


class DayOffForm(StudioForm):
    """A day off or several in a row, of one person or (for owners) of the whole studio."""

    whose = forms.ChoiceField(label="Who is off", required=False)
    first = forms.DateField(
        label="First day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    last = forms.DateField(
        label="Last day", required=False, help_text="Leave empty for one day.",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    note = forms.CharField(label="What for", max_length=120, required=False)

    def __init__(self, *args: Any, of: Person, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.of = of
        if by.is_owner:
            self.fields["whose"].choices = [("", str(of)), (STUDIO, "The whole studio")]
        else:
            del self.fields["whose"]

    @property
    def person(self) -> Person | None:
        """Whose day off it is; None for the whole studio."""
        return None if self.cleaned_data.get("whose") == STUDIO else self.of

    def clean(self) -> dict[str, Any]:
        found = super().clean()
        first, last = found.get("first"), found.get("last")
        if first and "last" not in self.errors:
            found["last"] = last or first
        for name in ("first", "last"):
            day = found.get(name)
            if isinstance(day, date) and not 2000 <= day.year < 2100:
                self.add_error(name, f"“{day:%Y-%m-%d}” is no day of this century. Check the year.")
        return found
