"""What the studio's forms share: units, typed lengths, the revision and the operation key."""

import uuid
from typing import Any

from django import forms

from projects.calc import lengths
from projects.models import Workroom

from .fields import LengthFormField
from .plain import PlainWords


class StudioForm(PlainWords, forms.Form):
    """A form that knows the studio's units.

    ``units`` says in which system the form was shown, so that a form opened before the studio changed its
    units is still read as it was meant. ``op`` is the post's own key, so that a doubled post is done once.
    """

    op = forms.CharField(widget=forms.HiddenInput, required=False)
    units = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, workroom: Workroom, **kwargs: Any) -> None:
        self.workroom = workroom
        super().__init__(*args, **kwargs)
        shown = self.data.get(self.add_prefix("units"), "") if self.is_bound else ""
        self.system = lengths.System(shown if shown in set(lengths.System) else workroom.units)
        self.initial.setdefault("units", str(self.system))
        self.initial.setdefault("op", str(uuid.uuid4()))
        for field in self.fields.values():
            if isinstance(field, LengthFormField):
                field.system = self.system

    def _clean_fields(self) -> None:
        """Browsers end lines with two characters; rows keep one, so that an untouched text stays the same."""
        super()._clean_fields()
        for name, value in self.cleaned_data.items():
            if isinstance(value, str):
                self.cleaned_data[name] = value.replace("\r\n", "\n")

    def typed_units(self) -> dict[str, str]:
        """Field name -> the unit its length was typed in."""
        found = {}
        for name, field in self.fields.items():
            if isinstance(field, LengthFormField) and field.typed_unit:
                found[name] = field.typed_unit
        return found


class RowForm(StudioForm, forms.ModelForm):
    """A form for one row with a revision. Lengths show in the unit they were typed in.

    ``changes()`` gives what to write; a length left as it was keeps its nanometres and its unit.
    """

    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial.setdefault("revision", getattr(self.instance, "revision", 1))
        typed = getattr(self.instance, "typed", None) or {}
        for name, field in self.fields.items():
            if isinstance(field, LengthFormField):
                field.shown_unit = typed.get(name)

    def changes(self) -> dict[str, Any]:
        """Cleaned values by field name, and ``typed`` where the row keeps it."""
        own = {"op", "units", "revision"}
        values = {name: value for name, value in self.cleaned_data.items() if name not in own}
        if hasattr(self.instance, "typed"):
            values["typed"] = {**(self.instance.typed or {}), **self._changed_units()}
        return values

    def _changed_units(self) -> dict[str, str]:
        units = self.typed_units()
        return {n: u for n, u in units.items() if n in self.changed_data or not self.instance.pk}

    def _post_clean(self) -> None:
        """The row itself is written and checked by an activity; a form only reads what was typed."""
