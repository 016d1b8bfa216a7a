"""The form that keeps a lay, on a length of cloth or on cloth still to be bought."""

from typing import Any

from django import forms

from projects.calc import lengths
from projects.models import ClothLength
from projects.planning.load import Stock

from .base import StudioForm


class LengthChoice(forms.ModelChoiceField):
    """A length by its tag, with its dye lot and what is free of it."""

    said: dict[int, str] = {}

    def label_from_instance(self, obj: ClothLength) -> str:
        lot = f", dye lot {obj.dye_lot}" if obj.dye_lot else ""
        return f"{obj.label}{lot}, {self.said.get(obj.pk, 'nothing')} free"


class KeepLayForm(StudioForm):
    """``seen`` is the length of the lay that was looked at (nm)."""

    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    cloth = LengthChoice(
        queryset=ClothLength.objects.none(),
        required=False,
        label="Laid on",
        empty_label="Cloth still to buy",
        help_text="One length on the shelf, with what is free of it for this project.",
    )
    reserve = forms.BooleanField(required=False, initial=True, label="Reserve what it takes on that length")

    def __init__(self, *args: Any, stock: tuple[Stock, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["cloth"]
        field.said = {s.length.pk: self._say(s.free) for s in stock}
        field.queryset = ClothLength.objects.filter(pk__in=field.said)

    def _say(self, nm: int) -> str:
        return lengths.rounded(nm, lengths.Rounding.CLOTH, self.system)

    def written(self, nm: int) -> str:
        """A length for an error, exact."""
        return lengths.exact(nm, lengths.field_unit("cloth", self.system), "-")
