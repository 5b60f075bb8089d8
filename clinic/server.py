"""How gunicorn serves Tautline (read by `gunicorn --config python:clinic.server`)."""

import os
from typing import Any

bind = f"127.0.0.1:{os.environ.get('PORT', '8000')}"
worker_class = "gthread"
workers = 2
threads = 4
# Printing PDFs grows a worker's memory by about 2 MB a page; a fresh one now and then keeps it flat.
max_requests = 1000
max_requests_jitter = 100
timeout = 60
graceful_timeout = 5
loglevel = "warning"
control_socket_disable = True


def when_ready(server: Any) -> None:
    """Say where to go, once the door is really open."""
    print(f"Tautline is ready at http://{bind}", flush=True)
    for line in os.environ.get("TAUTLINE_WELCOME", "").splitlines():
        print(line, flush=True)
    print("Stop it with Ctrl-C.", flush=True)


def post_worker_init(worker: Any) -> None:
    """Cut the patterns up now, once (a third of a second), and not in front of the first patient."""
    from bodymaps import atlas, matching

    matching.warm_up(atlas.load())
