"""No table with a key to a person is forgotten when two records are made one."""

from django.apps import apps
from django.db.models import ForeignKey

from charting.merging.tables import MOVED, OWN, PLURALS, STAY, WORDS
from charting.patients.models import Patient
from tests.charting.audit.test_append_only import TABLES


def keys_to_a_person():
    for model in apps.get_app_config("charting").get_models():
        for field in model._meta.get_fields():
            if isinstance(field, ForeignKey) and field.related_model is Patient:
                yield model, field.name


def test_every_key_to_a_person_is_moved_read_through_both_or_the_merge_itself():
    told = {(model, "patient") for model in (*MOVED.values(), *STAY.values())}
    forgotten = set(keys_to_a_person()) - told - OWN
    assert not forgotten, f"add to charting/merging/tables.py: {forgotten}"
    assert told <= set(keys_to_a_person())


def test_what_never_changes_stays_and_what_can_change_moves():
    frozen = set(TABLES)
    assert {model._meta.db_table for model in STAY.values()} <= frozen
    assert not {model._meta.db_table for model in MOVED.values()} & frozen


def test_every_table_has_words():
    assert set(WORDS) == {*MOVED, *STAY} and set(PLURALS) <= set(WORDS)
