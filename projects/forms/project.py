"""The forms of one project: what it is, and which notions it needs."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from projects.models import Client, Notion, Project

from .base import RowForm, StudioForm
from .numbers import QuantityField
from .recent import NamesRows, RecentField


def likely(day: date | None) -> date | None:
    if day and not 1990 <= day.year <= 2200:
        raise ValidationError(f"The year {day.year} can't be right. Type a date such as 2026-05-30.")
    return day


class ProjectForm(NamesRows, RowForm):
    """One project. ``new_client`` takes the name of somebody the studio has not worked for yet."""

    client = RecentField(
        Client.objects.all(),
        use="projects__created_at",
        what="client",
        required=False,
        empty_label="Nobody: own work",
    )
    new_client = forms.CharField(
        label="Or a new client's name",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    class Meta:
        model = Project
        fields = (
            "title",
            "client",
            "new_client",
            "kind",
            "due",
            "washing",
            "childrens_wear",
            "nightwear",
            "brief",
            "promised",
            "client_note",
        )
        labels = {
            "brief": "Brief: what was asked for",
            "due": "Due date",
            "promised": "Promised to the client for",
            "client_note": "Note to the client",
        }
        help_texts = {
            "kind": "It decides how the work ends, and which steps of the studio's own it gets.",
            "promised": "The date on the page you share; the due date is the studio's own.",
            "client_note": "Shown to everybody who has a link to the page you share.",
        }
        widgets = {
            "title": forms.TextInput(attrs={"autocomplete": "off"}),
            "due": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
            "promised": forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        }

    field_order = Meta.fields

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].required = False

    def clean_kind(self) -> str:
        """Left out, it stays what it is."""
        return self.cleaned_data["kind"] or self.instance.kind

    def clean_due(self) -> date | None:
        return likely(self.cleaned_data["due"])

    def clean_promised(self) -> date | None:
        return likely(self.cleaned_data["promised"])

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        self.settle_named(values)
        if values.get("client") and values.get("new_client"):
            self.add_error("new_client", "Choose a client or type a new name, not both.")
        return values

    def changes(self) -> dict[str, Any]:
        """What to write; the new client's name is apart, in ``new_client_name``."""
        return {name: value for name, value in super().changes().items() if name != "new_client"}

    @property
    def new_client_name(self) -> str:
        return str(self.cleaned_data.get("new_client") or "").strip()


class NeedForm(NamesRows, StudioForm):
    """So many of a notion, and what for. ``amount`` cleans to thousandths of the notion's unit."""

    notion = RecentField(
        Notion.objects.live(), use="entries__at", what="notion", empty_label="Choose a notion"
    )
    amount = QuantityField(least="0.001", label="How many")
    why = forms.CharField(label="What for", max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        self.settle_named(values)
        return values
