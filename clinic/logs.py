"""Logs without personal data: of each record only what stands in an allow-list, one JSON object a line.

What a library or an exception says may hold a name, a query or a row ("Key (family_name)=(...) exists").
So words are written with the numbers in them alone, an exception by its type and the places it came through.
OWASP ASVS 5.0: 16.1.1 and 16.2.1 to 16.2.5 (what is logged, when, in UTC, in one format, without sensitive
data), 16.4.1 (nobody writes a line of their own into it: JSON escapes), 16.5.1.
"""

import json
import logging
import traceback
from contextvars import ContextVar
from datetime import UTC, datetime
from types import TracebackType
from typing import Any

# Ours to say, by `extra=`: a pattern of an address and never the address, an id and never a name.
OWN_KEYS = ("request", "user", "method", "route", "status", "ms", "bytes", "part")
# Records of these say their own words as they are: they are constants of this project.
OURS = ("clinic", "charting")
PLACES = 12

request_id: ContextVar[str] = ContextVar("request_id", default="")


class Lines(logging.Formatter):
    """A record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        return json.dumps(told(record), ensure_ascii=True, separators=(",", ":"))


class Words(logging.Formatter):
    """The same for a person at a terminal: "WARNING django.request 404 (base:253)"."""

    def format(self, record: logging.LogRecord) -> str:
        said = told(record)
        said.pop("at")
        return " ".join(str(each) for each in said.values())


def told(record: logging.LogRecord) -> dict[str, Any]:
    """What of a record may be written down."""
    said: dict[str, Any] = {
        "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
        "level": record.levelname,
        "logger": record.name,
        "words": words_of(record),
        "where": f"{record.module}:{record.lineno}",
        "process": record.process,
        "request": request_id.get(),
    }
    said |= {key: getattr(record, key) for key in OWN_KEYS if _is_plain(getattr(record, key, None))}
    if record.exc_info and record.exc_info[0]:
        kind, _, trace = record.exc_info
        said |= {"error": f"{kind.__module__}.{kind.__qualname__}", "places": places(trace)}
    elif "status_code" in record.__dict__:
        said.setdefault("status", record.__dict__["status_code"])
    return {key: value for key, value in said.items() if value not in ("", None)}


def words_of(record: logging.LogRecord) -> str:
    """The constant part of what is said, with its numbers. Of others nothing that was put together before it
    came here.
    """
    if record.name.split(".")[0] in OURS:
        return str(record.msg)
    if not isinstance(record.args, tuple) or not record.args or not isinstance(record.msg, str):
        return ""
    try:
        return record.msg % tuple(each if _is_number(each) else "..." for each in record.args)
    except (TypeError, ValueError):
        return ""


def places(trace: TracebackType | None) -> list[str]:
    """Where an exception came through, the innermost last: file, line and function; no values, no source."""
    frames = traceback.extract_tb(trace)[-PLACES:]
    return [f"{'/'.join(frame.filename.split('/')[-2:])}:{frame.lineno} {frame.name}" for frame in frames]


def _is_plain(value: Any) -> bool:
    return isinstance(value, (str, int, float))


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float))


def config(*, as_json: bool, whole: bool = False) -> dict[str, Any]:
    """For logging.config and for gunicorn. `as_json`: for a machine that collects it, with a line for each
    request; else warnings alone. `whole`: while developing, everything as it was said.
    """
    formatter: dict[str, Any] = {"()": "clinic.logs.Lines" if as_json else "clinic.logs.Words"}
    if whole:
        formatter = {"format": "%(levelname)s %(name)s %(message)s"}
    level = "INFO" if as_json else "WARNING"
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"plain": formatter},
        "handlers": {
            "console": {"class": "logging.StreamHandler", "formatter": "plain"},
            "nowhere": {"class": "logging.NullHandler"},
        },
        "root": {"handlers": ["console"], "level": "WARNING"},
        "loggers": {
            # No mail about errors: one holds the whole request, and leaves the house.
            "django": {"handlers": [], "level": "WARNING", "propagate": True},
            # The development server, which nothing here starts, logs whole addresses.
            "django.server": {"handlers": ["nowhere"], "propagate": False},
            # Whoever calls the server by a wrong name gets a page that says so.
            "django.security.DisallowedHost": {"handlers": ["nowhere"], "propagate": False},
            "gunicorn.error": {"handlers": [], "level": "WARNING", "propagate": True},
            "gunicorn.access": {"handlers": ["nowhere"], "propagate": False},
            "clinic": {"handlers": [], "level": level, "propagate": True},
            "charting": {"handlers": [], "level": level, "propagate": True},
        },
    }
