"""Strokes, consents, signed notes and audit rows can't be changed or deleted: the database refuses."""

from django.db import migrations

from charting.append_only import guard, unguard

TABLES = (
    "charting_auditentry",
    "charting_storedstroke",
    "charting_withdrawal",
    "charting_boardanswer",
    "charting_consent",
    "charting_signednote",
    "charting_signedpaper",
    "charting_addendum",
)


class Migration(migrations.Migration):
    dependencies = [("charting", "0001_tables")]
    operations = [migrations.RunPython(guard(TABLES), unguard(TABLES))]
