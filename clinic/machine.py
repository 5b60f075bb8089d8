"""What this machine must have before Tautline can run, and how it is fetched.

Standard library only; and a Python that is too old must be able to read it, so that it can say so.
"""

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

if sys.version_info < (3, 11):  # noqa: UP036 - the very point
    sys.exit(
        "Tautline needs Python 3.11 or newer, and this is {}.{}: "
        "name a newer one, as in 'make run PYTHON=python3.12'.".format(*sys.version_info[:2])
    )

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
RUN = ROOT / "requirements.txt"
TEST = ROOT / "tests" / "requirements.txt"

# What WeasyPrint opens by name at run time, and the Debian package that brings it.
PRINT_LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}


class Lacking(Exception):
    """Something the machine has not and we may not fetch. The message is one plain sentence."""


def packages_for(libraries: dict[str, str]) -> list[str]:
    """The Debian packages still needed here for these libraries."""
    return [package for library, package in libraries.items() if not _opens(library)]


def venv_packages() -> list[str]:
    """The Debian package that lets this Python make a virtual environment, if it cannot yet."""
    if PYTHON.exists() or importlib.util.find_spec("ensurepip"):
        return []
    return [f"python{sys.version_info.major}.{sys.version_info.minor}-venv"]


def may_install() -> bool:
    return bool(_apt())


def install_packages(packages: Iterable[str]) -> None:
    """Fetch Debian packages, as root or with a sudo that asks nothing.

    Raises Lacking, naming the packages, where that is not permitted or does not work.
    """
    names = sorted(set(packages))
    if not names:
        return
    apt = _apt()
    if not apt:
        raise Lacking(
            f"Tautline needs the Debian packages {' '.join(names)}: "
            f"ask an administrator to run 'apt-get install {' '.join(names)}', then try again."
        )
    print(f"Installing Debian packages: {' '.join(names)}", flush=True)
    # A stale list or one dead source is no reason to stop: the install itself decides.
    _quietly([*apt, "update", "-qq"])
    done = _quietly(
        [*apt, "install", "-qq", "-y", "--no-install-recommends", "-o", "DPkg::Lock::Timeout=120", *names]
    )
    if done.returncode:
        raise Lacking(
            f"The Debian packages {' '.join(names)} could not be installed ({_last_line(done.stdout)})."
        )


def make_venv() -> None:
    """A virtual environment beside the source, unless a working one is there.

    Raises Lacking where the source folder cannot be written.
    """
    if PYTHON.exists():
        return
    if not os.access(ROOT, os.W_OK):
        raise Lacking(f"The folder {ROOT} cannot be written, and .venv belongs in it: use your own copy.")
    print("Making the virtual environment .venv", flush=True)
    done = _quietly([sys.executable, "-m", "venv", "--clear", str(VENV)])
    if done.returncode or not PYTHON.exists():
        raise Lacking(f"The folder {VENV} could not be made ({_last_line(done.stdout)}).")


def install_requirements(file: Path, *, also: Iterable[Path] = ()) -> None:
    """Install what `file` lists, only when it changed (or a file in `also`, which it includes)."""
    wanted = _fingerprint([file, *also])
    stamp = VENV / ("installed-" + "-".join(file.relative_to(ROOT).parts))
    if stamp.exists() and stamp.read_text() == wanted:
        return
    print(f"Installing the Python packages of {file.relative_to(ROOT)} (once, a minute or two)", flush=True)
    done = _quietly([str(PYTHON), "-m", "pip", "install", "-q", "--no-input", "-r", str(file)])
    if done.returncode:
        raise Lacking(f"The Python packages could not be installed ({_last_line(done.stdout)}).")
    stamp.write_text(wanted)


def data_folder() -> Path:
    """Where patient data lives: outside the source, owner-only. The same rule as in clinic.settings.

    Raises Lacking where it cannot be written.
    """
    home = os.environ.get("XDG_DATA_HOME") or os.path.join(os.path.expanduser("~"), ".local", "share")
    folder = Path(os.environ.get("TAUTLINE_DATA") or os.path.join(home, "tautline")).absolute()
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        trial = folder / f".trial-{os.getpid()}"
        trial.touch()
        trial.unlink()
    except OSError as problem:
        raise Lacking(
            f"The data folder {folder} cannot be written ({problem.strerror}): "
            "set TAUTLINE_DATA to a folder that can."
        ) from problem
    return folder


def _opens(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _apt() -> list[str]:
    """The command that may install packages here, or nothing."""
    if not shutil.which("apt-get"):
        return []
    if os.geteuid() == 0:
        return ["apt-get"]
    if shutil.which("sudo") and not _quietly(["sudo", "-n", "true"]).returncode:
        return ["sudo", "-n", "DEBIAN_FRONTEND=noninteractive", "apt-get"]
    return []


def _quietly(command: list[str]) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "DEBIAN_FRONTEND": "noninteractive", "PIP_DISABLE_PIP_VERSION_CHECK": "1"},
    )


def _fingerprint(files: Iterable[Path]) -> str:
    return hashlib.sha256(b"\0".join(file.read_bytes() for file in files)).hexdigest()


def _last_line(output: str) -> str:
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    return lines[-1].rstrip(".") if lines else "no message"
