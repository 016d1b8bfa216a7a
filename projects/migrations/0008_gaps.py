from django.db import migrations, models


class Migration(migrations.Migration):
    """A silence that was not counted is remembered until somebody says what it was."""

    dependencies = [("projects", "0007_bench")]

    operations = [
        migrations.AddField(
            model_name="labourlog",
            name="gap_from",
            field=models.DateTimeField(
                blank=True,
                help_text=(
                    "A long silence before this log, from this moment to its start: "
                    "not counted, to be asked about."
                ),
                null=True,
            ),
        ),
    ]
