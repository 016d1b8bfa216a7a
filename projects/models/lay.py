"""Lays: one that is being worked on, one that was accepted, and the cuts made from it."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import LengthField
from .fabric import ClothLength, Fabric
from .project import Project
from .stock import StockEntry

MM = 1_000_000


class KeptLay(models.Model):
    """An accepted lay, one a project and fabric; it doesn't change.

    ``inputs`` is what it was made from, to say when the plan has changed; ``result`` how the panels lie.
    ``cloth`` is the length that stands for the roll: None while that is still to buy, or where the stash
    serves. ``lengths`` are those of the stash that it takes from, ``others`` the projects laid together with
    this one. ``in_inches``: its strips are ruled in inches, or not; None where it may have none.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="lays")
    others = models.ManyToManyField(Project, blank=True, related_name="shared_lays")
    fabric = models.ForeignKey(Fabric, on_delete=models.PROTECT, related_name="lays")
    cloth = models.ForeignKey(
        ClothLength, null=True, blank=True, on_delete=models.PROTECT, related_name="lays"
    )
    width = LengthField()
    length = LengthField()
    inputs = models.JSONField()
    result = models.JSONField()
    in_inches = models.BooleanField(null=True, blank=True)
    kept_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    kept_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "fabric"], name="one_lay_a_fabric")]

    def __str__(self) -> str:
        return f"lay of {self.fabric} for {self.project}"


class LayLength(models.Model):
    """A length of the stash that an accepted lay takes from: ``place`` is its name in the lay's placements
    (1, 2, ...), ``used`` what is taken along it (nm as on the shelf)."""

    lay = models.ForeignKey(KeptLay, on_delete=models.CASCADE, related_name="lengths")
    place = models.PositiveSmallIntegerField()
    cloth = models.ForeignKey(ClothLength, on_delete=models.PROTECT, related_name="laid_on")
    used = LengthField()

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["lay", "place"], name="one_length_a_place"),
            models.UniqueConstraint(fields=["lay", "cloth"], name="a_length_once_a_lay"),
        ]

    def __str__(self) -> str:
        return f"{self.cloth} in {self.lay}"


class LayCut(models.Model):
    """One numbered cut of an accepted lay that was made, and the line of the ledger it wrote, if any."""

    lay = models.ForeignKey(KeptLay, on_delete=models.CASCADE, related_name="cuts")
    number = models.PositiveSmallIntegerField()
    cut_at = models.DateTimeField()
    cut_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    entry = models.ForeignKey(
        StockEntry, null=True, blank=True, on_delete=models.PROTECT, related_name="lay_cuts"
    )
    remnants = models.ManyToManyField(ClothLength, blank=True, related_name="made_by_cut")

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["lay", "number"], name="a_cut_is_made_once")]

    def __str__(self) -> str:
        return f"cut {self.number} of {self.lay}"


class LayDraft(models.Model):
    """A lay being worked on, one a project and fabric: what is asked for, and the best found so far.

    ``width`` is that of the roll to buy (None: the fabric's own). With ``use_stash`` the lengths on the shelf
    are used up first: all that are free, or only ``lengths`` where some are chosen. ``pins`` are panels held
    where they are, a list of {"name", "copy", "x_nm", "y_nm", "turned", "on"}. ``inputs`` is what ``result``
    was found for. ``run`` names the file in which a search that runs keeps the best it has found.
    """

    STATES = [("", "Not improved yet"), ("running", "Improving"), ("ended", "Ended"), ("stopped", "Stopped")]

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="lay_drafts")
    others = models.ManyToManyField(Project, blank=True, related_name="shared_lay_drafts")
    fabric = models.ForeignKey(Fabric, on_delete=models.CASCADE, related_name="lay_drafts")
    width = LengthField("width to buy", null=True)
    gap = LengthField("gap between panels")
    end_loss = LengthField("lost at each cut end")
    smallest_remnant = LengthField("smallest remnant worth keeping", default=100 * MM)
    straight_cuts = models.BooleanField("every cut from edge to edge", default=False)
    one_dye_lot = models.BooleanField("all from one dye lot", default=True)
    use_stash = models.BooleanField("use up lengths on the shelf first", default=True)
    lengths = models.ManyToManyField(ClothLength, blank=True, related_name="lay_drafts")
    pins = models.JSONField(default=list, blank=True)
    inputs = models.JSONField(null=True, blank=True)
    result = models.JSONField(null=True, blank=True)
    seconds = models.PositiveIntegerField(
        "improve for at most, in seconds",
        default=60,
        validators=[MinValueValidator(1), MaxValueValidator(3600)],
    )
    state = models.CharField(max_length=8, choices=STATES, blank=True, default="")
    run = models.CharField(max_length=64, blank=True, editable=False)
    process = models.PositiveIntegerField(null=True, blank=True, editable=False)
    started_at = models.DateTimeField(null=True, blank=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["project", "fabric"], name="one_draft_a_fabric")]

    def __str__(self) -> str:
        return f"lay of {self.fabric} being worked on for {self.project}"
