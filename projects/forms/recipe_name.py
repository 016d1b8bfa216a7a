"""A recipe's name and notes; its numbers are on the recipe page."""

from django import forms

from projects.models import Recipe

from .base import RowForm


class RecipeNameForm(RowForm):
    class Meta:
        model = Recipe
        fields = ("name", "notes")
        widgets = {"name": forms.TextInput(attrs={"autocomplete": "off"})}
