"""Forms of a lay that is being worked on: what is asked for, where one panel lies, another width."""

from collections.abc import Sequence
from typing import Any

from django import forms

from projects.calc.lengths import Rounding, rounded
from projects.models import ClothLength, LayDraft, Project
from projects.planning.load import Stock

from .base import StudioForm
from .fields import LengthFormField
from .lay import length_said

MM = 1_000_000
CM, METRE = 10 * MM, 1_000 * MM
LONGEST = 1_000 * METRE


class RowsChoice(forms.ModelMultipleChoiceField):
    """Rows to tick, each with what is said of it."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.said: dict[int, str] = {}

    def label_from_instance(self, obj: Any) -> str:
        return self.said.get(obj.pk, str(obj))

    def offer(self, said: dict[int, str]) -> None:
        self.said = said
        self.queryset = self.queryset.filter(pk__in=said)


class OptionsForm(StudioForm):
    """What a lay is asked for. ``revision`` is that of the draft the form was filled from."""

    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    width = LengthFormField(
        kind="piece", least=CM, most=10 * METRE, required=False, label="Width of cloth to buy"
    )
    gap = LengthFormField(
        kind="fine", most=METRE, label="Gap between panels", help_text="Left free for the blade or shears."
    )
    end_loss = LengthFormField(
        kind="piece", most=10 * METRE, label="Lost at each cut end", help_text="To straighten the end."
    )
    smallest_remnant = LengthFormField(
        kind="piece",
        most=10 * METRE,
        label="Smallest remnant worth keeping",
        help_text="On its shorter side; what is smaller counts as waste.",
    )
    straight_cuts = forms.BooleanField(
        required=False,
        label="Every cut from edge to edge",
        help_text="As cloth is torn, or cut on a mat with a rule.",
    )
    use_stash = forms.BooleanField(required=False, label="Use up lengths on the shelf first")
    one_dye_lot = forms.BooleanField(required=False, label="All from one dye lot")
    lengths = RowsChoice(
        ClothLength.objects.all(),
        required=False,
        label="Only these lengths",
        help_text="None ticked: all that are free for this project.",
    )
    others = RowsChoice(
        Project.objects.all(),
        required=False,
        label="Laid together with",
        help_text="Projects in hand that need this fabric too.",
    )

    def __init__(
        self,
        *args: Any,
        draft: LayDraft,
        stock: Sequence[Stock],
        others: Sequence[Project],
        width: int,
        **kwargs: Any,
    ) -> None:
        own = [name for name in self.base_fields if name not in ROWS and hasattr(LayDraft, name)]
        initial = {name: getattr(draft, name) for name in own}
        chosen = {name: [row.pk for row in getattr(draft, name).all()] if draft.pk else [] for name in ROWS}
        super().__init__(*args, initial={**initial, **chosen}, auto_id="asked_%s", **kwargs)
        usual = rounded(width, Rounding.PANEL, self.system)
        self.fields["width"].help_text = f"Empty: {usual}, as the fabric is."
        self.fields["lengths"].offer({s.length.pk: length_said(s, self.system) for s in stock})
        self.fields["others"].offer({row.pk: f"{row.number} {row.title}" for row in others})
        for name, there in (("lengths", stock), ("others", others)):
            if not there:
                del self.fields[name]

    @property
    def plain(self) -> list[forms.BoundField]:
        return [self[name] for name in ("width", "gap", "end_loss", "smallest_remnant")]

    @property
    def ticks(self) -> list[forms.BoundField]:
        return [self[name] for name in ("straight_cuts", "use_stash", "one_dye_lot")]

    @property
    def rows(self) -> list[forms.BoundField]:
        return [self[name] for name in ROWS if name in self.fields]

    def values(self) -> dict[str, Any]:
        own = {"op", "units", "revision"}
        return {name: value for name, value in self.cleaned_data.items() if name not in own}


ROWS = ("lengths", "others")


class ImproveForm(StudioForm):
    seconds = forms.IntegerField(
        min_value=1,
        max_value=3600,
        label="Seconds at most",
        widget=forms.NumberInput(attrs={"class": "short"}),
    )

    def __init__(self, *args: Any, draft: LayDraft, **kwargs: Any) -> None:
        super().__init__(*args, initial={"seconds": draft.seconds}, auto_id="improve_%s", **kwargs)


class PanelForm(StudioForm):
    """One panel of a lay: its name there, and which of those of its name."""

    name = forms.CharField(widget=forms.HiddenInput, max_length=400, strip=False)
    copy = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=1_000)

    def panel(self) -> dict[str, Any]:
        return {"name": self.cleaned_data["name"], "copy": self.cleaned_data["copy"]}


class PlaceForm(PanelForm):
    """Where a panel is put by numbers: its corner nearest the start and the left selvedge."""

    y = LengthFormField(kind="piece", most=LONGEST, label="From the start")
    x = LengthFormField(kind="piece", most=10 * METRE, label="From the selvedge")
    turned = forms.BooleanField(required=False, label="Turned")
    on = forms.ChoiceField(required=False, label="On")

    def __init__(self, *args: Any, cloths: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, auto_id="place_%s", **kwargs)
        self.fields["on"].choices = list(cloths)
        if len(cloths) < 2:
            self.fields["on"].widget = forms.HiddenInput()

    def keep_grain(self) -> None:
        """Don't offer to turn a panel that its grain, the cloth or its own shape keeps as it is."""
        self.fields["turned"].widget = forms.HiddenInput()

    def where(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("x", "y", "turned", "on")}


class WidthForm(StudioForm):
    """Another width to compare with, read from the address."""

    op = None
    at = LengthFormField(kind="piece", least=CM, most=10 * METRE, label="Another width")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="other_%s", **kwargs)
