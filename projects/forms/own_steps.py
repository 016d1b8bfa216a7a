"""Forms for the studio's own stages and for steps that its projects get."""

from decimal import Decimal
from typing import Any

from django import forms

from projects.activities.own_steps import behind
from projects.calc import labour
from projects.models import OwnStage, Project, StepTemplate
from projects.planning.stages import FIRST, Stage

from .base import RowForm
from .hours import ALONE, MinutesField


class StageForm(RowForm):
    """A stage of the studio's own, and which it comes after."""

    after = forms.ChoiceField(label="Comes after")

    class Meta:
        model = OwnStage
        fields = ("title", "after")
        labels = {"title": "What the stage is called"}
        help_texts = {"title": "For example “Fit” or “Dye”."}
        widgets = {"title": forms.TextInput(attrs={"autocomplete": "off"})}

    def __init__(self, *args: Any, stages: tuple[Stage, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        after_it = behind(self.instance.key) if self.instance.pk else set()
        there = [(s.key, s.title) for s in stages if not s.gone and s.key not in after_it]
        self.fields["after"].choices = [*there, (FIRST, "None: it comes before all others")]
        self.initial.setdefault("after", there[-1][0])


class TemplateForm(RowForm):
    """A step that each project of a kind gets."""

    title = forms.CharField(label="What is to be done", max_length=200)
    kind = forms.ChoiceField(
        label="In which work", required=False, choices=[("", "Every project"), *Project.KINDS]
    )
    stage = forms.ChoiceField(label="In which stage")
    at_start = forms.TypedChoiceField(
        label="Where in the stage",
        coerce=lambda text: text == "1",
        choices=[("", "At its end"), ("1", "At its beginning")],
        required=False,
        empty_value=False,
    )
    minutes = MinutesField(
        label="Time planned", required=False, max_length=40, help_text=f"For each: 40 min or 1h20. {ALONE}"
    )
    detail = forms.CharField(label="More about it", required=False, max_length=2000, widget=forms.Textarea)

    class Meta:
        model = StepTemplate
        fields = ("title", "kind", "stage", "at_start", "per_panel", "minutes", "detail")
        labels = {"per_panel": "For each panel, not once for the project"}

    field_order = Meta.fields

    def __init__(self, *args: Any, stages: tuple[Stage, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        there = [(s.key, s.title) for s in stages if not s.gone or s.key == self.instance.stage]
        self.fields["stage"].choices = there
        self.initial["at_start"] = "1" if self.instance.at_start else ""
        if self.instance.minutes:
            self.initial["minutes"] = labour.format_minutes(int(self.instance.minutes))

    def clean_minutes(self) -> Decimal | None:
        minutes = self.cleaned_data["minutes"]
        return None if minutes is None else Decimal(minutes)
