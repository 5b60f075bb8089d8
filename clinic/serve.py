"""The second half of `make run` and `make tablet`, in the virtual environment: database, static files, door.

Django is imported inside the functions: it must not be read before the key and the data folder stand,
and a module that is missing from the environment ends in one plain sentence.
"""

import os
import sys
from contextlib import nullcontext
from pathlib import Path

from clinic import courses, tablet
from clinic.database import from_url
from clinic.secret import make_secret
from clinic.start import TABLET

GUNICORN = [sys.executable, "-m", "gunicorn", "--config", "python:clinic.server", "clinic.wsgi"]


def main(*arguments: str) -> None:
    """Get everything ready, then become the web server."""
    # Whatever is written from here on (database, key, static copies) is the owner's alone.
    os.umask(0o077)
    data = Path(os.environ["TAUTLINE_DATA"])
    try:
        from_url(os.environ.get("DATABASE_URL", ""), data)
    except ValueError as problem:
        sys.exit(f"{problem}.")
    make_secret(data / "secret_key")
    os.environ.pop("TAUTLINE_TABLET", None)
    if TABLET in arguments:
        tablet.arrange(data)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clinic.settings")
    prepare(for_tablets=TABLET in arguments)
    if TABLET not in arguments and courses.are_left(data):
        courses.begin(data)
    sys.stdout.flush()
    os.execv(sys.executable, GUNICORN)  # noqa: S606 - no shell is wanted


def prepare(*, for_tablets: bool) -> None:
    """Migrate what is not migrated, gather static files, make the demo practice on the first start: never on
    one that the network can reach.
    """
    import django

    django.setup()
    import clinic.urls  # noqa: F401 - every page's imports, so that a missing module shows now

    first = bring_up_to_date()
    if for_tablets:
        tablet.refuse_published_passwords()
    gather_static()
    if first and not for_tablets and os.environ.get("TAUTLINE_DEMO") != "no":
        make_demo()
        courses.want(Path(os.environ["TAUTLINE_DATA"]))
    os.environ["TAUTLINE_WELCOME"] = welcome(for_tablets=for_tablets)


def bring_up_to_date() -> bool:
    """Apply the migrations that are missing, and keep a copy of what was there before. True when the database
    was just made.
    """
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    from charting.safekeeping import upgrade

    executor = MigrationExecutor(connection)
    first = not executor.loader.applied_migrations
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        print("Preparing the database", flush=True)
        with nullcontext() if first else upgrade.safely():
            call_command("migrate", verbosity=0, interactive=False)
    connection.close()
    return first


def gather_static() -> None:
    """Copy, name by content and compress the static files; seconds of work, so only when one has changed."""
    from django.conf import settings
    from django.contrib.staticfiles.finders import get_finders
    from django.core.management import call_command

    found = [storage.path(path) for finder in get_finders() for path, storage in finder.list([])]
    wanted = "\n".join(f"{path} {os.stat(path).st_mtime_ns}" for path in sorted(found))
    stamp = Path(settings.DATA) / "static-files"
    if stamp.exists() and stamp.read_text() == wanted:
        return
    call_command("collectstatic", verbosity=0, interactive=False, clear=True)
    stamp.write_text(wanted)


def make_demo() -> None:
    """The invented practice to try things on. A half-made one is removed, so that the next start makes it."""
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection

    print("Making the demo practice", flush=True)
    try:
        call_command("seed_demo", verbosity=0)
    except BaseException:
        connection.close()
        if connection.vendor == "sqlite":
            Path(str(settings.DATABASES["default"]["NAME"])).unlink(missing_ok=True)
        raise
    connection.close()


def welcome(*, for_tablets: bool) -> str:
    """What clinic.server prints under the address: how to sign in to a demo practice, or how a tablet comes
    in; where the data is.
    """
    from django.conf import settings
    from django.db import connection

    from charting.management.demo import sign_in_words

    words = tablet.words() if for_tablets else sign_in_words()
    if not for_tablets and courses.are_left(Path(settings.DATA)):
        words = f"{words}\n{courses.WORDS}"
    connection.close()
    return f"{words}\nData folder: {settings.DATA}".lstrip()


def in_one_sentence(problem: Exception) -> str | None:
    """What a person who only typed `make run` can act on; None for a fault of our own."""
    words = " ".join(str(problem).split()).rstrip(".")
    if isinstance(problem, tablet.Refused):
        return f"{words}."
    if isinstance(problem, ModuleNotFoundError) and _is_ours(problem.name or ""):
        return None
    if isinstance(problem, ModuleNotFoundError):
        return (
            f"The Python module '{problem.name}' is missing from .venv: "
            "delete the folder .venv and run 'make run' again."
        )
    if isinstance(problem, OSError):
        return f"{problem.filename or 'A file'} cannot be used ({problem.strerror or words})."
    # By module, for Django may be what is missing.
    if type(problem).__module__ in ("django.db.utils", "django.core.exceptions", "sqlite3"):
        return f"The database cannot be used ({words})."
    return None


def _is_ours(module: str) -> bool:
    return module.split(".")[0] in ("clinic", "charting", "bodymaps")


if __name__ == "__main__":
    try:
        main(*sys.argv[1:])
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception as problem:
        sentence = in_one_sentence(problem)
        if sentence is None:
            raise
        sys.exit(sentence)
