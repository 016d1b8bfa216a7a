"""The form that accepts a lay, and the one that puts its part of cloth to buy on a length that is there."""

from collections.abc import Sequence
from typing import Any

from django import forms

from projects.calc import lengths
from projects.models import ClothLength
from projects.planning.load import Stock

from .base import StudioForm
from .stock import typeable


def length_said(stock: Stock, system: lengths.System) -> str:
    """A length by its tag, with its dye lot and what is free of it."""
    lot = f", dye lot {stock.length.dye_lot}" if stock.length.dye_lot else ""
    free = lengths.rounded_down(stock.free, lengths.of_lay(system), system)
    return f"{stock.length.label}{lot}, {free} free"


class LengthChoice(forms.ModelChoiceField):
    said: dict[int, str] = {}

    def label_from_instance(self, obj: ClothLength) -> str:
        return self.said.get(obj.pk, obj.label)


class OnLengthForm(StudioForm):
    """Which length on the shelf the part of a lay that was to be bought is cut from."""

    cloth = LengthChoice(
        queryset=ClothLength.objects.none(),
        label="Length on the shelf",
        empty_label="Choose one",
        help_text="With what is free of it for this project.",
    )
    reserve = forms.BooleanField(required=False, initial=True, label="Reserve what it takes there")

    def __init__(self, *args: Any, stock: Sequence[Stock], **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "give_%s")
        super().__init__(*args, **kwargs)
        field = self.fields["cloth"]
        field.said = {s.length.pk: length_said(s, self.system) for s in stock}
        field.queryset = ClothLength.objects.filter(pk__in=field.said)

    @property
    def has_lengths(self) -> bool:
        return bool(self.fields["cloth"].said)

    def written(self, nm: int) -> str:
        """A length for an error, exact."""
        return lengths.exact(nm, lengths.field_unit("cloth", self.system), "-")

    def at_most(self, nm: int) -> str:
        """What is there, so that it can be typed and taken; what is asked is rounded up the same way."""
        return self.written(typeable(nm, self.system))

    def at_least(self, nm: int) -> str:
        return self.written(-typeable(-nm, self.system))


class AcceptForm(OnLengthForm):
    """``seen`` is what the lay that was looked at takes of the roll (nm)."""

    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    cloth = LengthChoice(
        queryset=ClothLength.objects.none(),
        required=False,
        label="The cloth to buy",
        empty_label="Still to buy",
        help_text="Or a length on the shelf that stands for it.",
    )
    reserve = forms.BooleanField(required=False, initial=True, label="Reserve the cloth it takes")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="accept_%s", **kwargs)
