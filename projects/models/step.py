"""Steps that somebody touched. Generated steps live in the Plan until they are ticked, moved or skipped."""

from django.conf import settings
from django.db import models

from .piece import Panel
from .project import Project


class Step(models.Model):
    """A step's own facts. ``key`` names a generated step (panel, kind, direction, number), or is null.

    Done, skipped or logged steps are never removed; when the plan no longer holds their key they show as
    "no longer in the plan", with the words they had (``title``, ``stage``).
    """

    STATES = [("open", "To do"), ("done", "Done"), ("skipped", "Skipped")]

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="steps")
    panel = models.ForeignKey(Panel, null=True, blank=True, on_delete=models.PROTECT, related_name="steps")
    # Null, not empty, for own steps: a project may have many, and keys are unique.
    key = models.CharField(max_length=120, null=True, blank=True)  # noqa: DJ001
    stage = models.CharField(max_length=20)
    title = models.CharField(max_length=300)
    detail = models.TextField(blank=True, max_length=2000)
    minutes = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    state = models.CharField(max_length=7, choices=STATES, default="open")
    reason = models.CharField("why it is skipped", max_length=300, blank=True)
    place = models.FloatField(
        null=True, blank=True, help_text="Where it stands in the order; empty: where the plan puts it."
    )
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    removed_at = models.DateTimeField(null=True, blank=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="one_step_a_key")]

    def __str__(self) -> str:
        return self.title
