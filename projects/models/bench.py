"""Work at the bench: runs, and the facts that each tap leaves behind."""

from django.conf import settings
from django.db import models

from .base import LengthField
from .edge import Edge
from .fabric import Fabric
from .piece import Panel
from .project import Project


class Run(models.Model):
    """The work of one direction of one panel, or of one edge, done unit after unit.

    ``key`` is that of the step which sews it. The row is made by the first fact; how far the work is follows
    from the facts alone. ``placing`` says what each seam is placed by: drawn stitch lines, drawn folds, or
    the seam sewn last.
    """

    PLACINGS = [
        ("lines", "Stitch lines are drawn"),
        ("folds", "Only folds are drawn"),
        ("last", "Nothing is drawn: from the last seam"),
    ]

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="runs")
    panel = models.ForeignKey(Panel, null=True, blank=True, on_delete=models.PROTECT, related_name="runs")
    edge = models.ForeignKey(Edge, null=True, blank=True, on_delete=models.PROTECT, related_name="runs")
    key = models.CharField(max_length=120)
    placing = models.CharField(max_length=5, choices=PLACINGS, default="lines")
    begun_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["project", "key"], name="one_run_a_key")]

    def __str__(self) -> str:
        return self.key


class BenchFact(models.Model):
    """One thing that happened at the bench. Facts never change; undoing one is a fact too.

    ``op`` is the tap's own id: the same one twice is one fact. ``unit`` is the unit's number in the plan,
    ``also`` are further units the same tap covers (taps in fives, "those between are sewn"). ``depth`` is
    what it was sewn at, empty where as asked; ``asked`` what was asked of the hand at that moment. ``near``
    and ``far`` are the two readings of a check measure in nm: from the edge where sewing began to the seam,
    and from it to the far raw edge; ``near_end`` and ``far_end`` the same at the other end of the seam.
    Rows of one run are written under a lock of its row, so that their keys are in the order they arrived.
    """

    KINDS = [
        ("sewn", "Sewn"),
        ("check", "Measured"),
        ("absorb", "Left as it is, to be absorbed"),
        ("resew", "Sewn again"),
        ("guide", "Guide moved"),
        ("correct", "Correction taken up"),
        ("note", "Note"),
        ("undo", "Taken back"),
    ]

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="facts")
    op = models.UUIDField(unique=True)
    kind = models.CharField(max_length=7, choices=KINDS)
    unit = models.PositiveIntegerField(null=True, blank=True)
    also = models.JSONField(default=list, blank=True)
    depth = LengthField(null=True)
    near = LengthField(null=True)
    far = LengthField(null=True)
    near_end = LengthField(null=True)
    far_end = LengthField(null=True)
    undoes = models.UUIDField(null=True, blank=True)
    asked = models.JSONField(default=dict, blank=True)
    text = models.CharField(max_length=300, blank=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    worker = models.CharField(
        max_length=120, blank=True, help_text="Who it was, where the work came with a file."
    )
    device = models.CharField(max_length=40, blank=True)
    device_at = models.DateTimeField()
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["run", "id"])]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.unit or ''}".strip()


class HandChange(models.Model):
    """What one stretch between two check measures says of a hand: over ``tucks`` tucks the panel came out
    ``change`` (nm) longer than was asked. Bias and spread of a person, a technique and a cloth are learned
    from these; one row a check fact."""

    fact = models.OneToOneField(BenchFact, on_delete=models.CASCADE, related_name="hand")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    technique = models.CharField(max_length=20)
    fabric = models.ForeignKey(Fabric, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    tucks = models.PositiveIntegerField()
    change = models.BigIntegerField()

    class Meta:
        indexes = [models.Index(fields=["technique", "fabric", "person"])]

    def __str__(self) -> str:
        return f"{self.change} nm over {self.tucks} tucks"
