"""Fabrics (kinds of cloth), lengths of them on the shelf, and what notions there are."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models, transaction

from .base import Deletable, LengthField, Revised, TypedUnits
from .finding import Found

FAMILIES = [
    ("white", "White and cream"),
    ("grey", "Grey"),
    ("black", "Black"),
    ("brown", "Brown and beige"),
    ("red", "Red and pink"),
    ("orange", "Orange"),
    ("yellow", "Yellow and gold"),
    ("green", "Green"),
    ("blue", "Blue"),
    ("purple", "Purple"),
    ("mixed", "Several colours"),
]
"""Families of colour, so that cloth and notions are found whatever a shade is called."""

PRICED_PER = [("m", "a metre"), ("yd", "a yard")]
PRICE = [MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("1000000"))]


class Balanced(models.Model):
    """What the ledger of a length or notion comes to, kept beside it and changed only together with it.

    ``shelf`` is what is there, ``held`` what of it is reserved (both 0 or more): nanometres of a length, or
    thousandths of a notion's unit. The ledger stays the truth: each new line changes these in its own
    transaction, saving the row does not, and ``balances.recount`` makes them anew.
    """

    shelf = models.BigIntegerField(default=0, editable=False)
    held = models.BigIntegerField(default=0, editable=False)

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """A row read before somebody booked on it must not write the balance it had then."""
        if not self._state.adding and not args and kwargs.get("update_fields") is None:
            kwargs["update_fields"] = [
                field.name
                for field in self._meta.concrete_fields
                if not field.primary_key and field.name not in ("shelf", "held")
            ]
        super().save(*args, **kwargs)


SHARE = [MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("0.5"))]


class Fabric(Revised, Deletable, TypedUnits, Found):
    """A kind of cloth. Unknown is a value: thickness, light share, weight, shrinkage may be ``None``."""

    name = models.CharField(max_length=200)
    fibre = models.CharField("made of", max_length=120, blank=True)
    colour = models.CharField(max_length=80, blank=True)
    family = models.CharField("colour family", max_length=8, choices=FAMILIES, blank=True)
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
    price = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True, validators=PRICE)
    price_per = models.CharField("price is for", max_length=2, choices=PRICED_PER, default="m")
    place = models.CharField("kept at", max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=10000)

    class Meta:
        ordering = ["name", "pk"]
        indexes = [models.Index(fields=["deleted_at", "name"], name="fabric_by_name")]

    def __str__(self) -> str:
        return self.name

    def kind_said(self) -> tuple[str, ...]:
        """What a length of it is found by too."""
        return (self.name, self.fibre, self.colour, self.get_family_display())

    def said(self) -> Iterable[str]:
        return (*self.kind_said(), self.place, self.notes)

    @transaction.atomic
    def save(self, *args: Any, **kwargs: Any) -> None:
        before = self.words
        super().save(*args, **kwargs)
        if self.words != before:
            self._tell_lengths()

    def _tell_lengths(self) -> None:
        """Lengths are found by their fabric's name as well; only those whose words differ are written."""
        lengths = list(self.lengths.select_for_update())
        changed = []
        for length in lengths:
            length.fabric = self
            if length.words != (words := length.words_now()):
                length.words = words
                changed.append(length)
        ClothLength.objects.bulk_update(changed, ["words"], batch_size=200)


class ClothLength(Revised, Deletable, TypedUnits, Balanced, Found):
    """One continuous length of a fabric, of one dye lot. Its balance is the sum of its ledger."""

    fabric = models.ForeignKey(Fabric, on_delete=models.PROTECT, related_name="lengths")
    label = models.CharField(max_length=60, help_text="What is written on its tag.")
    dye_lot = models.CharField(max_length=60, blank=True)
    width = LengthField("usable width, where it differs", null=True)
    washed = models.BooleanField("already washed", default=False)
    place = models.CharField("kept at", max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=2000)
    cut_from = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="remnants", editable=False
    )

    class Meta:
        ordering = ["fabric_id", "label", "pk"]
        indexes = [
            models.Index(fields=["deleted_at", "label"], name="length_by_label"),
            models.Index(fields=["fabric", "deleted_at", "shelf", "held"], name="length_balances"),
        ]

    def __str__(self) -> str:
        return self.label

    def said(self) -> Iterable[str]:
        return (self.label, self.dye_lot, *self.fabric.kind_said(), self.kept_at, self.notes)

    @property
    def kept_at(self) -> str:
        """Its own place, or its fabric's."""
        return self.place or self.fabric.place


class FlawsThere(models.Manager["ClothFlaw"]):
    """Flaws of what is left of a length. One that was cut off lies before its end, and comes back only when
    the cut is taken back."""

    def get_queryset(self) -> "models.QuerySet[ClothFlaw]":
        return super().get_queryset().filter(along__gte=0)


class ClothFlaw(models.Model):
    """A part of a length that nothing is cut from (nm): how far along from the end that is cut from, how far
    across from the left selvedge, and how much of each."""

    objects = FlawsThere()
    with_cut_off = models.Manager()

    cloth = models.ForeignKey(ClothLength, on_delete=models.CASCADE, related_name="flaws")
    along = LengthField("from the end")
    across = LengthField("from the left selvedge")
    length = LengthField("how long")
    width = LengthField("how wide")
    note = models.CharField("what it is", max_length=120, blank=True)

    class Meta:
        ordering = ["along", "pk"]

    def __str__(self) -> str:
        return self.note or "a flaw"


class Notion(Revised, Deletable, TypedUnits, Balanced, Found):
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
    family = models.CharField("colour family", max_length=8, choices=FAMILIES, blank=True)
    size = models.CharField(max_length=80, blank=True)
    holds = LengthField("thread on one, where it is thread", null=True)
    price = models.DecimalField(
        "price of one", max_digits=12, decimal_places=4, null=True, blank=True, validators=PRICE
    )
    unit = models.CharField("counted in", max_length=30, default="pieces")
    place = models.CharField("kept at", max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["name", "pk"]
        indexes = [models.Index(fields=["deleted_at", "name"], name="notion_by_name")]

    def __str__(self) -> str:
        return self.name

    def said(self) -> Iterable[str]:
        kind = (self.name, self.get_kind_display(), self.colour, self.get_family_display())
        return (*kind, self.size, self.place, self.notes)
