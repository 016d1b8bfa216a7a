"""The form that looks through the stash: words, and what the work asks of cloth or notions."""

from typing import Any

from django import forms

from projects.activities.finding_cloth import Asked
from projects.models import Project
from projects.models.fabric import FAMILIES

from .base import StudioForm
from .fields import LengthFormField
from .numbers import NumberField, QuantityField
from .stock import MOST_CLOTH

WHAT = [("", "Everything"), ("fabrics", "Fabrics"), ("lengths", "Lengths"), ("notions", "Notions")]
MOST_PROJECTS = 200


def open_projects() -> list[Project]:
    """Projects still to be done, what is due first at the top."""
    rows = Project.objects.live().filter(state__in=("asked", "in_hand", "waiting"))
    return list(rows.order_by("due", "number").only("pk", "title", "number")[:MOST_PROJECTS])


class StashForm(StudioForm):
    """Read from an address; every field may be empty."""

    words = forms.CharField(
        required=False,
        max_length=200,
        label="Words",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    what = forms.ChoiceField(choices=WHAT, required=False, label="Look among")
    family = forms.ChoiceField(choices=[("", "Any colour"), *FAMILIES], required=False, label="Colour family")
    grams_from = NumberField(most="3000", places=1, unit="g/m²", required=False, label="Weight from")
    grams_to = NumberField(most="3000", places=1, unit="g/m²", required=False, label="Weight to")
    free = LengthFormField(
        kind="cloth",
        most=MOST_CLOTH,
        required=False,
        label="Cloth free, at least",
    )
    pieces = QuantityField(
        required=False, label="Notions free, at least", help_text="In the unit each is counted in."
    )
    place = forms.CharField(required=False, max_length=120, label="Kept at")
    only_free = forms.BooleanField(required=False, label="Only what is free")
    project = forms.CharField(
        required=False, label="For the project", widget=forms.Select(attrs={"form": "stash"})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["op"], self.fields["units"]

    def offer(self, projects: list[Project]) -> None:
        """What can be chosen under ``project``."""
        titles = [(str(p.pk), f"{p.number}: {p.title}") for p in projects]
        self.fields["project"].widget.choices = [("", "No project"), *titles]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        least, most = values.get("grams_from"), values.get("grams_to")
        if least is not None and most is not None and least > most:
            self.add_error("grams_to", f"The weight ends at {most}, below the {least} it begins with.")
        return values

    def asked(self, words: list[str]) -> Asked:
        values = self.cleaned_data
        kept = ("family", "grams_from", "grams_to", "free", "pieces", "only_free")
        return Asked(
            words=tuple(words), place=values["place"].strip(), **{name: values[name] for name in kept}
        )
