"""Edges of a pattern piece: how long each is and how it is finished."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import Deletable, LengthField, Revised, TypedUnits
from .fabric import Fabric
from .piece import Piece

MM = 1_000_000


class Edge(Revised, Deletable, TypedUnits):
    """One edge of one piece, as often as the piece is made. Lengths along the stitching line, nm.

    ``width`` is the finished width of the binding or band, the width of the facing, the depth of the hem.
    ``fabric`` is what strips are cut from; empty: the piece's own. ``reduction`` is the share a band is
    shorter than the opening it is sewn to.
    """

    FINISHES = [
        ("bound", "Bound, single binding"),
        ("bound_double", "Bound, double binding"),
        ("hong_kong", "Hong Kong finish"),
        ("band", "Double-fold band"),
        ("faced", "Faced with a strip"),
        ("hemmed", "Hemmed"),
        ("seam", "Seam"),
    ]

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="edges")
    name = models.CharField(max_length=60)
    order = models.PositiveIntegerField(default=0)
    length = LengthField("length of the edge")
    finish = models.CharField(max_length=12, choices=FINISHES, default="bound")
    width = LengthField("finished width", default=8 * MM)
    allowance = LengthField("seam allowance wrapped or taken up", default=15 * MM)
    both_sides = models.BooleanField("both allowances of the seam", default=False)
    closed = models.BooleanField("closed ring (a neckline, a cuff)", default=False)
    on_the_bias = models.BooleanField("strips cut on the bias", default=True)
    reduction = models.DecimalField(
        "shorter than the opening by",
        max_digits=4,
        decimal_places=3,
        default=0,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("0.5"))],
    )
    by_hand = models.BooleanField("finished by hand", default=False)
    fabric = models.ForeignKey(
        Fabric, null=True, blank=True, on_delete=models.PROTECT, related_name="edges", verbose_name="cut from"
    )

    class Meta:
        ordering = ["piece_id", "order", "pk"]

    def __str__(self) -> str:
        return self.name
