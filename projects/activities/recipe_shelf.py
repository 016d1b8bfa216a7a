"""Recipes on their shelf: renamed, annotated, deleted with what can be brought back."""

from django.core.exceptions import ValidationError
from django.db import transaction

from projects.models import Deletion, Person, Piece, Recipe, Sample

from . import deleting, photos, revising


def rename_recipe(*, recipe: Recipe, name: str, notes: str, revision: int) -> Recipe:
    """Raises ``revising.Stale`` when somebody saved first."""
    return revising.save_changes(recipe, revision=revision, changes={"name": name, "notes": notes})


@transaction.atomic
def delete_recipe(*, recipe: Recipe, person: Person) -> Deletion:
    """Hide a recipe with its samples. Raises ValidationError while a living piece uses it."""
    Recipe.objects.select_for_update().get(pk=recipe.pk)
    used = (
        Piece.objects.live()
        .filter(version__recipe=recipe, project__deleted_at=None)
        .select_related("project")
    )
    piece = used.first()
    if piece is not None:
        raise ValidationError(
            f"{piece.name} of {piece.project.title} uses this recipe. Give that piece another recipe first."
        )
    samples = list(Sample.objects.live().filter(version__recipe=recipe))
    rows = [recipe, *samples, *photos.of_all(*samples)]
    return deleting.delete(rows, what=f"the recipe {recipe.name}", person=person)
