from django.db import migrations, models


class Migration(migrations.Migration):
    """A day off that was removed can be put back."""

    dependencies = [("projects", "0008_gaps")]

    operations = [
        migrations.AddField(
            model_name="dayoff",
            name="removed_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
