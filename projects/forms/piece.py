"""The form of one piece, in groups: what most pieces need first, the rest folded away."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from projects.activities.pieces import odd_pair
from projects.models import Fabric, Piece, RecipeVersion

from .base import RowForm
from .fields import LengthFormField

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
    ("Cutting and working", ("spare", "margin_at", "bordered", "may_turn", "notes")),
)


def _size(label: str, most: int) -> LengthFormField:
    return LengthFormField(kind="piece", label=label, least=MM, most=most)


def _allowance(label: str) -> LengthFormField:
    return LengthFormField(kind="piece", label=label, least=0, most=WIDEST_ALLOWANCE)


class PieceForm(RowForm):
    """One piece. ``recipe`` chooses a version; ``changes()`` gives it as ``version``."""

    across = _size("Finished size across", WIDEST)
    along = _size("Finished size along", LONGEST)
    allowance_sides = _allowance("Allowance, each side")
    allowance_top = _allowance("Allowance, top")
    allowance_bottom = _allowance("Allowance or hem, bottom")
    recipe = forms.TypedChoiceField(required=False, coerce=int, empty_value=None)
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
            "whole_repeats",
            "centring",
            "caught",
            "margin_at",
            "bordered",
            "may_turn",
            "notes",
        )
        help_texts = {
            "drawn_half": "Type the whole size here; nothing is added on the fold.",
            "centring": "Where on the piece the repeat is laid.",
        }
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "off"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["fabric"].queryset = Fabric.objects.filter(
            Q(deleted_at=None) | Q(pk=self.instance.fabric_id)
        )
        self.fields["fabric"].empty_label = "Not chosen yet"
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
        self.fields["recipe"].choices = [("", "Plain: no tucks or pleats"), *recipe_choices(followed)]
        self.fields["recipe"].label = "Recipe"
        self.initial.setdefault("recipe", followed)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("mirrored") and values.get("count", 2) % 2:
            self.add_error("count", odd_pair(values["count"]))
        self._check_folded(values)
        return values

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
            fields = [self[name] for name in names]
            found.append((title, fields, any(f.errors for f in fields)))
        return found


def recipe_choices(followed: int | None) -> list[tuple[str, list[tuple[int, str]]]]:
    """By recipe, its versions with the newest first. One query; what the recipes hold is left unread."""
    rows = RecipeVersion.objects.select_related("recipe").only("number", "recipe__name", "recipe__deleted_at")
    groups: dict[int, tuple[str, list[tuple[int, str]]]] = {}
    for row in rows.order_by("recipe__name", "recipe_id", "-number"):
        if row.recipe.deleted_at is not None and row.pk != followed:
            continue
        name, versions = groups.setdefault(row.recipe_id, (row.recipe.name, []))
        newest = ", newest" if not versions else ""
        versions.append((row.pk, f"{name}, version {row.number}{newest}"))
    return list(groups.values())
