"""The server of a practice as gunicorn serves it, without what only warms caches: it is killed every few
seconds, and cutting the patterns up has no part in what is kept.
"""

from clinic.server import *  # noqa: F403


def post_worker_init(worker: object) -> None:
    """Nothing is warmed up."""


def when_ready(server: object) -> None:
    """Nobody reads it."""
