"""The form of one piece, in groups: what most pieces need first, the rest folded away."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from projects.activities.pieces import odd_pair
from projects.models import Fabric, Piece, Recipe, RecipeVersion

from .base import RowForm
from .fields import LengthFormField
from .recent import MOST as MOST_OFFERED
from .recent import NamesRows, RecentField, last_used, name_field, one_named

MM = 1_000_000
WIDEST, LONGEST, WIDEST_ALLOWANCE = 6_000 * MM, 10_000 * MM, 300 * MM
MOST = 60

GROUPS = (
    ("", ("across", "along", "count", "mirrored")),
    (
        "The pattern and its allowances",
        (
            "drawn_half",
            "allowances_drawn",
            "allowance_sides",
            "allowance_top",
            "allowance_bottom",
        ),
    ),
    ("Where the tucks lie", ("whole_repeats", "centring", "caught")),
    ("Under it, where it is quilted", ("wadding", "backing")),
    ("Cutting and working", ("work_order", "spare", "margin_at", "bordered", "may_turn", "notes")),
)


def _size(label: str, most: int) -> LengthFormField:
    return LengthFormField(kind="piece", label=label, least=MM, most=most)


def _allowance(label: str) -> LengthFormField:
    return LengthFormField(kind="piece", label=label, least=0, most=WIDEST_ALLOWANCE)


class PieceForm(NamesRows, RowForm):
    """One piece. ``recipe`` chooses a version; ``changes()`` gives it as ``version``."""

    across = _size("Finished size across", WIDEST)
    along = _size("Finished size along", LONGEST)
    allowance_sides = _allowance("Allowance, each side")
    allowance_top = _allowance("Allowance, top")
    allowance_bottom = _allowance("Allowance or hem, bottom")
    recipe = forms.TypedChoiceField(required=False, coerce=int, empty_value=None)
    fabric = RecentField(
        Fabric.objects.all(),
        use="pieces__created_at",
        what="fabric",
        required=False,
        empty_label="Not chosen yet",
    )
    wadding = RecentField(
        Fabric.objects.all(), use="wadded__created_at", what="wadding", required=False,
        empty_label="Not chosen yet",
        help_text="Kept among the fabrics, with its width, thickness, weight and price.",
    )  # fmt: skip
    backing = RecentField(
        Fabric.objects.all(), use="backed__created_at", what="backing", required=False,
        empty_label="Not chosen yet",
        help_text="Both are cut as large as the panel and count in what to buy, cost, thickness and weight.",
    )  # fmt: skip
    count = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST,
        error_messages={
            "min_value": "Make at least 1.",
            "max_value": f"At most {MOST} of one piece. Add another piece for more.",
            "invalid": "Type a whole number, such as 2.",
        },
    )

    class Meta:
        model = Piece
        fields = (
            "name",
            "drawn_half",
            "mirrored",
            "spare",
            "allowances_drawn",
            "fabric",
            "wadding",
            "backing",
            "whole_repeats",
            "centring",
            "caught",
            "margin_at",
            "work_order",
            "bordered",
            "may_turn",
            "notes",
        )
        help_texts = {
            "drawn_half": "Type the whole size here; nothing is added on the fold.",
            "centring": "Where on the piece the repeat is laid.",
            "work_order": "Folds that overlap keep their own order. Pleats can go every other one.",
        }
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "off"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["across"].help_text = "Side to side, as worn, without allowances."
        self.fields["along"].help_text = "With the grain."
        for name in ("across", "along", "allowance_sides", "allowance_top", "allowance_bottom", "count"):
            self._show(name)
        self._offer_versions()

    def _show(self, name: str) -> None:
        """Declared fields are not filled from the row by Django; do it here."""
        usual = {
            "allowance_sides": self.workroom.seam_allowance,
            "allowance_top": self.workroom.seam_allowance,
            "allowance_bottom": self.workroom.hem_allowance,
            "count": 1,
        }
        value = getattr(self.instance, name) if self.instance.pk else usual.get(name)
        if value is not None:
            self.initial.setdefault(name, value)

    def _offer_versions(self) -> None:
        """The newest version of each living recipe first, older ones after it, and what is followed now."""
        followed = self.instance.version_id
        self.initial.setdefault("recipe", followed)
        choices, more = recipe_choices(followed, self["recipe"].value())
        self.fields["recipe"].choices = [("", "Plain: no tucks or pleats"), *choices]
        self.fields["recipe"].label = "Recipe"
        if more:
            self.fields["recipe_named"] = name_field("recipe")

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        self._settle_recipe(values)
        self.settle_named(values)
        if values.get("mirrored") and values.get("count", 2) % 2:
            self.add_error("count", odd_pair(values["count"]))
        self._check_folded(values)
        return values

    def _settle_recipe(self, values: dict[str, Any]) -> None:
        """A recipe named by typing stands for its newest version."""
        typed = str(values.pop("recipe_named", "") or "").strip()
        if typed:
            try:
                recipe = one_named(Recipe.objects.live(), typed, "recipe")
            except ValidationError as error:
                self.add_error("recipe_named", error)
            else:
                values["recipe"] = recipe.versions.order_by("-number").values_list("pk", flat=True).first()

    def _check_folded(self, values: dict[str, Any]) -> None:
        sides, across = values.get("allowance_sides"), values.get("across")
        if values.get("allowances_drawn") and sides and across and 2 * sides >= across:
            self.add_error(
                "allowance_sides", ValidationError("Both allowances together are wider than the piece.")
            )

    def changes(self) -> dict[str, Any]:
        values = super().changes()
        chosen = values.pop("recipe")
        values["version"] = RecipeVersion.objects.select_related("recipe").get(pk=chosen) if chosen else None
        return values

    @property
    def groups(self) -> list[tuple[str, list[Any], bool]]:
        """Title, fields, and whether the group has something to put right (and so stands open)."""
        found = []
        for title, names in GROUPS:
            named = (more for name in names for more in (name, f"{name}_named") if more in self.fields)
            fields = [self[name] for name in named]
            found.append((title, fields, any(f.errors for f in fields)))
        return found


def recipe_choices(
    followed: int | None, chosen: Any = None
) -> tuple[list[tuple[str, list[tuple[int, str]]]], bool]:
    """By recipe, its versions with the newest first, and whether there are more recipes than are offered.

    The recipes used last, and those of the version followed and of the one chosen. What the recipes hold is
    left unread.
    """
    recent = last_used(Recipe.objects.live(), "versions__pieces__created_at")
    found = list(recent.values_list("pk", flat=True)[: MOST_OFFERED + 1])
    offered = found[:MOST_OFFERED]
    asked = int(chosen) if str(chosen).isascii() and str(chosen).isdigit() and len(str(chosen)) < 12 else None
    usable = Q(recipe__in=offered) | Q(pk=followed) | Q(pk=asked, recipe__deleted_at=None)
    rows = RecipeVersion.objects.filter(usable).select_related("recipe").only("number", "recipe__name")
    groups: dict[int, tuple[str, list[tuple[int, str]]]] = {}
    for row in rows.order_by("recipe__name", "recipe_id", "-number"):
        name, versions = groups.setdefault(row.recipe_id, (row.recipe.name, []))
        newest = ", newest" if not versions and row.recipe_id in offered else ""
        versions.append((row.pk, f"{name}, version {row.number}{newest}"))
    return list(groups.values()), len(found) > MOST_OFFERED
