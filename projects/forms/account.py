"""Forms of one's own account beside the password."""

from typing import Any

from django import forms

from projects.models import Person

from .base import StudioForm

SHORTEST, LONGEST = 10, 240


class BreakForm(StudioForm):
    """After how long the running timer reminds of a break; empty for never."""

    break_after = forms.IntegerField(
        label="Remind me of a break after, in minutes",
        required=False,
        min_value=SHORTEST,
        max_value=LONGEST,
        help_text="Of work without a pause; a timer stopped for 5 minutes or more is one. Leave it empty for "
        "no reminder.",
    )

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("break_after", person.break_after)
