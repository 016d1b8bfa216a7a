"""What a finished step teaches is kept of the whole step; each person's share is what their minutes are."""

from decimal import Decimal

from django.db import migrations, models


def make_whole(apps, schema_editor):
    """Rows held one person's share: the shares of a step together are the whole."""
    step_time = apps.get_model("projects", "StepTime")
    by_step = {}
    for row in step_time.objects.order_by("pk"):
        by_step.setdefault(row.step_id, []).append(row)
    for rows in by_step.values():
        drivers = dict.fromkeys(driver for row in rows for driver in row.work)
        work = {d: f"{sum(Decimal(row.work.get(d, 0)) for row in rows):f}" for d in drivers}
        planned, minutes = sum(row.planned for row in rows), sum(row.minutes for row in rows)
        for row in rows:
            row.work, row.planned, row.of_minutes = work, planned, minutes
        step_time.objects.bulk_update(rows, ["work", "planned", "of_minutes"])


class Migration(migrations.Migration):
    dependencies = [("projects", "0011_hours_by_step")]

    operations = [
        migrations.AddField(
            model_name="steptime",
            name="of_minutes",
            field=models.PositiveIntegerField(default=1),
            preserve_default=False,
        ),
        migrations.RunPython(make_whole, migrations.RunPython.noop),
    ]
