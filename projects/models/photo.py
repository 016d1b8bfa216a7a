"""Photographs: taken at the table, tied to what they show."""

from django.conf import settings
from django.db import models

from .base import Deletable, Revised
from .fabric import Fabric, Notion
from .project import Project
from .sample import Sample
from .step import Step


class Photo(Revised, Deletable):
    """One photograph. Its files lie under ``photographs/`` in the data folder, named by ``key``.

    What was uploaded is never kept: it is drawn anew, turned right, without what the camera wrote into it.
    A photograph of a step belongs to the step's project as well. ``width`` and ``height`` are those of the
    largest file kept. ``for_client`` puts it on the build page.
    """

    key = models.CharField(max_length=32, unique=True, editable=False)
    project = models.ForeignKey(
        Project, null=True, blank=True, on_delete=models.PROTECT, related_name="photos"
    )
    step = models.ForeignKey(Step, null=True, blank=True, on_delete=models.SET_NULL, related_name="photos")
    sample = models.ForeignKey(Sample, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    fabric = models.ForeignKey(Fabric, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    notion = models.ForeignKey(Notion, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    caption = models.CharField(max_length=300, blank=True)
    for_client = models.BooleanField("show to the client", default=False)
    on_sheet = models.BooleanField("print on the job sheet", default=False)
    width = models.PositiveIntegerField(editable=False)
    height = models.PositiveIntegerField(editable=False)
    size = models.PositiveBigIntegerField("bytes of all its files", editable=False)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="photo_of_something",
                condition=models.Q(project__isnull=False)
                | models.Q(sample__isnull=False)
                | models.Q(fabric__isnull=False)
                | models.Q(notion__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return self.caption or f"photograph {self.pk}"
