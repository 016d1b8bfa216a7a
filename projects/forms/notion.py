"""The form for a notion."""

from typing import Any

from projects.models import Notion

from .base import RowForm
from .numbers import QuantityField


class NotionForm(RowForm):
    """A notion. ``received`` is asked only for a new one: later changes are booked in its ledger."""

    received = QuantityField(
        label="How many there are",
        required=False,
        help_text="In its unit; leave empty when none has come yet.",
    )

    class Meta:
        model = Notion
        fields = ["name", "kind", "colour", "size", "unit", "place", "notes"]
        help_texts = {"unit": "Pieces, metres, spools: whatever you count it in."}

    field_order = ["name", "kind", "colour", "size", "unit", "received", "place", "notes"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            del self.fields["received"]

    def changes(self) -> dict[str, Any]:
        values = super().changes()
        values.pop("received", None)
        return values
