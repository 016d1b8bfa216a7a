"""What people do with recipes: begin one, save the next version, let pieces follow it."""

from collections.abc import Iterable, Mapping

from django.db import IntegrityError, transaction
from django.db.models import F, Max
from django.utils import timezone

from projects.calc.recipe import Recipe as Content
from projects.models import Person, Piece, Recipe, RecipeVersion

TRIES = 5


@transaction.atomic
def create_recipe(
    *, name: str, content: Content, typed: Mapping[str, str], person: Person | None, notes: str = ""
) -> Recipe:
    """A recipe with its first version. ``typed`` maps places in it to the unit they were typed in."""
    recipe = Recipe(name=name, notes=notes)
    recipe.full_clean()
    recipe.save()
    RecipeVersion.objects.create(
        recipe=recipe, number=1, content=content.to_json(), typed=dict(typed), made_by=person
    )
    return recipe


@transaction.atomic
def save_version(
    *,
    recipe: Recipe,
    content: Content,
    typed: Mapping[str, str],
    person: Person | None,
    follow_piece_ids: Iterable[int] = (),
    note: str = "",
) -> RecipeVersion:
    """The next version; the pieces named that use this recipe follow it, all others stay where they are.

    Numbers that are the newest version's make no new one, so a doubled save leads to the same version.
    """
    newest = recipe.versions.order_by("-number").first()
    written = content.to_json()
    if newest is None or newest.content != written or newest.typed != dict(typed):
        newest = _next(recipe, written, dict(typed), person, note)
    follow(version=newest, piece_ids=follow_piece_ids)
    return newest


def _next(
    recipe: Recipe, written: dict[str, object], typed: dict[str, str], person: Person | None, note: str
) -> RecipeVersion:
    """The number after the last; when somebody takes it first, the one after that."""
    for attempt in range(TRIES):
        last = RecipeVersion.objects.filter(recipe=recipe).aggregate(last=Max("number"))["last"] or 0
        version = RecipeVersion(
            recipe=recipe, number=last + 1, content=written, typed=typed, made_by=person, note=note
        )
        try:
            with transaction.atomic():
                version.save()
        except IntegrityError:
            if attempt == TRIES - 1:
                raise
        else:
            break
    return version


@transaction.atomic
def follow(*, version: RecipeVersion, piece_ids: Iterable[int]) -> int:
    """Point living pieces that use another version of this recipe at ``version``; how many moved.

    Panels that are cut keep their numbers; the plan says what would have changed in them.
    """
    pieces = Piece.objects.live().filter(pk__in=list(piece_ids), version__recipe_id=version.recipe_id)
    pieces = pieces.exclude(version=version)
    return pieces.update(version=version, revision=F("revision") + 1, changed_at=timezone.now())
