"""The booking form of a length of cloth or of a notion: one line of the ledger."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.calc import lengths
from projects.models import ClothLength, Notion, Project, StockEntry

from .base import StudioForm
from .fields import LengthFormField
from .numbers import QuantityField, written

KINDS = [
    ("received", "Received: came in"),
    ("reserved", "Reserved for a project"),
    ("released", "Released from a project"),
    ("cut", "Cut"),
    ("wasted", "Wasted"),
    ("counted", "Counted: this much is there now"),
]
NOTION_WORDS = {"cut": "Used"}
FOR_A_PROJECT = ("reserved", "released")
WITHOUT_PROJECT = ("received", "counted")
STEPS = {lengths.System.METRIC: lengths.NM_PER_MM, lengths.System.INCH: lengths.NM_PER_INCH}
MOST_CLOTH = 1_000 * 1_000 * lengths.NM_PER_MM


class BookingForm(StudioForm):
    """What happened, how much, for which project. ``amount`` is nanometres or thousandths of the unit."""

    kind = forms.ChoiceField(choices=KINDS, label="What happened")
    project = forms.ModelChoiceField(
        queryset=Project.objects.none(),
        required=False,
        label="For which project",
        empty_label="None",
        help_text="Needed to reserve and to release.",
    )
    note = forms.CharField(required=False, max_length=300, label="Note")

    def __init__(self, *args: Any, row: ClothLength | Notion, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.row = row
        self.fields["amount"] = amount = self._amount_field()
        if isinstance(amount, LengthFormField):
            amount.system = self.system
        self.fields["kind"].choices = [(k, self._word(k, text)) for k, text in KINDS]
        self.fields["project"].queryset = self._projects()
        self.order_fields(["kind", "amount", "project", "note"])

    def _amount_field(self) -> forms.Field:
        if isinstance(self.row, ClothLength):
            return LengthFormField(kind="cloth", most=MOST_CLOTH, label="How much")
        return QuantityField(label="How many", unit=self.row.unit)

    def _word(self, kind: str, text: str) -> str:
        return NOTION_WORDS.get(kind, text) if isinstance(self.row, Notion) else text

    def _projects(self) -> Any:
        """Projects being worked on, and those that hold some of it already."""
        holding = StockEntry.objects.filter(**{self.side: self.row}, kind="reserved").values("project_id")
        open_ones = Project.objects.live().exclude(state="finished")
        return (open_ones | Project.objects.live().filter(pk__in=holding)).distinct().order_by("-number")

    @property
    def side(self) -> str:
        return "cloth" if isinstance(self.row, ClothLength) else "notion"

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        kind, project, amount = values.get("kind"), values.get("project"), values.get("amount")
        if kind in FOR_A_PROJECT and project is None and "project" not in self.errors:
            self.add_error("project", "Choose the project it is for.")
        if kind in WITHOUT_PROJECT:
            values["project"] = None
        if kind != "counted" and amount == 0:
            self.add_error("amount", "Nothing would be booked; type more than 0.")
        return values

    def written(self, amount: int) -> str:
        """An amount in words for an error: exact, so that the person can type it."""
        if isinstance(self.row, ClothLength):
            return lengths.exact(amount, lengths.field_unit("cloth", self.system), "-")
        return f"{written(QuantityField().shown(amount))} {self.row.unit}"

    def at_most(self, amount: int) -> str:
        """What is there, cut down to whole millimetres or inches, so that it can be typed and taken."""
        return self.written(typeable(amount, self.system) if isinstance(self.row, ClothLength) else amount)


def typeable(nm: int, system: lengths.System) -> int:
    """A length cut down to whole millimetres or inches."""
    return nm - nm % STEPS[system]


def refused(form: BookingForm, error: Any) -> ValidationError:
    """A booking the ledger refused, as an error of the form's own field, in the form's units."""
    text = error.text(form.written, form.at_most)
    return ValidationError({error.field: text} if error.field else text)
