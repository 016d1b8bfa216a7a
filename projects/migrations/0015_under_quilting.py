import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """Wadding and backing of a quilted piece."""

    dependencies = [("projects", "0014_first_budgets")]

    operations = [
        migrations.AddField(
            model_name="piece",
            name="wadding",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="wadded",
                to="projects.fabric",
            ),
        ),
        migrations.AddField(
            model_name="piece",
            name="backing",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="backed",
                to="projects.fabric",
            ),
        ),
    ]
