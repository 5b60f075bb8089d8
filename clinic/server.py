"""How gunicorn serves Tautline (read by `gunicorn --config python:clinic.server`)."""

import os
import socket
from typing import Any

from clinic import logs
from clinic.proxies import networks

PORT = os.environ.get("PORT", "8000")
# Set by clinic.serve for `make tablet`: the addresses, with spaces between.
TABLET_URLS = os.environ.get("TAUTLINE_TABLET", "").split()

# "10.0.0.11:8000", or "unix:/run/tautline/door" for a web server on this machine.
bind = os.environ.get("TAUTLINE_BIND") or f"127.0.0.1:{PORT}"
worker_class = "gthread"
workers = int(os.environ.get("TAUTLINE_WORKERS", "2"))
# Each thread holds one connection to a PostgreSQL.
threads = int(os.environ.get("TAUTLINE_THREADS", "4"))
# Printing PDFs grows a worker's memory by about 2 MB a page; a fresh one now and then keeps it flat.
max_requests = 1000
max_requests_jitter = 100
timeout = 60
graceful_timeout = 5
loglevel = "warning"
control_socket_disable = True
# Whose word is taken that the visitor came over TLS (X-Forwarded-Proto: https).
forwarded_allow_ips = ",".join(str(network) for network in networks(os.environ.get("TAUTLINE_PROXIES", "")))
logconfig_dict = logs.config(as_json=os.environ.get("TAUTLINE_LOG", "") == "json")

if TABLET_URLS:
    # "::" is every address of both families. Whoever calls this machine by another name than those in its
    # certificate is turned away by ALLOWED_HOSTS.
    bind = f"[::]:{PORT}" if socket.has_dualstack_ipv6() else f"0.0.0.0:{PORT}"
    certfile = os.path.join(os.environ["TAUTLINE_DATA"], "certificates", "server.crt")
    keyfile = os.path.join(os.environ["TAUTLINE_DATA"], "certificates", "server.key")
    from clinic.line import ssl_context  # noqa: F401 - a hook of gunicorn's, found by its name


def when_ready(server: Any) -> None:
    """Say where to go, once the door is really open."""
    print(f"Tautline is ready at {TABLET_URLS[0] if TABLET_URLS else f'http://{bind}'}", flush=True)
    for line in os.environ.get("TAUTLINE_WELCOME", "").splitlines():
        print(line, flush=True)
    print("Stop it with Ctrl-C.", flush=True)


def post_worker_init(worker: Any) -> None:
    """Cut the patterns up now, once (about a second), and not in front of the first patient."""
    from bodymaps import atlas, matching, skin, spine
    from bodymaps.reasoning import evidence, examine_next, same_area
    from charting.atlas import queries

    matching.warm_up(atlas.load())
    queries.warm_up()
    evidence.warm_up(atlas.load())
    examine_next.warm_up(atlas.load())
    spine.ways(skin.load())
    same_area.separations()
