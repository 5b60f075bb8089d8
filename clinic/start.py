"""`make run` and `make tablet`: from a bare machine to a served practice.

This half runs on the system's Python, before the virtual environment exists. The other half, inside
it, is clinic/serve.py.
"""

import os
import socket
import sys

from clinic import machine, network

# The word after "clinic.start", handed on to clinic.serve: serve the network, over TLS.
TABLET = "tablet"


def main(*arguments: str) -> None:
    """Checks what fails fastest first, fetches what is missing, then hands over to clinic.serve."""
    for_tablets = TABLET in arguments
    word, usual, host = ("tablet", "8443", every_address()) if for_tablets else ("run", "8000", "127.0.0.1")
    port = free_port(os.environ.get("PORT", usual), host, word)
    if for_tablets:
        check_network()
    data = machine.data_folder()
    machine.install_packages([*machine.venv_packages(), *machine.packages_for(machine.PRINT_LIBRARIES)])
    machine.make_venv()
    machine.install_requirements(machine.RUN)
    environment = {**os.environ, "PORT": str(port), "TAUTLINE_DATA": str(data)}
    os.chdir(machine.ROOT)
    command = [str(machine.PYTHON), "-m", "clinic.serve", *arguments]
    # exec, not a child: Ctrl-C and signals then reach the server itself. No shell is wanted.
    os.execve(machine.PYTHON, command, environment)  # noqa: S606


def every_address() -> str:
    """To bind to all addresses of this machine, of both families where there are two."""
    return "::" if socket.has_dualstack_ipv6() else "0.0.0.0"  # noqa: S104 - over TLS, for known hosts only


def check_network() -> None:
    """Raises Lacking when no tablet could find this machine."""
    try:
        network.place(os.environ.get("TAUTLINE_ADDRESS", ""))
    except ValueError as problem:
        raise machine.Lacking(f"{problem}.") from problem


def free_port(text: str, host: str, word: str) -> int:
    """The port to serve on at `host`. Raises Lacking when it is no port, or taken."""
    if not (text.isdecimal() and 0 < int(text) < 65536):
        raise machine.Lacking(f"PORT must be a number from 1 to 65535, not '{text}'.")
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as trial:
        # As the server does: a port that is only waiting out its last connection is free.
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, int(text)))
        except OSError as problem:
            raise machine.Lacking(
                f"Port {text} cannot be used ({problem.strerror}): "
                f"stop the other program, or run 'make {word} PORT={min(int(text) + 1, 65535)}'."
            ) from problem
    return int(text)


if __name__ == "__main__":
    try:
        main(*sys.argv[1:])
    except machine.Lacking as lacking:
        sys.exit(str(lacking))
    except KeyboardInterrupt:
        sys.exit(130)
