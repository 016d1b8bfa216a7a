"""Forms for a fabric and for a length of it."""

from typing import Any

from django import forms

from projects.calc.lengths import NM_PER_MM, System
from projects.models import ClothLength, Fabric
from projects.models.fabric import PRICED_PER

from .base import RowForm
from .fields import LengthFormField
from .numbers import NumberField, PercentField
from .price import PricedForm, PriceField

CM, METRE = 10 * NM_PER_MM, 1000 * NM_PER_MM
UNKNOWN = "Leave empty when not known."


class FabricForm(PricedForm):
    width = LengthFormField(
        kind="piece", least=CM, most=10 * METRE, label="Usable width", help_text="Between the selvedges."
    )
    grams = NumberField(
        least="1", most="3000", places=1, unit="g/m²", label="Weight", required=False, help_text=UNKNOWN
    )
    thickness = LengthFormField(
        kind="fine",
        least=10_000,
        most=50 * NM_PER_MM,
        label="Thickness",
        required=False,
        help_text=UNKNOWN + " Measure a stack of ten and divide.",
    )
    light = PercentField(
        most="100", places=1, label="Light one layer lets through", required=False, help_text=UNKNOWN
    )
    shrink_along = PercentField(
        most="50",
        places=2,
        label="Shrinkage along",
        required=False,
        help_text=UNKNOWN + " From a swatch, measured before and after washing.",
    )
    shrink_across = PercentField(
        most="50", places=2, label="Shrinkage across", required=False, help_text=UNKNOWN
    )
    price = PriceField(label="Price", help_text=UNKNOWN + " Seen by owners only; costs rest on it.")
    price_per = forms.ChoiceField(choices=PRICED_PER, required=False, label="Price is for")

    class Meta:
        model = Fabric
        fields = [
            "name",
            "fibre",
            "colour",
            "family",
            "width",
            "grams",
            "thickness",
            "light",
            "shrink_along",
            "shrink_across",
            "one_way",
            "raised",
            "sheer",
            "iron",
            "price",
            "price_per",
            "place",
            "notes",
        ]
        help_texts = {
            "fibre": "Such as linen, wool, cotton and silk.",
            "colour": "As you would call it: écru, slate blue.",
            "family": "It is found by this whatever the shade is called.",
            "place": "A shelf, a chest, a drawer. A length may lie elsewhere.",
        }

    field_order = Meta.fields

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "price_per" in self.fields and not self.instance.pk:
            self.initial["price_per"] = self._usual()

    def _usual(self) -> str:
        """The unit that cloth is priced in where the studio measures as it does."""
        return "yd" if self.system is System.INCH else "m"

    def clean_price_per(self) -> str:
        """Sent without a unit, it stays as it was."""
        return self.cleaned_data["price_per"] or (
            self.instance.price_per if self.instance.pk else self._usual()
        )


class ClothLengthForm(RowForm):
    """A length of cloth. ``received`` is asked only for a new one: later changes are booked in its ledger."""

    received = LengthFormField(
        kind="cloth",
        most=1000 * METRE,
        label="How much there is",
        required=False,
        help_text="Leave empty when it has not come yet.",
    )
    width = LengthFormField(
        kind="piece",
        least=CM,
        most=10 * METRE,
        label="Usable width, where it differs",
        required=False,
        help_text="Leave empty when it is the fabric's usual width.",
    )

    class Meta:
        model = ClothLength
        fields = ["label", "dye_lot", "width", "washed", "place", "notes"]
        help_texts = {"place": "Leave empty when it lies where the fabric is kept."}

    field_order = ["label", "dye_lot", "received", "width", "washed", "place", "notes"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            del self.fields["received"]

    def changes(self) -> dict[str, Any]:
        values = super().changes()
        values.pop("received", None)
        values["typed"].pop("received", None)
        return values
