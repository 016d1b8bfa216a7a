import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """Figures of what an hour costs are deleted with undo, as everything else is."""
    dependencies = [
        ("projects", "0015_under_quilting"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="hourrate",
            name="one_studio_rate_a_day",
        ),
        migrations.RemoveConstraint(
            model_name="hourrate",
            name="one_persons_rate_a_day",
        ),
        migrations.AddField(
            model_name="hourrate",
            name="deleted_at",
            field=models.DateTimeField(blank=True, db_index=True, null=True),
        ),
        migrations.AddField(
            model_name="hourrate",
            name="deletion",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to="projects.deletion",
            ),
        ),
        migrations.AddConstraint(
            model_name="hourrate",
            constraint=models.UniqueConstraint(
                condition=models.Q(("deleted_at__isnull", True), ("person__isnull", True)),
                fields=("kind", "from_date"),
                name="one_studio_rate_a_day",
            ),
        ),
        migrations.AddConstraint(
            model_name="hourrate",
            constraint=models.UniqueConstraint(
                condition=models.Q(("deleted_at__isnull", True), ("person__isnull", False)),
                fields=("person", "from_date"),
                name="one_persons_rate_a_day",
            ),
        ),
    ]
