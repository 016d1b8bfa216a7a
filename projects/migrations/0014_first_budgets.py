from typing import Any

from django.db import migrations, models
from django.db.models import Exists, OuterRef


def work_began_before(apps: Any, schema_editor: Any) -> None:
    """What was planned when work on these began is not known any more, and is not kept later as if it were."""
    projects = apps.get_model("projects", "Project").objects
    logs = apps.get_model("projects", "LabourLog").objects.filter(project=OuterRef("pk"), removed_at=None)
    runs = apps.get_model("projects", "Run").objects.filter(project=OuterRef("pk"))
    projects.filter(Exists(logs) | Exists(runs)).update(first_budget={})


class Migration(migrations.Migration):
    """The time budget a project began with, and since when it is in hand."""

    dependencies = [("projects", "0012_whole_steps")]

    operations = [
        migrations.AddField(
            model_name="project",
            name="first_budget",
            field=models.JSONField(
                blank=True,
                editable=False,
                help_text="What was planned when work began; empty braces where nobody kept it.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="project",
            name="in_hand_from",
            field=models.DateField(
                blank=True, editable=False, help_text="Since when it is in hand, or was last.", null=True
            ),
        ),
        migrations.RunPython(work_began_before, migrations.RunPython.noop),
    ]
