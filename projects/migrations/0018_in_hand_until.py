from django.db import migrations, models


class Migration(migrations.Migration):
    """When a project was last moved out of hand, so that a slip of the same day leaves no trace."""

    dependencies = [("projects", "0017_lays_ruled_in")]

    operations = [
        migrations.AddField(
            model_name="project",
            name="in_hand_until",
            field=models.DateField(
                blank=True,
                editable=False,
                help_text="The day it was last moved to another state.",
                null=True,
            ),
        ),
    ]
