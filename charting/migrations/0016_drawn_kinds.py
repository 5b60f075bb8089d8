from django.db import migrations, models


class Migration(migrations.Migration):
    """The cells of a drawing by kind of pain. The table is derived, and nothing has filled it yet."""

    dependencies = [("charting", "0015_payer_asks")]

    operations = [
        migrations.RemoveConstraint(model_name="drawncells", name="one_cells_of_view"),
        migrations.AddField(
            model_name="drawncells",
            name="kind",
            field=models.CharField(max_length=12, default=""),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="drawncells",
            constraint=models.UniqueConstraint(fields=("visit", "view", "kind"), name="one_cells_of_kind"),
        ),
    ]
