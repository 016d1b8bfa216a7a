"""Samples: a recipe tried on a real cloth and measured, flat and finished."""

from django.conf import settings
from django.db import models

from .base import Deletable, LengthField, Revised, TypedUnits
from .fabric import Fabric
from .recipe import RecipeVersion


class Sample(Revised, Deletable, TypedUnits):
    """Extents, flat and finished, in both directions; ``None`` where a direction was not measured.

    Samples pool by technique, fabric, direction and way of working, not by version: what was sewn is
    copied (``content``), and each direction's tuck count and sum of 2 x depth are kept beside it.
    """

    version = models.ForeignKey(RecipeVersion, on_delete=models.PROTECT, related_name="samples")
    fabric = models.ForeignKey(Fabric, on_delete=models.PROTECT, related_name="samples")
    content = models.JSONField()
    washed = models.BooleanField("washed before sewing", default=True)
    across_flat = LengthField(null=True)
    across_finished = LengthField(null=True)
    across_tucks = models.PositiveIntegerField(default=0)
    across_depths = models.BigIntegerField(default=0)
    across_technique = models.CharField(max_length=20, blank=True)
    across_way = models.CharField(max_length=60, blank=True)
    across_place = models.CharField(max_length=6, blank=True)
    along_flat = LengthField(null=True)
    along_finished = LengthField(null=True)
    along_tucks = models.PositiveIntegerField(default=0)
    along_depths = models.BigIntegerField(default=0)
    along_technique = models.CharField(max_length=20, blank=True)
    along_way = models.CharField(max_length=60, blank=True)
    along_place = models.CharField(max_length=6, blank=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    made_on = models.DateField()
    notes = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["-made_on", "-pk"]
        indexes = [
            models.Index(fields=["fabric", "across_technique"]),
            models.Index(fields=["fabric", "along_technique"]),
        ]

    def __str__(self) -> str:
        return f"sample of {self.version} on {self.fabric}"
