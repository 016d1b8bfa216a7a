"""Forms about money: fields read in the studio's currency, hour rates, other costs, a price to try."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from projects.calc.money import MoneyError, parse_money, plain_money
from projects.models import OtherCost, Person

from .base import RowForm, StudioForm

MOST_AN_HOUR = 10**9
"""Minor units: above this an hour's rate is a slip of the finger."""

STUDIO_RATES = [("studio", "An hour's work, the studio's"), ("overhead", "Overhead on every hour")]


class MoneyField(forms.CharField):
    """Money in the studio's currency, kept as whole minor units; the form sets ``unit`` (the currency)."""

    def __init__(self, *, most: int | None = None, **kwargs: Any) -> None:
        self.most, self.unit = most, "EUR"
        kwargs.setdefault("max_length", None)
        super().__init__(**kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "maxlength": "40"})

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int) and not isinstance(value, bool):
            return plain_money(value, self.unit)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return (self.prepare_value(initial) or "") != (data or "").strip()

    def as_text(self, value: Any) -> str:
        """For reading beside another version."""
        return f"{self.prepare_value(value)} {self.unit}"

    def clean(self, value: Any) -> int | None:
        text = (value or "").strip()
        if not text and not self.required:
            return None
        try:
            amount = parse_money(text, self.unit)
        except MoneyError as error:
            raise ValidationError(str(error), code="invalid") from error
        if self.most is not None and amount > self.most:
            most = plain_money(self.most, self.unit)
            raise ValidationError(f"“{text[:40]}” is more than {most} {self.unit}: a digit too many?")
        return amount


class InCurrency(StudioForm):
    """A form whose money fields are read in the studio's currency."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, MoneyField):
                field.unit = self.workroom.currency


class HourRateForm(InCurrency):
    """An hour's work of the studio or of a person, or the overhead on every hour, from a day on."""

    whose = forms.ChoiceField(
        label="What for",
        help_text="The studio's counts for planned hours and for everybody without a rate of their own.",
    )
    amount = MoneyField(label="An hour", most=MOST_AN_HOUR)
    from_date = forms.DateField(
        label="From",
        help_text="Hours worked from this day on.",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.order_by("shown_name", "pk")
        self.fields["whose"].choices = [*STUDIO_RATES, *((str(p.pk), f"An hour of {p}") for p in people)]

    @property
    def target(self) -> dict[str, Any]:
        """``kind`` and ``person`` of the rate that was chosen."""
        whose = self.cleaned_data["whose"]
        if whose in dict(STUDIO_RATES):
            return {"kind": "pay" if whose == "studio" else whose, "person": None}
        return {"kind": "pay", "person": Person.objects.get(pk=whose)}

    def clean_from_date(self) -> date:
        day: date = self.cleaned_data["from_date"]
        if not date(2000, 1, 1) <= day <= timezone.localdate() + timedelta(days=366):
            raise ValidationError("Choose a day from 2000 on, at most a year ahead.")
        return day


class OtherCostForm(InCurrency, RowForm):
    """Something a project costs beside cloth, notions and hours."""

    amount = MoneyField(label="How much", most=10**12)

    class Meta:
        model = OtherCost
        fields = ("what", "amount")
        labels = {"what": "What for"}
        help_texts = {"what": "Postage, a dye bath, a hired machine."}
        widgets = {"what": forms.TextInput(attrs={"autocomplete": "off"})}


class TriedPriceForm(InCurrency):
    """A price to try: what an hour would earn at it."""

    op = units = None
    price = MoneyField(label="At a price of", required=False, most=10**15)
