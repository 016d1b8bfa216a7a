"""Forms for the studio itself: claiming it, its settings, how long work takes."""

import re
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import URLValidator
from django.utils import timezone

from projects.models import Workroom
from projects.models.workroom import known_time_zones

from .base import RowForm, StudioForm
from .fields import LengthFormField
from .numbers import PercentField
from .people import AS_TYPED, NewPassword, name_field, username_field

MM = 1_000_000
ADDRESS = "Type the whole address, such as http://192.168.1.20:8000 or https://studio.example.org."


def time_zones(also: str = "") -> list[tuple[str, Any]]:
    """Choices by region: places such as Europe/London, and UTC. ``also`` is kept whatever it is."""
    regions: dict[str, list[tuple[str, str]]] = {}
    for name in sorted(known_time_zones()):
        region, _, place = name.partition("/")
        if place and region not in ("Etc", "SystemV", "US"):
            regions.setdefault(region, []).append((name, place.replace("_", " ").replace("/", ", ")))
    known = {name for places in regions.values() for name, _ in places} | {"UTC"}
    first = [("UTC", "UTC")] + ([(also, also)] if also and also not in known else [])
    return [*first, *regions.items()]


class TimeZoneField(forms.ChoiceField):
    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Time zone")
        super().__init__(choices=time_zones, **kwargs)


class CurrencyField(forms.CharField):
    """Three letters, in capitals."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", "Three letters, as on a bank statement: EUR, GBP, USD.")
        super().__init__(max_length=12, **kwargs)

    def clean(self, value: Any) -> str:
        text = super().clean(value).upper()
        if not re.fullmatch(r"[A-Z]{3}", text):
            raise ValidationError(f"“{text}” is no currency in three letters, such as EUR, GBP or USD.")
        return text


class ClaimForm(NewPassword, StudioForm):
    """The first owner and what the studio needs from the start; the rest is under Settings."""

    code = forms.CharField(
        label="One-time code", max_length=100,
        help_text="Printed on the console where the studio was started.",
        widget=forms.TextInput(attrs={"autocomplete": "off", **AS_TYPED}),
    )
    name = forms.CharField(label="Name of the studio", max_length=120)
    measures_in = forms.ChoiceField(label="Measures in", choices=Workroom.UNITS)
    currency = CurrencyField(initial="EUR")
    time_zone = TimeZoneField(initial="UTC")
    shown_name = name_field()
    username = username_field()
    field_order = ["code", "name", "measures_in", "currency", "time_zone",
                   "shown_name", "username", "password", "again"]

    def person(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in ("username", "shown_name", "password")}

    def settings(self) -> dict[str, str]:
        names = {"units": "measures_in", "name": "name", "currency": "currency", "time_zone": "time_zone"}
        return {ours: self.cleaned_data[typed] for ours, typed in names.items()}


def _length(
    label: str, *, kind: str = "fine", least: int = 0, most: int, help_text: str = ""
) -> LengthFormField:
    return LengthFormField(kind=kind, least=least, most=most, label=label, help_text=help_text)


class WorkroomForm(RowForm):
    """All settings. ``measures_in`` is the system of units: ``units`` is the one this form was shown in."""

    measures_in = forms.ChoiceField(label="Measures in", choices=Workroom.UNITS,
                                    help_text="Changes how lengths are shown, never a length itself.")
    currency = CurrencyField()
    time_zone = TimeZoneField()
    public_address = forms.URLField(
        label="Public address for QR codes", required=False, max_length=200, assume_scheme="https",
        validators=[URLValidator(schemes=["http", "https"], message=ADDRESS)],
        error_messages={"invalid": ADDRESS},
        help_text="Where a phone reaches this studio. Left empty, prints show the project's number instead.",
    )
    buy_step = _length("Cloth is bought in steps of", kind="cloth", least=MM, most=10_000 * MM)
    squaring = _length("Squaring, each side", most=200 * MM,
                       help_text="Cut away when the cloth is squared up before marking.")
    seam_allowance = _length("Usual seam allowance", most=200 * MM)
    hem_allowance = _length("Usual hem allowance", most=500 * MM)
    border = _length("Handling border where taped or hooped", most=300 * MM)
    needle_lift = _length("What passes under the needle", least=MM // 10, most=100 * MM,
                          help_text="The thickest stack of cloth your machine still takes.")
    depth_spread = _length("How far a tuck's depth strays", most=10 * MM,
                           help_text="As often above as below; check measures at the bench move it.")
    bias_join = _length("Allowance at a join of binding", most=50 * MM)
    bias_least = _length("Shortest strip of binding worth keeping", kind="piece", most=2_000 * MM)
    spool = _length("Thread on a spool", kind="cloth", least=1_000 * MM, most=100_000_000 * MM,
                    help_text="Where the thread of a project does not say what it holds.")
    margin = PercentField(label="Margin", most="95", places=2,
                          help_text="A share of the price before tax, on top of what the work costs.")
    tax = PercentField(label="Tax on the price", most="100", places=2,
                       help_text="Added to the price; 0 where you charge none.")

    class Meta:
        model = Workroom
        fields = ["name", "currency", "time_zone", "first_day", "paper", "public_address", "buy_step",
                  "buy_swatch", "squaring", "seam_allowance", "hem_allowance", "border", "needle_lift",
                  "depth_spread", "check_every", "bias_join", "bias_least", "spool", "margin", "tax"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["measures_in"] = self.instance.units
        self.fields["time_zone"].choices = time_zones(self.instance.time_zone)

    def clean_public_address(self) -> str:
        return self.cleaned_data["public_address"].rstrip("/")

    def changes(self) -> dict[str, Any]:
        values = super().changes()
        values["units"] = values.pop("measures_in")
        return values


class MinutesEach(forms.DecimalField):
    """Minutes one of something takes, with a point or a comma; at most three places."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_value=10_000, max_digits=8, decimal_places=3, **kwargs)
        self.widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        self.unit = "min"

    def to_python(self, value: Any) -> Any:
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class RateForm(StudioForm):
    """The studio's own figure for one part of the work. ``seen`` is the figure the form was opened with."""

    minutes = MinutesEach(
        label="Our own figure", error_messages={"invalid": "Type minutes as a number, such as 2.5."}
    )
    from_date = forms.DateField(
        label="From", help_text="Work planned from this day on counts with it.",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean_from_date(self) -> date:
        day = self.cleaned_data["from_date"]
        today = timezone.localdate()
        if not date(2000, 1, 1) <= day <= today + timedelta(days=366):
            raise ValidationError("Choose a day from 2000 on, at most a year ahead.")
        return day
