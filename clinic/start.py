"""`make run`: from a bare machine to a served practice.

This half runs on the system's Python, before the virtual environment exists. The other half, inside
it, is clinic/serve.py.
"""

import os
import socket
import sys

from clinic import machine


def main() -> None:
    """Checks what fails fastest first, fetches what is missing, then hands over to clinic.serve."""
    port = free_port(os.environ.get("PORT", "8000"))
    data = machine.data_folder()
    machine.install_packages([*machine.venv_packages(), *machine.packages_for(machine.PRINT_LIBRARIES)])
    machine.make_venv()
    machine.install_requirements(machine.RUN)
    environment = {**os.environ, "PORT": str(port), "TAUTLINE_DATA": str(data)}
    os.chdir(machine.ROOT)
    # exec, not a child: Ctrl-C and signals then reach the server itself. No shell is wanted.
    os.execve(machine.PYTHON, [str(machine.PYTHON), "-m", "clinic.serve"], environment)  # noqa: S606


def free_port(text: str) -> int:
    """The port to serve on. Raises Lacking when it is no port, or taken."""
    if not (text.isdecimal() and 0 < int(text) < 65536):
        raise machine.Lacking(f"PORT must be a number from 1 to 65535, not '{text}'.")
    with socket.socket() as trial:
        # As the server does: a port that is only waiting out its last connection is free.
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", int(text)))
        except OSError as problem:
            raise machine.Lacking(
                f"Port {text} cannot be used ({problem.strerror}): "
                f"stop the other program, or run 'make run PORT={min(int(text) + 1, 65535)}'."
            ) from problem
    return int(text)


if __name__ == "__main__":
    try:
        main()
    except machine.Lacking as lacking:
        sys.exit(str(lacking))
    except KeyboardInterrupt:
        sys.exit(130)
