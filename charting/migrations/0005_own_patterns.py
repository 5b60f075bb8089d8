"""A practice's own patterns: drawings, files, versions; and the right to write them."""

import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models

from charting.append_only import guard, unguard

TABLES = (
    "charting_patterndrawing",
    "charting_patternstroke",
    "charting_patternwithdrawal",
    "charting_patternfile",
    "charting_patternversion",
)


class Migration(migrations.Migration):
    dependencies = [
        ("charting", "0004_sign_in_tries"),
    ]

    operations = [
        migrations.AddField(
            model_name="user",
            name="writes_patterns",
            field=models.BooleanField(default=False, verbose_name="writes the practice's own patterns"),
        ),
        migrations.CreateModel(
            name="PatternDrawing",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("pattern", models.CharField(max_length=64)),
                ("name", models.CharField(max_length=80)),
                ("begun_at", models.DateTimeField(auto_now_add=True)),
                (
                    "begun_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "practice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="charting.practice"
                    ),
                ),
            ],
            options={
                "ordering": ["-begun_at"],
            },
        ),
        migrations.CreateModel(
            name="PatternFile",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("name", models.CharField(max_length=200)),
                ("text", models.TextField()),
                ("sha256", models.CharField(max_length=64)),
                ("brought_at", models.DateTimeField(auto_now_add=True)),
                (
                    "brought_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "practice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="charting.practice"
                    ),
                ),
            ],
            options={
                "ordering": ["-brought_at"],
            },
        ),
        migrations.CreateModel(
            name="PatternStroke",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("event_id", models.UUIDField()),
                ("seq", models.PositiveIntegerField()),
                ("body_sha256", models.CharField(max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("view", models.CharField(max_length=5)),
                ("kind", models.CharField(blank=True, max_length=12)),
                ("mode", models.CharField(max_length=5)),
                ("nib_mm", models.FloatField()),
                ("points", models.JSONField()),
                ("region", models.CharField(blank=True, max_length=60)),
                (
                    "drawing",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="charting.patterndrawing",
                    ),
                ),
                (
                    "drawn_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["seq", "event_id"],
                "abstract": False,
                "constraints": [
                    models.UniqueConstraint(fields=("drawing", "event_id"), name="one_pattern_stroke")
                ],
            },
        ),
        migrations.CreateModel(
            name="PatternVersion",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("pattern", models.CharField(max_length=64)),
                ("number", models.PositiveIntegerField()),
                ("in_use", models.BooleanField(default=True)),
                ("name", models.CharField(max_length=80)),
                ("site", models.CharField(blank=True, max_length=300)),
                ("work", models.CharField(max_length=200)),
                ("chapter", models.CharField(max_length=120)),
                ("status", models.CharField(max_length=12)),
                ("reason", models.TextField(max_length=600)),
                ("use_reason", models.TextField(blank=True, max_length=600)),
                ("zones", models.JSONField()),
                ("at", models.JSONField(null=True)),
                ("writer", models.CharField(max_length=200)),
                ("written_at", models.DateTimeField(auto_now_add=True)),
                (
                    "drawing",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="charting.patterndrawing",
                    ),
                ),
                (
                    "file",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="versions",
                        to="charting.patternfile",
                    ),
                ),
                (
                    "practice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="patterns",
                        to="charting.practice",
                    ),
                ),
                (
                    "written_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["pattern", "-number"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("practice", "pattern", "number"), name="one_pattern_version"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PatternWithdrawal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("event_id", models.UUIDField()),
                ("seq", models.PositiveIntegerField()),
                ("body_sha256", models.CharField(max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("strokes", models.JSONField()),
                ("restores", models.BooleanField(default=False)),
                (
                    "drawing",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="charting.patterndrawing",
                    ),
                ),
                (
                    "drawn_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["seq", "event_id"],
                "abstract": False,
                "constraints": [
                    models.UniqueConstraint(fields=("drawing", "event_id"), name="one_pattern_withdrawal")
                ],
            },
        ),
        migrations.RunPython(guard(TABLES), unguard(TABLES)),
    ]
