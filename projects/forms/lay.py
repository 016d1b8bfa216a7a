"""The form that keeps a lay, on a length of cloth or on cloth still to be bought."""

from typing import Any

from django import forms

from projects.calc import lengths
from projects.models import ClothLength
from projects.planning.load import Stock

from .base import StudioForm
from .stock import typeable


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

    def at_most(self, nm: int) -> str:
        """What is there, so that it can be typed and taken; what is asked is rounded up the same way."""
        return self.written(typeable(nm, self.system))

    def at_least(self, nm: int) -> str:
        return self.written(-typeable(-nm, self.system))

    def leave_out(self, kept_on: int | None) -> None:
        """Offer no longer the length (None: cloth to buy) that the lay is kept on already."""
        field = self.fields["cloth"]
        if kept_on is None:
            field.empty_label = None
        field.queryset = field.queryset.exclude(pk=kept_on)
        self.initial["cloth"] = None if kept_on else next((c.pk for c in field.queryset), None)

    @property
    def elsewhere(self) -> bool:
        """Whether there is anything to choose."""
        field = self.fields["cloth"]
        return field.empty_label is not None or field.queryset.exists()
