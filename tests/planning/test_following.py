"""Versions of recipes: numbered in turn, never changed, followed by the pieces that were ticked."""

from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from projects.activities import recipes
from projects.models import Person, RecipeVersion
from tests import make

pytestmark = pytest.mark.django_db
DEEPER = make.content(make.tucks((18, 5), (12, 8)))


def save(recipe: object, person: Person, content: object = DEEPER, **values: object) -> RecipeVersion:
    return recipes.save_version(recipe=recipe, content=content, typed={}, person=person, **values)


def test_versions_are_numbered_in_turn_and_never_change(owner: Person) -> None:
    recipe = recipes.create_recipe(name="Graduated tucks", content=make.content(), typed={}, person=owner)
    second = save(recipe, owner, note="deeper")
    assert [second.number, save(recipe, owner, make.content()).number] == [2, 3]
    second.note = "other"
    with pytest.raises(ValidationError):
        second.save()


def test_a_doubled_save_leads_to_the_same_version(owner: Person) -> None:
    recipe = make.recipe()
    assert save(recipe, owner).pk == save(recipe, owner).pk
    assert recipe.versions.count() == 2


def test_typed_units_make_a_version_of_their_own(owner: Person) -> None:
    recipe = make.recipe()
    save(recipe, owner)
    typed = {"across.tucks.0.depth": "in"}
    version = recipes.save_version(recipe=recipe, content=DEEPER, typed=typed, person=owner)
    assert (version.number, version.typed) == (3, typed)


def test_two_people_saving_at_once_get_two_numbers(owner: Person) -> None:
    recipe = make.recipe()
    honest = QuerySet.aggregate
    answers = iter([{"last": 0}])  # somebody else's version 1 is there already

    def late(self: QuerySet, *args: object, **named: object) -> dict[str, object]:
        return next(answers, None) or honest(self, *args, **named)

    with mock.patch.object(QuerySet, "aggregate", late):
        assert save(recipe, owner).number == 2


def test_only_the_pieces_named_follow_and_only_with_their_own_recipe(owner: Person) -> None:
    recipe, other = make.recipe(), make.recipe("Pin tucks")
    first = recipe.versions.get()
    follows, stays, gone = (make.piece(version=first, name=name) for name in ("Front", "Back", "Cuff"))
    of_another = make.piece(version=other.versions.get())
    make.deletion(gone)
    named = [follows.pk, gone.pk, of_another.pk]
    second = save(recipe, owner, follow_piece_ids=named)
    for piece in (follows, stays, gone, of_another):
        piece.refresh_from_db()
    assert (follows.version, follows.revision) == (second, 2)
    assert (stays.version, stays.revision) == (first, 1)
    assert gone.version == first
    assert of_another.version == other.versions.get()
    save(recipe, owner, follow_piece_ids=named)
    follows.refresh_from_db()
    assert follows.revision == 2
