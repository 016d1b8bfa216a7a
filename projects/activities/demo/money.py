"""What an hour costs at Larkfield Workroom, and what is added: invented figures."""

from datetime import date
from decimal import Decimal

from projects.models import HourRate, OtherCost, Project, Workroom

from .days import Days
from .people import People


def add_money(coat: Project, people: People, days: Days) -> None:
    """An hour is reckoned the same for all but the cutter; the coat's box is paid for."""
    since: date = days.ago(60)
    HourRate.objects.create(kind="pay", amount=1_850, from_date=since)
    HourRate.objects.create(kind="pay", person=people.cutter, amount=1_700, from_date=since)
    HourRate.objects.create(kind="overhead", amount=420, from_date=since)
    OtherCost.objects.create(project=coat, what="Box and courier", amount=1_400)
    workroom = Workroom.load()
    workroom.margin, workroom.tax = Decimal("0.15"), Decimal("0.20")
    workroom.save()
