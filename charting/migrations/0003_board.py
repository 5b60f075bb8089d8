"""Layers, symptom areas, paper drawings, drawings entered in error; a hand-over that is confirmed and heard from.

SQLite makes a table anew to add a column, and its triggers go with the old one: they are taken off first and put
on again at the end.
"""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from charting.append_only import guard, unguard

CHANGED = ("charting_storedstroke", "charting_withdrawal", "charting_boardanswer")
NEW = (
    "charting_grouping",
    "charting_areaanswer",
    "charting_clearedparts",
    "charting_papersheet",
    "charting_enteredinerror",
)


class Migration(migrations.Migration):
    dependencies = [
        ("charting", "0002_append_only"),
    ]

    operations = [
        migrations.RunPython(unguard(CHANGED), guard(CHANGED)),
        migrations.AddField(
            model_name="handover",
            name="confirmed_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="handover",
            name="denied_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="handover",
            name="heard_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="handover",
            name="helper",
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.AddField(
            model_name="handover",
            name="waiting",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="storedstroke",
            name="region",
            field=models.CharField(blank=True, max_length=60),
        ),
        migrations.CreateModel(
            name="EnteredInError",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                ("events", models.JSONField()),
                ("reason", models.CharField(max_length=400)),
                ("struck_at", models.DateTimeField(auto_now_add=True)),
                (
                    "moved_to",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="moved_here",
                        to="charting.visit",
                    ),
                ),
                (
                    "struck_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="struck",
                        to="charting.visit",
                    ),
                ),
            ],
            options={
                "ordering": ["struck_at"],
            },
        ),
        migrations.CreateModel(
            name="PaperSheet",
            fields=[
                (
                    "id",
                    models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False),
                ),
                (
                    "drawn_by",
                    models.CharField(
                        choices=[("patient", "Patient"), ("clinician", "Clinician"), ("helper", "Helper")],
                        max_length=10,
                    ),
                ),
                ("helper", models.CharField(blank=True, max_length=80)),
                ("drawn_on", models.DateField()),
                ("entered_at", models.DateTimeField(auto_now_add=True)),
                (
                    "entered_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sheets",
                        to="charting.visit",
                    ),
                ),
            ],
            options={
                "ordering": ["entered_at"],
            },
        ),
        migrations.AddField(
            model_name="boardanswer",
            name="sheet",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="charting.papersheet",
            ),
        ),
        migrations.AddField(
            model_name="storedstroke",
            name="sheet",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="charting.papersheet",
            ),
        ),
        migrations.AddField(
            model_name="withdrawal",
            name="sheet",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="charting.papersheet",
            ),
        ),
        migrations.CreateModel(
            name="Grouping",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("event_id", models.UUIDField()),
                ("seq", models.PositiveIntegerField()),
                (
                    "drawn_by",
                    models.CharField(
                        choices=[("patient", "Patient"), ("clinician", "Clinician"), ("helper", "Helper")],
                        max_length=10,
                    ),
                ),
                ("body_sha256", models.CharField(max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("strokes", models.JSONField()),
                ("together", models.BooleanField()),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="charting.visit"
                    ),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="charting.papersheet",
                    ),
                ),
            ],
            options={
                "ordering": ["seq", "event_id"],
                "abstract": False,
                "constraints": [models.UniqueConstraint(fields=("visit", "event_id"), name="one_grouping")],
            },
        ),
        migrations.CreateModel(
            name="ClearedParts",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("event_id", models.UUIDField()),
                ("seq", models.PositiveIntegerField()),
                (
                    "drawn_by",
                    models.CharField(
                        choices=[("patient", "Patient"), ("clinician", "Clinician"), ("helper", "Helper")],
                        max_length=10,
                    ),
                ),
                ("body_sha256", models.CharField(max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("parts", models.JSONField()),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="charting.visit"
                    ),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="charting.papersheet",
                    ),
                ),
            ],
            options={
                "ordering": ["seq", "event_id"],
                "abstract": False,
                "constraints": [
                    models.UniqueConstraint(fields=("visit", "event_id"), name="one_list_of_cleared_parts")
                ],
            },
        ),
        migrations.CreateModel(
            name="AreaAnswer",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("event_id", models.UUIDField()),
                ("seq", models.PositiveIntegerField()),
                (
                    "drawn_by",
                    models.CharField(
                        choices=[("patient", "Patient"), ("clinician", "Clinician"), ("helper", "Helper")],
                        max_length=10,
                    ),
                ),
                ("body_sha256", models.CharField(max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("strokes", models.JSONField()),
                ("answers", models.JSONField()),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="charting.visit"
                    ),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="charting.papersheet",
                    ),
                ),
            ],
            options={
                "ordering": ["seq", "event_id"],
                "abstract": False,
                "constraints": [
                    models.UniqueConstraint(fields=("visit", "event_id"), name="one_area_answer")
                ],
            },
        ),
        migrations.RunPython(guard(CHANGED + NEW), unguard(CHANGED + NEW)),
    ]
