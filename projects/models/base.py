"""What several nouns share: lengths in nanometres, typed units, revisions, reversible deletion."""

from django.conf import settings
from django.db import models


class LengthField(models.BigIntegerField):
    """A length in whole nanometres; ``None`` where a length may be unknown."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        kwargs.setdefault("default", 0) if not kwargs.get("null") else kwargs.setdefault("blank", True)
        super().__init__(*args, **kwargs)


class TypedUnits(models.Model):
    """Remembers in which unit each length was typed, so that a form reads back what was written.

    ``typed`` maps a field name to a unit (``{"depth": "in"}``); a field that is missing was typed in the
    field's own unit.
    """

    typed = models.JSONField(default=dict, blank=True)

    class Meta:
        abstract = True


class Revised(models.Model):
    """A row that two people may edit: ``revision`` grows by one with each change.

    Activities compare it with the revision the form was filled from, so nothing is overwritten silently.
    """

    revision = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        abstract = True


class Deletion(models.Model):
    """One deletion: everything that went together carries its number and comes back with it."""

    deleted_at = models.DateTimeField()
    deleted_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL)
    what = models.CharField(max_length=300)
    restored_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.what


class LiveQuerySet(models.QuerySet):
    def live(self) -> "LiveQuerySet":
        """Rows that are not deleted."""
        return self.filter(deleted_at=None)


class Deletable(models.Model):
    """A row that can be deleted and brought back for thirty days. The default manager sees all rows."""

    deleted_at = models.DateTimeField(null=True, blank=True, db_index=True)
    deletion = models.ForeignKey(Deletion, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    objects = LiveQuerySet.as_manager()

    class Meta:
        abstract = True

    @property
    def is_live(self) -> bool:
        return self.deleted_at is None
