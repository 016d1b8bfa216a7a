"""The form for a notion."""

from typing import Any

from projects.models import Notion

from .fabric import METRE
from .fields import LengthFormField
from .numbers import QuantityField
from .price import PricedForm, PriceField


class NotionForm(PricedForm):
    """A notion. ``received`` is asked only for a new one: later changes are booked in its ledger."""

    received = QuantityField(
        label="How many there are",
        required=False,
        help_text="In its unit; leave empty when none has come yet.",
    )

    holds = LengthFormField(
        kind="cloth",
        least=METRE,
        most=100_000 * METRE,
        label="Thread on one",
        required=False,
        help_text="Of thread only: what one spool or cone holds. Empty: what the studio reckons with.",
    )
    price = PriceField(
        label="Price of one", help_text="Of one unit it is counted in. Seen by owners only; costs rest on it."
    )

    class Meta:
        model = Notion
        fields = ["name", "kind", "colour", "family", "size", "holds", "unit", "price", "place", "notes"]
        help_texts = {
            "unit": "Pieces, metres, spools: whatever you count it in.",
            "family": "It is found by this whatever the shade is called.",
            "place": "A drawer, a box, a tin.",
        }

    field_order = [
        "name", "kind", "colour", "family", "size", "holds", "unit", "received", "price", "place", "notes",
    ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            del self.fields["received"]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or self.cleaned_data
        if values.get("holds") and values.get("kind") != "thread" and "kind" in values:
            self.add_error(
                "holds", "Only thread is wound on something. Choose Thread as its kind, or leave this empty."
            )
        return values

    def changes(self) -> dict[str, Any]:
        values = super().changes()
        values.pop("received", None)
        return values
