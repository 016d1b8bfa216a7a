"""The studio's own stages, and steps that every project of a kind gets."""

from django.core.validators import MinValueValidator
from django.db import models

from .base import Deletable, Revised
from .project import Project


class OwnStage(Revised, Deletable):
    """A stage of the studio's own; it stands behind the stage with the key ``after``.

    Steps and logs name it by ``key``, which never changes.
    """

    key = models.CharField(max_length=20, unique=True, editable=False)
    title = models.CharField(max_length=60)
    after = models.CharField("comes after", max_length=20)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.title


class StepTemplate(Revised, Deletable):
    """A step that each project of a kind gets (``kind`` empty: every project), once or for each panel."""

    kind = models.CharField("kind of work", max_length=10, choices=Project.KINDS, blank=True, default="")
    stage = models.CharField(max_length=20)
    title = models.CharField(max_length=200)
    detail = models.TextField(blank=True, max_length=2000)
    minutes = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    per_panel = models.BooleanField("for each panel", default=False)
    at_start = models.BooleanField("at the beginning of its stage", default=False)
    order = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.title
