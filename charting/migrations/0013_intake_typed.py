from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("charting", "0012_intake_goes_on"),
    ]

    operations = [
        migrations.AddField(
            model_name="telling",
            name="typed",
            field=models.JSONField(null=True),
        ),
    ]
