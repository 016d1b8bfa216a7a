"""When people work: usual minutes by weekday, and days off."""

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models


class WeekHours(models.Model):
    """Minutes a person usually gives to projects on a weekday (0 is Monday)."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="week_hours")
    weekday = models.PositiveSmallIntegerField(validators=[MaxValueValidator(6)])
    minutes = models.PositiveSmallIntegerField(validators=[MaxValueValidator(24 * 60)])

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "weekday"], name="one_weekday_a_person")]

    def __str__(self) -> str:
        return f"{self.minutes} min on weekday {self.weekday}"


class DayOff(models.Model):
    """Days on which a person, or (empty) the whole studio, does not work."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="days_off"
    )
    first = models.DateField("first day")
    last = models.DateField("last day")
    note = models.CharField(max_length=120, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["first", "pk"]
        constraints = [
            models.CheckConstraint(name="day_off_in_order", condition=models.Q(last__gte=models.F("first")))
        ]

    def __str__(self) -> str:
        return f"{self.first} to {self.last}"
