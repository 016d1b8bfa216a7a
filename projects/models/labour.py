"""Hours: the labour log and its stored sums."""

from django.conf import settings
from django.db import models

from .project import Project
from .step import Step


class LabourLog(models.Model):
    """Minutes of a person on a date; with start and end (UTC) when timed. One open timer a person."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="labour"
    )
    worker = models.CharField(
        max_length=120,
        blank=True,
        help_text="Who it was, where hours came with a file.",
    )
    # Nobody where hours came with a file that was read at the console, before the studio had an owner.
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    project = models.ForeignKey(
        Project, null=True, blank=True, on_delete=models.PROTECT, related_name="labour"
    )
    stage = models.CharField(max_length=20, blank=True)
    step = models.ForeignKey(Step, null=True, blank=True, on_delete=models.SET_NULL, related_name="labour")
    date = models.DateField()
    minutes = models.PositiveIntegerField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    seen_at = models.DateTimeField(
        null=True, blank=True, help_text="The last sign of work while the timer ran: a tap, a tick."
    )
    gap_from = models.DateTimeField(
        null=True,
        blank=True,
        help_text=(
            "A long silence before this log, from this moment to its start: not counted, to be asked about."
        ),
    )
    rework = models.BooleanField("doing again what was done before", default=False)
    removed_at = models.DateTimeField(null=True, blank=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-date", "-pk"]
        indexes = [
            models.Index(fields=["person", "date"]),
            models.Index(fields=["project", "-date", "-id"]),
            models.Index(fields=["date"]),
            models.Index(
                fields=["project", "step", "stage", "rework", "minutes"],
                name="hours_by_step",
                condition=models.Q(removed_at__isnull=True),
            ),
            models.Index(
                fields=["project", "minutes"], name="rework_of_a_project", condition=models.Q(rework=True)
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["person"],
                name="one_open_timer_a_person",
                condition=models.Q(
                    started_at__isnull=False,
                    ended_at__isnull=True,
                    minutes__isnull=True,
                    removed_at__isnull=True,
                ),
            ),
            models.CheckConstraint(
                name="log_of_somebody",
                condition=models.Q(person__isnull=False, worker="")
                | (models.Q(person__isnull=True) & ~models.Q(worker="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} min on {self.date}"

    @property
    def who(self) -> str:
        """Whose hours they are: a person of the studio, or the name that came with a file."""
        return self.worker or str(self.person or "")


class LabourTotal(models.Model):
    """The stored sum of minutes a project, person and stage; changed only together with the log.

    Hours that came with a file belong to a ``worker``'s name instead of a person.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="labour_totals")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    worker = models.CharField(max_length=120, blank=True)
    stage = models.CharField(max_length=20, blank=True)
    minutes = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["project", "person", "stage"],
                name="one_total",
                condition=models.Q(person__isnull=False),
            ),
            models.UniqueConstraint(
                fields=["project", "worker", "stage"],
                name="one_total_a_worker",
                condition=models.Q(person__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} min"

    @property
    def who(self) -> str:
        return self.worker or str(self.person or "")


class LogChange(models.Model):
    """A change of a log after it was written: who, why, and what stood there before and after."""

    log = models.ForeignKey(LabourLog, on_delete=models.CASCADE, related_name="changes")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    reason = models.CharField(max_length=300, blank=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.reason or f"change of log {self.log_id}"
