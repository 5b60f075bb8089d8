"""The trail becomes a chain, roles get the names they are known by, and a record whose time is over can go."""

from importlib import import_module

from django.db import migrations, models

from charting.append_only import guard, guard_but_purge, unguard
from charting.audit.chain import GENESIS, join

TRAIL = ("charting_auditentry",)
# Every other table that never changes.
RECORD = tuple(
    table
    for migration, name in (
        ("0002_append_only", "TABLES"),
        ("0003_board", "NEW"),
        ("0005_own_patterns", "TABLES"),
        ("0007_story_and_flags", "TABLES"),
        ("0011_care_over_weeks", "TABLES"),
        ("0014_papers_and_exchange", "TABLES"),
    )
    for table in getattr(import_module(f"charting.migrations.{migration}"), name)
    if table not in TRAIL
)
ROLES = {"assistant": "desk", "manager": "owner"}
AT_ONCE = 2000


def chained(apps, editor):
    """What was written before there were chains stands first in them, in the order it was written."""
    rows = apps.get_model("charting", "AuditEntry").objects
    for practice in rows.order_by().values_list("practice_id", flat=True).distinct():
        seq, previous = 0, GENESIS
        last = 0
        while part := list(rows.filter(practice_id=practice, pk__gt=last).order_by("pk")[:AT_ONCE]):
            join(part, practice or 0, seq, previous)
            rows.bulk_update(part, ["chain", "seq", "previous_hash", "hash"])
            seq, previous, last = part[-1].seq, part[-1].hash, part[-1].pk


def named(apps, editor):
    users = apps.get_model("charting", "User").objects
    for before, now in ROLES.items():
        users.filter(role=before).update(role=now)


def named_as_before(apps, editor):
    users = apps.get_model("charting", "User").objects
    for before, now in ROLES.items():
        users.filter(role=now).update(role=before)


class Migration(migrations.Migration):
    dependencies = [
        ("charting", "0018_trust"),
    ]

    operations = [
        migrations.RunPython(chained, migrations.RunPython.noop),
        migrations.RunPython(named, named_as_before),
        *(
            migrations.AlterField("auditentry", name, field)
            for name, field in (
                ("hash", models.CharField(max_length=64)),
                ("previous_hash", models.CharField(max_length=64)),
                ("seq", models.BigIntegerField()),
            )
        ),
        migrations.AddConstraint(
            model_name="auditentry",
            constraint=models.UniqueConstraint(fields=("chain", "seq"), name="one_audit_seq"),
        ),
        migrations.RunPython(guard(TRAIL), unguard(TRAIL)),
        migrations.RunPython(unguard(RECORD), guard(RECORD)),
        migrations.RunPython(guard_but_purge(RECORD), unguard(RECORD)),
    ]
