"""Tables whose rows are never changed or deleted, by anyone: the database itself refuses.

Triggers rather than Python, so that bulk updates and raw SQL are caught too.
"""

from collections.abc import Callable, Iterable

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

MESSAGE = "this table is append-only"

_SQLITE = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{message}: {table}'); END;
"""
_POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{message}: %', TG_TABLE_NAME
   USING ERRCODE = 'integrity_constraint_violation'; END $$;
"""
_POSTGRES = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
"""

Migration = Callable[[Apps, BaseDatabaseSchemaEditor], None]


def guard(tables: Iterable[str]) -> Migration:
    """The migration step that puts the triggers on."""
    names = tuple(tables)

    def put_on(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        for statement in _statements(editor.connection.vendor, names):
            # No parameters at all: the percent sign in the function is PL/pgSQL's own.
            editor.execute(statement, params=None)

    return put_on


def unguard(tables: Iterable[str]) -> Migration:
    """The way back of `guard`."""
    names = tuple(tables)

    def take_off(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        on = "" if editor.connection.vendor == "sqlite" else " ON {table}"
        for table in names:
            for verb in _verbs(editor.connection.vendor):
                editor.execute(f"DROP TRIGGER {table}_no_{verb.lower()}{on.format(table=table)}")

    return take_off


def _verbs(vendor: str) -> tuple[str, ...]:
    return ("UPDATE", "DELETE") if vendor == "sqlite" else ("UPDATE", "DELETE", "TRUNCATE")


def _statements(vendor: str, tables: Iterable[str]) -> Iterable[str]:
    template = _SQLITE if vendor == "sqlite" else _POSTGRES
    if vendor != "sqlite":
        yield _POSTGRES_FUNCTION.replace("{message}", MESSAGE)
    for table in tables:
        for verb in _verbs(vendor):
            yield (
                template.replace("{table}_no_{verb}", f"{table}_no_{verb.lower()}")
                .replace("{table}", table)
                .replace("{verb}", verb)
                .replace("{message}", MESSAGE)
            )
