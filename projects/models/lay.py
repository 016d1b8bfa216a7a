"""Lays that were kept: how panels lie on the cloth, with the inputs they were made from."""

from django.conf import settings
from django.db import models

from .base import LengthField
from .fabric import ClothLength, Fabric
from .project import Project


class KeptLay(models.Model):
    """One lay a project and fabric. ``inputs`` is what it was made from, to say when the plan has changed."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="lays")
    fabric = models.ForeignKey(Fabric, on_delete=models.PROTECT, related_name="lays")
    cloth = models.ForeignKey(
        ClothLength, null=True, blank=True, on_delete=models.PROTECT, related_name="lays"
    )
    width = LengthField()
    length = LengthField()
    inputs = models.JSONField()
    result = models.JSONField()
    kept_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    kept_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "fabric"], name="one_lay_a_fabric")]

    def __str__(self) -> str:
        return f"lay of {self.fabric} for {self.project}"
