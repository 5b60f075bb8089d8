# Wrong passwords at the way in are counted.

import django.utils.timezone
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("charting", "0003_board"),
    ]

    operations = [
        migrations.CreateModel(
            name="SignInTry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("name_digest", models.CharField(max_length=64)),
                ("address", models.CharField(max_length=45)),
                ("was_right", models.BooleanField(default=False)),
            ],
            options={
                "indexes": [
                    models.Index(fields=["name_digest", "at"], name="sign_in_try_by_name"),
                    models.Index(fields=["address", "at"], name="sign_in_try_by_address"),
                ],
            },
        ),
    ]
