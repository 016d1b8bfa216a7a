"""Forms for a fabric and for a length of it."""

from typing import Any

from projects.calc.lengths import NM_PER_MM
from projects.models import ClothLength, Fabric

from .base import RowForm
from .fields import LengthFormField
from .numbers import NumberField, PercentField

CM, METRE = 10 * NM_PER_MM, 1000 * NM_PER_MM
UNKNOWN = "Leave empty when not known."


class FabricForm(RowForm):
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

    class Meta:
        model = Fabric
        fields = [
            "name",
            "fibre",
            "colour",
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
            "place",
            "notes",
        ]

    field_order = Meta.fields


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
