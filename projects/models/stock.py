"""The ledger of stock: lines are only ever added; the balance is their sum, kept with each line."""

from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models, transaction

from .fabric import ClothLength, Notion
from .project import Project


class StockEntry(models.Model):
    """One line. ``amount`` is signed: nanometres of a length of cloth, or thousandths of a notion's unit.

    What is on the shelf is the sum of received, cut, wasted and counted (``counted`` is the difference a
    count made). What is reserved is minus the sum of reserved and released, by project.
    """

    KINDS = [
        ("received", "Received"),
        ("reserved", "Reserved"),
        ("released", "Released"),
        ("cut", "Cut"),
        ("wasted", "Wasted"),
        ("counted", "Counted"),
    ]
    ON_SHELF = ("received", "cut", "wasted", "counted")
    HELD = ("reserved", "released")

    kind = models.CharField(max_length=8, choices=KINDS)
    amount = models.BigIntegerField()
    cloth = models.ForeignKey(
        ClothLength, null=True, blank=True, on_delete=models.PROTECT, related_name="entries"
    )
    notion = models.ForeignKey(
        Notion, null=True, blank=True, on_delete=models.PROTECT, related_name="entries"
    )
    project = models.ForeignKey(
        Project, null=True, blank=True, on_delete=models.PROTECT, related_name="stock_entries"
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="entry_for_cloth_or_notion",
                condition=models.Q(cloth__isnull=False, notion__isnull=True)
                | models.Q(cloth__isnull=True, notion__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount}"

    @transaction.atomic
    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the line; a new one changes the balance of its length or notion in the same transaction."""
        is_new = self._state.adding
        super().save(*args, **kwargs)
        if is_new:
            self._balance()

    def _balance(self) -> None:
        rows, pk = (ClothLength, self.cloth_id) if self.cloth_id else (Notion, self.notion_id)
        if self.kind in self.ON_SHELF:
            rows.objects.filter(pk=pk).update(shelf=models.F("shelf") + self.amount)
        else:
            rows.objects.filter(pk=pk).update(held=models.F("held") - self.amount)

    def delete(self, *args: object, **kwargs: object) -> None:
        raise ValidationError("A line of the ledger stays; book the opposite instead.")


class NotionNeed(models.Model):
    """So many of a notion a project needs (thousandths of the notion's unit)."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="notion_needs")
    notion = models.ForeignKey(Notion, on_delete=models.PROTECT, related_name="needs")
    amount = models.BigIntegerField()
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["project", "notion"], name="one_need_a_notion")]

    def __str__(self) -> str:
        return f"{self.amount} of {self.notion_id}"
