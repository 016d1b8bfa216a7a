"""Two people edited the same row: both versions side by side, what was typed kept."""

import uuid
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import Model
from django.forms.boundfield import BoundField
from django.http import HttpRequest, HttpResponse

from projects.forms.fields import LengthFormField
from projects.forms.numbers import NumberField

from . import posts


@dataclass(frozen=True, slots=True)
class Difference:
    """One field that is not the same in both: its label and both values as text for reading."""

    label: str
    theirs: str
    yours: str


def stale_page(request: HttpRequest, form: forms.BaseForm, current: Model, *, back: str) -> HttpResponse:
    """A 409 page. The form keeps what was typed and now carries the current revision and a fresh key.

    Fields that differ are shown to be settled; the others go along hidden. ``back`` leads to the row as it
    is now, for who would rather keep that.
    """
    differing = [bound for bound in form.visible_fields() if _differs(bound, current)]
    same = [bound for bound in form.visible_fields() if bound not in differing]
    context = {
        "form": form,
        "current": current,
        "back": back,
        "fields": differing,
        "same": same,
        "differences": [_difference(bound, current) for bound in differing],
    }
    renew(form, current)
    return posts.show(request, "stale.html", context, status=409)


def renew(form: forms.BaseForm, current: Model) -> None:
    """Let a bound form carry the current revision and a fresh key, so that it can be sent again."""
    data = form.data.copy()
    data[form.add_prefix("revision")] = str(getattr(current, "revision", 1))
    data[form.add_prefix("op")] = str(uuid.uuid4())
    form.data = data


def _differs(bound: BoundField, current: Model) -> bool:
    if not hasattr(current, bound.name):
        return bool(form_value(bound))
    return getattr(current, bound.name) != form_value(bound)


def form_value(bound: BoundField) -> Any:
    return bound.form.cleaned_data.get(bound.name)


def _difference(bound: BoundField, current: Model) -> Difference:
    theirs = getattr(current, bound.name, None)
    return Difference(bound.label, _text(bound.field, theirs), _text(bound.field, form_value(bound)))


def _text(field: forms.Field, value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(field, LengthFormField):
        text = str(field.prepare_value(value))
        return text if text[-1:].isalpha() else f"{text} {field.unit}"
    if hasattr(field, "as_text"):
        return str(field.as_text(value))
    if isinstance(field, NumberField):
        return field.as_text(value)
    if isinstance(field, forms.ChoiceField) and not isinstance(field, forms.ModelChoiceField):
        return _choice(field, value)
    return str(value)


def _choice(field: forms.ChoiceField, value: Any) -> str:
    flat: dict[str, str] = {}
    for key, label in field.choices:
        flat.update(
            {str(k): str(v) for k, v in label} if isinstance(label, list | tuple) else {str(key): str(label)}
        )
    return flat.get(str(value), str(value))
