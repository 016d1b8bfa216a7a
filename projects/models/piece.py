"""Pattern pieces and the panels (the flat cloth) they are cut from."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import Deletable, LengthField, Revised, TypedUnits
from .fabric import Fabric
from .project import Project
from .recipe import RecipeVersion


class Piece(Revised, Deletable, TypedUnits):
    """A pattern piece: its size is finished size, stored whole even where the pattern is a half."""

    CAUGHT = [("keep", "Sew them; they go into the seam"), ("drop", "Leave them out")]
    CENTRING = [("", "Start in the widest gap"), ("tuck", "Centre on a tuck"), ("space", "Centre on a space")]
    MARGIN = [
        ("both", "Half at each end"),
        ("start", "All where the tucks start"),
        ("end", "All at the far end"),
    ]

    WORK_ORDER = [
        ("", "One after the other"),
        ("centre", "From the centre outwards"),
        ("alternate", "Every other one, then those between"),
    ]

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="pieces")
    name = models.CharField(max_length=120)
    order = models.PositiveIntegerField(default=0)
    across = LengthField("finished size across")
    along = LengthField("finished size along")
    drawn_half = models.BooleanField("the pattern is a half, cut on the fold", default=False)
    count = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    mirrored = models.BooleanField("a pair: half of them mirrored", default=False)
    spare = models.BooleanField("one spare panel", default=False)
    allowances_drawn = models.BooleanField("the size given includes the allowances", default=False)
    allowance_sides = LengthField("allowance, each side", default=15_000_000)
    allowance_top = LengthField("allowance, top", default=15_000_000)
    allowance_bottom = LengthField("allowance or hem, bottom", default=15_000_000)
    fabric = models.ForeignKey(Fabric, null=True, blank=True, on_delete=models.PROTECT, related_name="pieces")
    wadding = models.ForeignKey(
        Fabric, null=True, blank=True, on_delete=models.PROTECT, related_name="wadded"
    )
    backing = models.ForeignKey(
        Fabric, null=True, blank=True, on_delete=models.PROTECT, related_name="backed"
    )
    version = models.ForeignKey(
        RecipeVersion, null=True, blank=True, on_delete=models.PROTECT, related_name="pieces"
    )
    whole_repeats = models.BooleanField("round up to whole repeats", default=False)
    centring = models.CharField(max_length=5, choices=CENTRING, blank=True, default="")
    caught = models.CharField("tucks caught in a seam", max_length=4, choices=CAUGHT, default="keep")
    margin_at = models.CharField("sewing margin", max_length=5, choices=MARGIN, default="both")
    work_order = models.CharField(
        "tucks are sewn", max_length=9, choices=WORK_ORDER, blank=True, default=""
    )
    bordered = models.BooleanField("taped or hooped: add a handling border", default=False)
    may_turn = models.BooleanField("may lie across the cloth", default=False)
    notes = models.TextField(blank=True, max_length=5000)

    class Meta:
        ordering = ["order", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def recipe(self) -> int | None:
        """The version it follows, under the name its form gives it."""
        return self.version_id


class Panel(models.Model):
    """One panel: bench, cutting, hours, photographs and corrections hang on this row.

    Booking it as cut keeps its part of the Plan as it was (``kept``, with format and calc version);
    later edits change nothing in it.
    """

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="panels")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=160)
    mirrored = models.BooleanField(default=False)
    spare = models.BooleanField(default=False)
    dropped_at = models.DateTimeField(null=True, blank=True)
    cut_at = models.DateTimeField(null=True, blank=True)
    cut_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    kept = models.JSONField(null=True, blank=True)
    kept_format = models.PositiveSmallIntegerField(null=True, blank=True)
    calc_version = models.CharField(max_length=20, blank=True)

    class Meta:
        ordering = ["piece_id", "number"]
        constraints = [models.UniqueConstraint(fields=["piece", "number"], name="one_number_a_panel")]

    def __str__(self) -> str:
        return self.name
