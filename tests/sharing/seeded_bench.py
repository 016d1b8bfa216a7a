"""Rows of the bench, of hours and of what they teach, for the studio that must not show to clients."""

import uuid
from datetime import date
from decimal import Decimal

from django.utils import timezone

from projects.models import (
    BenchFact,
    DayOff,
    HandChange,
    LabourLog,
    LearnedRate,
    LogChange,
    OwnStage,
    Person,
    Piece,
    Run,
    StepTemplate,
    StepTime,
    WeekHours,
)


def at_the_bench(piece: Piece, maker: Person) -> None:
    """A run in hand with a note and a check measure, and what that says of a hand."""
    panel = piece.panels.first()
    run = Run.objects.create(project=piece.project, panel=panel, key=f"{piece.pk}.1:sew:across:1")
    now = timezone.now()
    check = BenchFact.objects.create(
        run=run, op=uuid.UUID(int=31), kind="check", unit=1, near=41_000_000, person=maker, device_at=now,
        text="thread changed", device="tablet",
    )  # fmt: skip
    BenchFact.objects.create(
        run=run, op=uuid.UUID(int=32), kind="sewn", unit=1, worker="somebody", device_at=now, device="phone"
    )
    HandChange.objects.create(
        fact=check, person=maker, technique="tucks", fabric=piece.fabric, tucks=6, change=300_000
    )


def of_hours(piece: Piece, maker: Person) -> None:
    """Usual hours, days off, a changed log, and what a finished step taught."""
    WeekHours.objects.create(person=maker, weekday=0, minutes=300)
    DayOff.objects.create(person=maker, first=date(2026, 4, 1), last=date(2026, 4, 3), note="at the sea")
    LogChange.objects.create(log=LabourLog.objects.first(), by=maker, reason="mistyped")
    StepTime.objects.create(
        step=piece.project.steps.first(), person=maker, planned=Decimal(30), minutes=35,
        of_minutes=40, finished_at=timezone.now(),
    )  # fmt: skip
    LearnedRate.objects.create(
        person=maker, technique="tucks", driver="tucks", mean=0.1, variance=0.1, steps=3
    )
    OwnStage.objects.create(key="own-1", title="Fitting", after="make_up")
    StepTemplate.objects.create(stage="finish", title="Sew in the label", detail="by hand", minutes=10)
