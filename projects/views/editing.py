"""What every form page shares: save once, or show the form again with what was typed and what is wrong."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse

from projects.activities.revising import Stale
from projects.models import Deletion

from . import posts
from .stale import stale_page


def add_problems(form: forms.BaseForm, error: ValidationError) -> None:
    """Put what an activity refused beside the fields it names; the rest above the form."""
    named = error.error_dict if hasattr(error, "error_dict") else {"": error.error_list}
    for name, errors in named.items():
        form.add_error(name if name in form.fields else None, errors)


def save(
    request: HttpRequest,
    form: forms.BaseForm,
    do: Callable[[], str],
    *,
    page: str,
    context: dict[str, Any],
    back: str,
) -> HttpResponse:
    """Answer a posted form: 303 where ``do`` leads, 422 with what is wrong, or 409 when somebody saved first.

    ``do`` calls an activity and returns an address; ``back`` leads to the row as it is now.
    """
    if form.is_valid():
        try:
            return posts.once(request, do)
        except Stale as stale:
            return stale_page(request, form, stale.current, back=back)
        except ValidationError as error:
            add_problems(form, error)
    return posts.show(request, page, {**context, "form": form}, status=422)


def offer_undo(request: HttpRequest, text: str, deletion: Deletion) -> None:
    """Say what was deleted, with a button that brings it back."""
    messages.success(request, text, extra_tags=f"undo-{deletion.pk}")


def keep(**parameters: str) -> str:
    """What else stands in a list's address, ready to be followed by ``page=2``."""
    kept = urlencode({name: value for name, value in parameters.items() if value})
    return f"{kept}&" if kept else ""
