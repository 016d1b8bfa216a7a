"""The form for one sample: on which cloth, and what was measured flat and finished in each direction."""

from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from projects.calc.ratio import ByRatio
from projects.calc.recipe import Recipe
from projects.models import Fabric, Sample
from projects.planning.recipe_work import starting_take_up
from projects.planning.samples import DIRECTIONS, side

from .base import RowForm
from .fields import LengthFormField

MOST = 10_000_000_000
COUNTED = {
    "shirring": "Rows",
    "english": "Dots",
    "honeycomb": "Dots",
    "lattice": "Squares",
    "quilting": "Lines",
    "trapunto": "Lines",
}
"""What is counted between the points measured by ratio, in the directions where `ByRatio.counts` names a
unit; where nothing is, a reading counts once."""


def counted_in(recipe: ByRatio, name: str) -> str:
    """What is counted in a direction of this recipe: "Dots"; "" where nothing is."""
    return COUNTED.get(recipe.technique, "") if recipe.counts(name) else ""


def _extent(label: str) -> LengthFormField:
    return LengthFormField(kind="piece", least=1, most=MOST, required=False, label=label)


class SampleForm(RowForm):
    """Fields of a direction that has no tucks ask for what its seams draw in; they may stay empty."""

    fabric = forms.ModelChoiceField(
        Fabric.objects.none(), label="On which cloth", empty_label="Choose the cloth"
    )
    made_on = forms.DateField(
        label="Measured on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    across_flat = _extent("Flat, across")
    across_finished = _extent("Finished, across")
    across_tucks = forms.IntegerField(label="Tucks across, between the points", min_value=0, max_value=10_000)
    along_flat = _extent("Flat, along")
    along_finished = _extent("Finished, along")
    along_tucks = forms.IntegerField(label="Tucks along, between the points", min_value=0, max_value=10_000)

    class Meta:
        model = Sample
        fields = (
            "fabric",
            "made_on",
            "washed",
            "across_flat",
            "across_finished",
            "across_tucks",
            "along_flat",
            "along_finished",
            "along_tucks",
            "notes",
        )
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, recipe: Recipe, **kwargs: Any) -> None:
        self.recipe = recipe
        super().__init__(*args, **kwargs)
        self.fields["fabric"].queryset = Fabric.objects.live().order_by("name", "pk")
        for name in DIRECTIONS:
            if recipe.ratio is not None:
                self._ask_by_ratio(recipe.ratio, name)
            elif side(recipe, name) is None:
                self.fields[f"{name}_tucks"].required = False
                self.fields[f"{name}_tucks"].widget = forms.HiddenInput()
                self.fields[f"{name}_flat"].help_text = "Only where the seams draw the cloth in this way."

    def _ask_by_ratio(self, recipe: ByRatio, name: str) -> None:
        """Extents, and how many dots, squares or lines lie between: the more, the surer the reading is."""
        counted, field = counted_in(recipe, name), self.fields[f"{name}_tucks"]
        field.required = False
        if counted:
            field.label = f"{counted} {name}, between the points"
            field.help_text = "Where this direction was measured; the more there are, the surer the reading."
        else:
            field.widget = forms.HiddenInput()
        if not recipe.draws(name):
            self.fields[f"{name}_flat"].help_text = "Only where the cloth changes its size this way."

    def groups(self) -> list[tuple[str, list[BoundField]]]:
        """The visible fields under their headings."""
        named = {"The cloth": ("fabric", "made_on", "washed")}
        named |= {
            d.capitalize(): tuple(f"{d}_{n}" for n in ("flat", "finished", "tucks")) for d in DIRECTIONS
        }
        return [(title, [self[n] for n in names if not self[n].is_hidden]) for title, names in named.items()]

    def changes(self) -> dict[str, Any]:
        """What to write, with the sum of twice the depths of the tucks counted."""
        values = super().changes()
        for name in DIRECTIONS:
            tucks = values.get(f"{name}_tucks") or 0
            measured = values.get(f"{name}_flat") is not None or values.get(f"{name}_finished") is not None
            direction = side(self.recipe, name)
            if self.recipe.ratio is not None:
                once = 0 if counted_in(self.recipe.ratio, name) else 1
                values |= {f"{name}_tucks": max(once, tucks) if measured else 0, f"{name}_depths": 0}
                continue
            values[f"{name}_tucks"] = tucks if measured and direction else 0
            thickness = values["fabric"].thickness if values.get("fabric") else None
            values[f"{name}_depths"] = depths_of(self.recipe, name, values[f"{name}_tucks"], thickness)
        return values


def depths_of(recipe: Recipe, name: str, tucks: int, thickness: int | None) -> int:
    """What so many tucks take up before the cloth adds anything, counted from the first of the repeat (nm).

    The sum of 2 x depth; round a cord, pi (cord + thickness) each.
    """
    direction = side(recipe, name)
    if direction is None or not tucks:
        return 0
    each = starting_take_up(direction, thickness)
    whole, rest = divmod(tucks, len(each))
    return whole * sum(each) + sum(each[:rest])
