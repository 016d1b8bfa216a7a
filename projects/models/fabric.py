"""Fabrics (kinds of cloth), lengths of them on the shelf, and what notions there are."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import Deletable, LengthField, Revised, TypedUnits

SHARE = [MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("0.5"))]


class Fabric(Revised, Deletable, TypedUnits):
    """A kind of cloth. Unknown is a value: thickness, light share, weight, shrinkage may be ``None``."""

    name = models.CharField(max_length=200)
    fibre = models.CharField("made of", max_length=120, blank=True)
    colour = models.CharField(max_length=80, blank=True)
    width = LengthField("usable width", help_text="Between the selvedges.")
    grams = models.DecimalField(
        "weight, g/m²",
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("1")), MaxValueValidator(Decimal("3000"))],
    )
    thickness = LengthField(null=True)
    light = models.DecimalField(
        "share of light one layer lets through",
        max_digits=4,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("1"))],
    )
    shrink_along = models.DecimalField(
        "shrinkage along", max_digits=5, decimal_places=4, null=True, blank=True, validators=SHARE
    )
    shrink_across = models.DecimalField(
        "shrinkage across", max_digits=5, decimal_places=4, null=True, blank=True, validators=SHARE
    )
    one_way = models.BooleanField("one-way: nap or print", default=False)
    raised = models.BooleanField("raised surface (velvet, flannel)", default=False)
    sheer = models.BooleanField("sheer", default=False)
    iron = models.CharField("iron at most", max_length=60, blank=True)
    place = models.CharField("kept at", max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=10000)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class ClothLength(Revised, Deletable, TypedUnits):
    """One continuous length of a fabric, of one dye lot. Its balance is the sum of its ledger."""

    fabric = models.ForeignKey(Fabric, on_delete=models.PROTECT, related_name="lengths")
    label = models.CharField(max_length=60, help_text="What is written on its tag.")
    dye_lot = models.CharField(max_length=60, blank=True)
    width = LengthField("usable width, where it differs", null=True)
    washed = models.BooleanField("already washed", default=False)
    place = models.CharField("kept at", max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["fabric_id", "label", "pk"]

    def __str__(self) -> str:
        return self.label


class Notion(Revised, Deletable):
    KINDS = [
        ("button", "Buttons"),
        ("thread", "Thread"),
        ("zip", "Zips"),
        ("cord", "Cord"),
        ("interfacing", "Interfacing"),
        ("other", "Other"),
    ]

    name = models.CharField(max_length=200)
    kind = models.CharField(max_length=12, choices=KINDS, default="other")
    colour = models.CharField(max_length=80, blank=True)
    size = models.CharField(max_length=80, blank=True)
    unit = models.CharField("counted in", max_length=30, default="pieces")
    place = models.CharField("kept at", max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name
