"""What recipes are compared on: a size and a cloth, and which recipe is added."""

from typing import Any

from django import forms

from projects.models import Fabric

from .base import StudioForm
from .fields import LengthFormField
from .piece import LONGEST, WIDEST, recipe_choices
from .recent import NamesRows, RecentField

MM = 1_000_000


class CompareForm(NamesRows, StudioForm):
    """Read from an address. With a piece, size and cloth are the piece's and not asked for."""

    op = None
    across = LengthFormField(label="Finished size across", kind="piece", least=MM, most=WIDEST)
    along = LengthFormField(label="Finished size along", kind="piece", least=MM, most=LONGEST)
    fabric = RecentField(
        Fabric.objects.all(),
        use="pieces__created_at",
        what="fabric",
        required=False,
        empty_label="Not chosen yet",
    )
    add = forms.TypedChoiceField(label="Add a recipe", required=False, coerce=int, empty_value=None)

    def __init__(self, *args: Any, on_piece: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("across", "along", "fabric", "fabric_named") if on_piece else ():
            self.fields.pop(name, None)
        choices, _more = recipe_choices(None, self["add"].value())
        self.fields["add"].choices = [("", "Choose one"), *choices]

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        self.settle_named(values)
        return values
