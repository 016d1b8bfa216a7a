"""Recipes and their versions, which never change."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models

from .base import Deletable, Revised


class Recipe(Revised, Deletable):
    """A technique with its numbers, under one name, in numbered versions."""

    name = models.CharField(max_length=200)
    notes = models.TextField(blank=True, max_length=10000)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class RecipeVersion(models.Model):
    """One version: the JSON of ``projects.calc.recipe.Recipe`` with its format number. Immutable.

    ``typed`` maps paths in it to the unit they were typed in (``{"across.tucks.0.depth": "in"}``).
    """

    recipe = models.ForeignKey(Recipe, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    content = models.JSONField()
    typed = models.JSONField(default=dict, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["recipe_id", "-number"]
        constraints = [models.UniqueConstraint(fields=["recipe", "number"], name="one_number_a_version")]

    def __str__(self) -> str:
        return f"{self.recipe} v{self.number}"

    def save(self, *args: object, **kwargs: object) -> None:
        if self.pk and not kwargs.pop("force_insert", False):
            raise ValidationError("A version never changes; save the next one.")
        super().save(*args, **kwargs)
