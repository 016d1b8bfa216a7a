"""Accepted lays say themselves in which units their strips are ruled; until now their blanks' names did."""

import re
from typing import Any

from django.db import migrations, models

SAID = re.compile(r"lank for .* (mm|in) strips")


def fill(apps: Any, schema_editor: Any) -> None:
    lays = apps.get_model("projects", "KeptLay")
    for lay in lays.objects.only("inputs").iterator():
        found = (SAID.search(panel["name"]) for panel in lay.inputs.get("panels", ()))
        units = next((said[1] for said in found if said), None)
        if units is not None:
            lays.objects.filter(pk=lay.pk).update(in_inches=units == "in")


class Migration(migrations.Migration):
    dependencies = [("projects", "0016_hour_rates_undone")]

    operations = [
        migrations.AddField(
            model_name="keptlay",
            name="in_inches",
            field=models.BooleanField(blank=True, null=True),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop, elidable=True),
    ]
