import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("charting", "0008_telling_on_the_device"),
    ]

    operations = [
        migrations.CreateModel(
            name="Conclusion",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("strokes", models.JSONField(default=list)),
                ("sources", models.JSONField(default=list)),
                ("sentences", models.JSONField(default=list)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="conclusions",
                        to="charting.visit",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="MuscleFinding",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("muscle", models.CharField(max_length=60)),
                ("side", models.CharField(choices=[("right", "Right"), ("left", "Left")], max_length=5)),
                ("site", models.CharField(blank=True, max_length=60)),
                ("signs", models.JSONField(default=dict)),
                ("pain", models.PositiveSmallIntegerField(null=True)),
                ("pressure", models.JSONField(default=dict)),
                ("remark", models.CharField(blank=True, max_length=300)),
                ("position", models.PositiveSmallIntegerField()),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="muscle_findings",
                        to="charting.visit",
                    ),
                ),
            ],
            options={
                "ordering": ["position"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("visit", "muscle", "side", "site"), name="one_muscle_finding"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="RangeReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("movement", models.CharField(max_length=60)),
                (
                    "side",
                    models.CharField(
                        blank=True, choices=[("right", "Right"), ("left", "Left")], max_length=5
                    ),
                ),
                ("active", models.FloatField(null=True)),
                ("passive", models.FloatField(null=True)),
                ("instrument", models.CharField(blank=True, max_length=40)),
                ("end_feel", models.CharField(blank=True, max_length=40)),
                ("hurts", models.CharField(blank=True, max_length=3)),
                ("pain", models.PositiveSmallIntegerField(null=True)),
                ("remark", models.CharField(blank=True, max_length=200)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="range_readings",
                        to="charting.visit",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("visit", "movement", "side"), name="one_range_reading")
                ],
            },
        ),
    ]
