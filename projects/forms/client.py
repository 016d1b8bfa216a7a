"""The form for one client. Contact details are on it for owners only."""

from typing import Any

from django import forms

from projects.activities.clients import CONTACT
from projects.models import Client, Person

from .base import RowForm


class ClientForm(RowForm):
    class Meta:
        model = Client
        fields = ("name", "reference", "email", "telephone", "address", "notes")
        labels = {"email": "E-mail"}
        help_texts = {
            "reference": "Stands on job sheets in place of the name. Leave it empty to print the name."
        }
        widgets = {
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
            "telephone": forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
            "email": forms.EmailInput(attrs={"autocomplete": "off"}),
        }

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not person.is_owner:
            for name in CONTACT:
                del self.fields[name]
