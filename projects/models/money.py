"""What an hour costs, and what a project costs beside cloth, notions and hours. Seen by owners only."""

from django.conf import settings
from django.db import models

from .base import Deletable, Revised
from .project import Project


class HourRate(Deletable):
    """Whole minor units an hour costs from a date on.

    ``pay`` is what is reckoned for a person's hour, or with no person for everybody without a rate of their
    own and for hours still planned; ``overhead`` (rent, light, machines) is added to every hour.
    """

    KINDS = [("pay", "An hour's work"), ("overhead", "Overhead an hour")]

    kind = models.CharField(max_length=8, choices=KINDS, default="pay")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="hour_rates"
    )
    amount = models.PositiveBigIntegerField("an hour, in minor units")
    from_date = models.DateField()

    class Meta:
        ordering = ["kind", "person_id", "-from_date"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "from_date"],
                name="one_studio_rate_a_day",
                condition=models.Q(person__isnull=True, deleted_at__isnull=True),
            ),
            models.UniqueConstraint(
                fields=["person", "from_date"],
                name="one_persons_rate_a_day",
                condition=models.Q(person__isnull=False, deleted_at__isnull=True),
            ),
            models.CheckConstraint(
                name="overhead_is_the_studios",
                condition=models.Q(kind="pay") | models.Q(person__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} an hour from {self.from_date}"


class OtherCost(Revised, Deletable):
    """Something else a project costs: postage, a dye bath, a hired machine."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="other_costs")
    what = models.CharField(max_length=120)
    amount = models.PositiveBigIntegerField("in minor units")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.what
