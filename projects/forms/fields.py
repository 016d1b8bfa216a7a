"""Form fields of our own: lengths in either system, read back exactly as they were typed."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.calc import lengths


class LengthFormField(forms.CharField):
    """A length. ``kind`` is "fine", "piece" or "cloth" and settles the field's unit with ``system``.

    Cleans to whole nanometres (``None`` when empty and not required). ``typed_unit`` then tells the unit
    that was written. ``least`` and ``most`` (nm) bound it.
    """

    def __init__(self, *, kind: str, least: int = 0, most: int | None = None, **kwargs: Any) -> None:
        self.kind, self.least, self.most = kind, least, most
        self.system = lengths.System.METRIC
        self.typed_unit = ""
        self.shown_unit: str | None = None
        kwargs.setdefault("max_length", None)
        super().__init__(**kwargs)
        self.widget.attrs.update(
            {"class": "length", "inputmode": "text", "autocomplete": "off", "maxlength": "60"}
        )

    @property
    def unit(self) -> str:
        return lengths.field_unit(self.kind, self.system)

    def prepare_value(self, value: Any) -> Any:
        """The exact text for a stored length; what was typed stays as it is."""
        if isinstance(value, int) and not isinstance(value, bool):
            return lengths.exact(value, self.shown_unit or self.unit, self.unit)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return (self.prepare_value(initial) or "") != (data or "").strip()

    def clean(self, value: Any) -> int | None:
        text = (value or "").strip()
        if not text:
            if self.required:
                raise ValidationError(f"Type a length, such as {self.example}.", code="required")
            return None
        try:
            typed = lengths.parse(text, self.unit, least=self.least, most=self.most)
        except lengths.LengthError as error:
            raise ValidationError(str(error), code="invalid") from error
        self.typed_unit = typed.unit
        return typed.nm

    @property
    def example(self) -> str:
        return {"mm": "12 or 12 mm", "cm": "48.5", "m": "2.3", "in": "5/16 or 1 7/16", "yd": "2 1/4"}[
            self.unit
        ]
