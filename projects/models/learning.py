"""What finished work teaches about time: how long steps took beside what was planned, and rates from it."""

from django.conf import settings
from django.db import models

from .recipe import RecipeVersion
from .step import Step


class StepTime(models.Model):
    """A finished step and one person's ``minutes`` on it, of ``of_minutes`` by all (rework left out), beside
    what the whole step was planned to take with the studio's own or starting rates. ``work`` counts by driver
    what the whole step is; the person is held to have done the share of it that their minutes are. ``repeat``
    is which repeat of the same step and recipe by this person in this project it was, from 1."""

    step = models.ForeignKey(Step, on_delete=models.CASCADE, related_name="times")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    technique = models.CharField(max_length=20, blank=True)
    version = models.ForeignKey(RecipeVersion, null=True, blank=True, on_delete=models.SET_NULL)
    work = models.JSONField(default=dict)
    planned = models.DecimalField(max_digits=10, decimal_places=2)
    minutes = models.PositiveIntegerField()
    of_minutes = models.PositiveIntegerField()
    repeat = models.PositiveIntegerField(default=1)
    finished_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["step", "person"], name="one_time_a_step_and_person")]

    def __str__(self) -> str:
        return f"{self.minutes} of {self.planned} min"


class LearnedRate(models.Model):
    """How far the work of a driver takes longer (above 0) or shorter than its own or starting rate, as the
    logarithm of the factor with its variance. ``person`` empty: the studio as a whole; ``technique`` empty:
    all techniques. Worked out anew from ``StepTime`` whenever that changes."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="+"
    )
    technique = models.CharField(max_length=20, blank=True)
    driver = models.CharField(max_length=40)
    mean = models.FloatField()
    variance = models.FloatField()
    steps = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "technique", "driver"],
                name="one_learned_rate",
                condition=models.Q(person__isnull=False),
            ),
            models.UniqueConstraint(
                fields=["technique", "driver"],
                name="one_learned_rate_of_the_studio",
                condition=models.Q(person__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.driver}: {self.mean:+.2f}"
