"""Forms for steps of one's own and for skipping."""

from decimal import Decimal
from typing import Any

from django import forms

from projects.calc import labour
from projects.models import Step
from projects.planning.stages import stage_choices

from .base import RowForm
from .hours import ALONE, MinutesField


class OwnStepForm(RowForm):
    """A step the plan does not know of."""

    title = forms.CharField(label="What is to be done", max_length=300)
    stage = forms.ChoiceField()
    detail = forms.CharField(label="More about it", required=False, max_length=2000, widget=forms.Textarea)
    minutes = MinutesField(
        label="Time planned", required=False, max_length=40, help_text=f"40 min or 1h20. {ALONE}"
    )

    class Meta:
        model = Step
        fields = ["title", "stage", "detail"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stage"].choices = stage_choices(self.instance.stage)[1:]
        if self.instance.minutes:
            self.initial["minutes"] = labour.format_minutes(int(self.instance.minutes))

    def clean_minutes(self) -> Decimal | None:
        minutes = self.cleaned_data["minutes"]
        return None if minutes is None else Decimal(minutes)
