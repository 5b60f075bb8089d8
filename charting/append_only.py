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
# While a purge of the own transaction is open (charting.retention), rows may go; nothing else may, ever.
# The table of purges is never made anew: SQLite would refuse it for the triggers that name it.
_PURGING = "EXISTS (SELECT 1 FROM charting_purge WHERE finished_at IS NULL)"
_SQLITE_BUT_PURGE = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table} WHEN NOT {purging}
BEGIN SELECT RAISE(ABORT, '{message}: {table}'); END;
"""
_POSTGRES_BUT_PURGE = """
CREATE OR REPLACE FUNCTION refuse_change_but_purge() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
   IF {purging} THEN RETURN NULL; END IF;
   RAISE EXCEPTION '{message}: %', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END $$;
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


def guard_but_purge(tables: Iterable[str]) -> Migration:
    """The same for rows of a person's record: a purge may delete them. Needs the table charting_purge."""
    names = tuple(tables)

    def put_on(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        vendor = editor.connection.vendor
        if vendor != "sqlite":
            editor.execute(_filled(_POSTGRES_BUT_PURGE, "", ""), params=None)
        for statement in _statements(vendor, names, but_purge=True):
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


def _statements(vendor: str, tables: Iterable[str], *, but_purge: bool = False) -> Iterable[str]:
    if vendor != "sqlite":
        yield _filled(_POSTGRES_FUNCTION, "", "")
    for table in tables:
        for verb in _verbs(vendor):
            yield _filled(_template(vendor, goes=but_purge and verb == "DELETE"), table, verb)


def _template(vendor: str, *, goes: bool) -> str:
    if vendor == "sqlite":
        return _SQLITE_BUT_PURGE if goes else _SQLITE
    return _POSTGRES.replace("refuse_change", "refuse_change_but_purge") if goes else _POSTGRES


def _filled(template: str, table: str, verb: str) -> str:
    return (
        template.replace("{table}_no_{verb}", f"{table}_no_{verb.lower()}")
        .replace("{table}", table)
        .replace("{verb}", verb)
        .replace("{message}", MESSAGE)
        .replace("{purging}", _PURGING)
    )
