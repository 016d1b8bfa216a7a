"""Form fields for numbers people type with a point or a comma: shares in percent, amounts of a notion."""

import re
import unicodedata
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

_NUMBER = re.compile(r"(\d{1,9})(?:([.,])(\d{1,9}))?|([.,])(\d{1,9})")


def read_number(text: str) -> Decimal:
    """A number as typed: ``4``, ``3,5``, ``.5``, full-width digits.

    Raises ``ValidationError`` in plain words. A comma before exactly three digits is refused, since it may
    mean thousands or thousandths.
    """
    plain = unicodedata.normalize("NFKC", text[:40]).strip()
    found = _NUMBER.fullmatch(plain) if len(text) <= 40 else None
    if not found:
        shown = text if len(text) <= 30 else text[:30] + "…"
        raise ValidationError(f"“{shown}” is not a number. Type one such as 4 or 3.5.", code="invalid")
    whole, mark, part, lone_mark, lone_part = found.groups()
    if (mark or lone_mark) == "," and len(part or lone_part) == 3:
        raise ValidationError(
            f"“{plain}” could mean thousands or thousandths. Use a point for parts.",
            code="unclear",
        )
    return Decimal(f"{whole or 0}.{part or lone_part or 0}")


def written(value: Decimal) -> str:
    """The shortest plain text of a number: 4.50 -> "4.5", 100 -> "100"."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


class NumberField(forms.CharField):
    """A decimal from ``least`` to ``most``, with at most ``places`` digits after the point, in ``unit``."""

    def __init__(
        self, *, least: str = "0", most: str, places: int = 0, unit: str = "", **kwargs: Any
    ) -> None:
        self.least, self.most, self.places, self.unit = Decimal(least), Decimal(most), places, unit
        kwargs.setdefault("max_length", None)
        super().__init__(**kwargs)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off", "maxlength": "40"})

    def stored(self, number: Decimal) -> Any:
        """What the row keeps for a typed number."""
        return number

    def shown(self, value: Any) -> Decimal:
        """The number as typed for what the row keeps."""
        return Decimal(value)

    def prepare_value(self, value: Any) -> Any:
        """The plain text of a stored value; what was typed stays as it is."""
        if isinstance(value, Decimal | int) and not isinstance(value, bool):
            return written(self.shown(value))
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return str(self.prepare_value(initial) or "") != (data or "").strip()

    def as_text(self, value: Any) -> str:
        """For reading beside another version."""
        return f"{self.prepare_value(value)} {self.unit}".strip()

    def clean(self, value: Any) -> Any:
        text = (value or "").strip()
        if not text:
            if self.required:
                raise ValidationError("Type a number, such as 4.", code="required")
            return None
        number = read_number(self.bare(text))
        if number != round(number, self.places):
            parts = f"at most {self.places} digits after the point" if self.places else "a whole number"
            raise ValidationError(
                f"{written(number)} is finer than is kept here; type {parts}.", code="invalid"
            )
        if not self.least <= number <= self.most:
            unit = f" {self.unit}" if self.unit else ""
            raise ValidationError(
                f"{written(number)}{unit} is out of range; it should be between {written(self.least)} and "
                f"{written(self.most)}{unit}.",
                code="invalid",
            )
        return self.stored(number)

    def bare(self, text: str) -> str:
        """The text without the field's own unit, which may be typed too."""
        return text.removesuffix(self.unit).rstrip() if self.unit else text


class PercentField(NumberField):
    """A share, typed in percent (``4`` or ``4 %``) and kept as a decimal fraction (0.04)."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(unit="%", **kwargs)

    def bare(self, text: str) -> str:
        return super().bare(text.replace("％", "%"))

    def stored(self, number: Decimal) -> Decimal:
        return number.scaleb(-2)

    def shown(self, value: Any) -> Decimal:
        return Decimal(value).scaleb(2)


class QuantityField(NumberField):
    """So many of a notion in its own unit, kept as whole thousandths."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("places", 3)
        kwargs.setdefault("most", "1000000")
        super().__init__(**kwargs)

    def stored(self, number: Decimal) -> int:
        return int(number * 1000)

    def shown(self, value: Any) -> Decimal:
        return Decimal(value) / 1000
