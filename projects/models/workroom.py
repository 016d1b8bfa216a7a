"""The studio's own settings: one row."""

import zoneinfo
from decimal import Decimal
from functools import lru_cache

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .base import LengthField, Revised, TypedUnits

MM = 1_000_000


@lru_cache(maxsize=1)
def known_time_zones() -> frozenset[str]:
    """All time zones of this computer; looking them up reads hundreds of files, so it is done once."""
    return frozenset(zoneinfo.available_timezones())


def check_time_zone(name: str) -> None:
    if name not in known_time_zones():
        raise ValidationError(f"“{name[:60]}” is not a time zone; choose one such as Europe/London.")


class Workroom(Revised, TypedUnits):
    """Name, units, currency, calendar, paper, steps to buy in, usual allowances, public address.

    There is exactly one row (primary key 1); ``Workroom.load()`` makes it on first use.
    """

    UNITS = [("metric", "Millimetres, centimetres, metres"), ("inch", "Inches and yards")]
    PAPERS = [("A4", "A4"), ("Letter", "Letter")]
    DAYS = [(0, "Monday"), (5, "Saturday"), (6, "Sunday")]

    name = models.CharField(max_length=120, default="My workroom")
    units = models.CharField(max_length=6, choices=UNITS, default="metric")
    currency = models.CharField(
        max_length=3, default="EUR", help_text="Three letters, as on a bank statement: EUR, GBP, USD."
    )
    time_zone = models.CharField(max_length=60, default="UTC", validators=[check_time_zone])
    first_day = models.PositiveSmallIntegerField("first day of the week", choices=DAYS, default=0)
    paper = models.CharField(max_length=6, choices=PAPERS, default="A4")
    public_address = models.URLField("public address for QR codes", blank=True, max_length=200)
    buy_step = LengthField("cloth is bought in steps of", default=100 * MM)
    squaring = LengthField("squaring, each side", default=10 * MM)
    seam_allowance = LengthField("usual seam allowance", default=15 * MM)
    hem_allowance = LengthField("usual hem allowance", default=20 * MM)
    border = LengthField("handling border where taped or hooped", default=25 * MM)
    needle_lift = LengthField("what passes under the needle", default=5 * MM)
    depth_spread = LengthField("how far a tuck's depth strays", default=400_000)
    check_every = models.PositiveSmallIntegerField(
        "tucks between check measures",
        null=True,
        blank=True,
        default=10,
        validators=[MinValueValidator(1), MaxValueValidator(200)],
        help_text="Leave empty when nothing is measured on the way; the sewing margin then grows.",
    )
    buy_swatch = models.BooleanField(
        "count cloth for a sample and a wash swatch in what to buy", default=True
    )
    bias_join = LengthField("allowance at a join of binding", default=6 * MM)
    bias_least = LengthField("shortest strip of binding worth keeping", default=200 * MM)
    spool = LengthField("thread on a spool", default=100_000 * MM)
    margin = models.DecimalField(
        "margin, a share of the price",
        max_digits=5,
        decimal_places=4,
        default=0,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("0.95"))],
    )
    tax = models.DecimalField(
        "tax on the price",
        max_digits=5,
        decimal_places=4,
        default=0,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("1"))],
    )
    is_demo = models.BooleanField(default=False, editable=False)
    claim_hash = models.CharField(max_length=64, blank=True, editable=False)
    claimed_at = models.DateTimeField(null=True, blank=True, editable=False)

    def __str__(self) -> str:
        return self.name

    @classmethod
    def load(cls) -> "Workroom":
        """The one row, made with usual values when there is none yet."""
        return cls.objects.get_or_create(pk=1)[0]

    @property
    def measures_in(self) -> str:
        """``units`` under the name its form gives it; in a form ``units`` is the system it was shown in."""
        return self.units

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)


class LabourRate(models.Model):
    """Minutes a driver's unit takes in this studio, from a date on; replaces the starting value."""

    driver = models.CharField(max_length=40)
    minutes = models.DecimalField(
        max_digits=8, decimal_places=3, validators=[MinValueValidator(Decimal("0"))]
    )
    from_date = models.DateField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["driver", "from_date"], name="one_rate_a_day")]

    def __str__(self) -> str:
        return f"{self.driver}: {self.minutes} min from {self.from_date}"
