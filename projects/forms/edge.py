"""The form of one edge of a piece."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Edge, Fabric

from .base import RowForm
from .fields import LengthFormField
from .numbers import PercentField
from .recent import NamesRows, RecentField

MM = 1_000_000
NAMES = ("neck", "armhole", "hem", "front edge")
STRIPS = ("bound", "bound_double", "hong_kong", "band", "faced")


class EdgeForm(NamesRows, RowForm):
    """One edge: what it is called, how long it is, how it is finished."""

    length = LengthFormField(
        kind="piece", label="Length of the edge", least=MM, most=100_000 * MM,
        help_text="Along the stitching line, once.",
    )
    width = LengthFormField(
        kind="fine", label="Finished width", least=MM, most=500 * MM, required=False,
        help_text="Of the binding, band or facing; the depth of a hem.",
    )
    allowance = LengthFormField(
        kind="fine", label="Seam allowance", least=0, most=200 * MM, required=False,
        help_text="Taken up by a band or a facing.",
    )
    reduction = PercentField(
        label="Shorter than the opening by", most="50", places=1, required=False,
        help_text="For a band that draws in.",
    )
    fabric = RecentField(
        Fabric.objects.all(), use="edges__created_at", what="fabric", required=False,
        label="Strips cut from", empty_label="The piece's own fabric",
    )

    class Meta:
        model = Edge
        fields = ["name", "finish", "length", "width", "closed", "by_hand", "allowance", "on_the_bias",
                  "both_sides", "reduction", "fabric"]
        labels = {
            "name": "Which edge", "finish": "Finished how", "closed": "A closed ring: a neckline, a cuff",
            "by_hand": "Last row sewn by hand", "on_the_bias": "Strips cut on the bias",
            "both_sides": "Hong Kong: both allowances of the seam",
        }
        help_texts = {"finish": "Give a seam on one of the two pieces only: it counts for thread."}
        widgets = {"name": forms.TextInput(attrs={"list": "edge-names", "autocomplete": "off"})}

    names = NAMES
    rare = ("allowance", "on_the_bias", "both_sides", "reduction", "fabric", "fabric_named")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("length", "width", "allowance", "reduction"):
            value = getattr(self.instance, name)
            if value is not None and (self.instance.pk or name != "length"):
                self.initial.setdefault(name, value)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        self.settle_named(values)
        self._usual(values)
        finish, length = values.get("finish"), values.get("length")
        if finish == "hong_kong" and length and values.get("width", 0) > 30 * MM:
            self.add_error("width", ValidationError("A Hong Kong finish is at most 30 mm wide."))
        return values

    def _usual(self, values: dict[str, Any]) -> None:
        """What is left empty is as it is on a new edge."""
        for name in ("width", "allowance", "reduction"):
            if name in values and values[name] is None:
                values[name] = Edge._meta.get_field(name).default

    @property
    def usual(self) -> list[Any]:
        return [field for field in self.visible_fields() if field.name not in self.rare]

    @property
    def more(self) -> list[Any]:
        return [field for field in self.visible_fields() if field.name in self.rare]

    @property
    def more_wrong(self) -> bool:
        return any(field.errors for field in self.more)
