"""Links by which a client sees the build page."""

from django.conf import settings
from django.db import models

from .project import Project


class ShareLink(models.Model):
    """One named link to a project's build page. Only the SHA-256 of its token is kept.

    ``expires_at`` empty: until it is revoked.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="links")
    name = models.CharField("who it is for", max_length=120)
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    show_progress = models.BooleanField("how far the work is", default=True)
    show_photos = models.BooleanField("the photographs chosen", default=True)
    show_drawing = models.BooleanField("the drawing of the texture", default=True)
    show_cloth = models.BooleanField("the cloth", default=True)
    show_date = models.BooleanField("the promised date", default=True)
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["project_id", "pk"]

    def __str__(self) -> str:
        return self.name
