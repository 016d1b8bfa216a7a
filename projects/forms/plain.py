"""What is wrong with a field in plain words: what was given, and what would be right."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

SHOWN = 40
GIVEN = "%(given)s"
"""Stands for what was typed, cut short where it is long."""

EVERYWHERE = {
    "required": "This was left empty; type something here.",
    "max_length": "%(show_value)d characters were typed; at most %(limit_value)d fit here.",
    "min_length": "%(show_value)d characters were typed; at least %(limit_value)d are needed.",
    "min_value": "“%(given)s” is too small; type %(limit_value)s or more.",
    "max_value": "“%(given)s” is too large; type %(limit_value)s or less.",
    "max_digits": "“%(given)s” has too many digits; at most %(max)s are kept.",
    "max_decimal_places": "“%(given)s” is finer than is kept here; digits after the point: at most %(max)s.",
    "max_whole_digits": "“%(given)s” is too large; digits before the point: at most %(max)s.",
    "null_characters_not_allowed": "A character in this can't be kept (NUL); type the text anew.",
}
CHOICE = {"required": "Nothing was chosen; choose one from the list."}
DATE = "“%(given)s” is not a date. Type one such as 2026-05-30."
BY_FIELD: tuple[tuple[type[forms.Field], dict[str, str]], ...] = (
    (
        forms.ModelChoiceField,
        {**CHOICE, "invalid_choice": "What was chosen is not there any more; choose from the list again."},
    ),
    (
        forms.ChoiceField,
        {**CHOICE, "invalid_choice": "“%(given)s” is not in the list; choose one that is."},
    ),
    (forms.BooleanField, {"required": "Tick this to go on."}),
    (forms.DateField, {"required": "No date was given. Type one such as 2026-05-30.", "invalid": DATE}),
    (
        forms.DecimalField,
        {
            "required": "No number was typed; type one such as 2.5.",
            "invalid": "“%(given)s” is not a number; type one such as 2.5.",
        },
    ),
    (
        forms.IntegerField,
        {
            "required": "No number was typed; type a whole one, such as 2.",
            "invalid": "“%(given)s” is not a whole number; type one such as 2.",
        },
    ),
    (
        forms.EmailField,
        {"invalid": "“%(given)s” is not an e-mail address; type one such as name@example.org."},
    ),
    (forms.URLField, {"invalid": "“%(given)s” is not an address; type one such as https://example.org."}),
)
"""Kinds of fields, a kind that belongs to another one before it."""


class PlainWords(forms.BaseForm):
    """A form whose fields speak plainly, unless they have words of their own."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.error_messages = {**field.error_messages, **_words(field)}

    def add_error(self, field: str | None, error: Any) -> None:
        found = error if isinstance(error, ValidationError) else ValidationError(error)
        if field is not None and not hasattr(found, "error_dict"):
            _tell_given(found.error_list, self[field].data)
        super().add_error(field, found)


def _words(field: forms.Field) -> dict[str, str]:
    """Plain words for the codes that the field leaves to the framework."""
    special = next((words for kind, words in BY_FIELD if isinstance(field, kind)), {})
    usual = _framework_words(type(field))
    return {
        code: text
        for code, text in {**EVERYWHERE, **special}.items()
        if field.error_messages.get(code) == usual.get(code)
    }


def _framework_words(kind: type[forms.Field]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for parent in reversed(kind.__mro__):
        found.update(getattr(parent, "default_error_messages", {}))
    return found


def _tell_given(errors: Iterable[ValidationError], given: Any) -> None:
    for error in errors:
        if GIVEN in str(error.message):
            error.params = {**(error.params or {}), "given": shortened(given)}


def shortened(given: Any) -> str:
    text = str(given if given is not None else "").strip()
    return text if len(text) <= SHOWN else text[:SHOWN] + "…"
