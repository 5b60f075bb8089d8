"""What `make tablet` does beyond `make run`: certificate, settings, refusals, and what it prints.

Django, charting and the certificate library are imported inside the functions, as in clinic.serve.
"""

import os
import shutil
import sys
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path

from clinic import network

FOLDER = "certificates"
# Black on white by number, whatever the colours of the terminal are; a scanner needs them in this order.
INK, PLAIN = "\x1b[38;5;16;48;5;231m", "\x1b[0m"
WIDTH = 79  # columns of a terminal, less one
QUIET_ZONE = 4  # squares, ISO/IEC 18004
HALVES = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}


class Refused(Exception):
    """The network stays shut. The message is one plain sentence."""


def arrange(data: Path) -> None:
    """Make the certificates, and tell the settings and the server by the environment. Before Django.

    Raises Refused without an address to serve, and for damaged certificates.
    """
    from clinic import authority

    if os.environ.get("TAUTLINE_DEBUG") == "1":
        raise Refused("TAUTLINE_DEBUG shows the inside of the program: leave it out for 'make tablet'.")
    try:
        here = network.place(os.environ.get("TAUTLINE_ADDRESS", ""))
        made = authority.make_ready(data / FOLDER, here.hosts)
    except (ValueError, authority.Unusable) as problem:
        raise Refused(f"{problem}.") from problem
    os.environ |= {
        "TAUTLINE_TLS": "1",
        "TAUTLINE_HOSTS": ",".join(f"[{host}]" if ":" in host else host for host in here.hosts),
        "TAUTLINE_TABLET": " ".join(here.urls(os.environ["PORT"])),
    }
    if made.authority:
        print("Made this practice's certificate authority. Every tablet must trust it once.", flush=True)
    for address in here.left_out:
        print(f"Left out: {address} is no address of a private network.", flush=True)


def refuse_published_passwords() -> None:
    """Raise Refused while anybody can sign in with the password that stands in the demo practice's file."""
    from charting.management.demo import who_uses_the_published_password

    names = who_uses_the_published_password()
    if names:
        raise Refused(
            f"Everybody can read the demo password of {', '.join(names)}, so the network stays shut: "
            "for patients of your own open a practice in a data folder of its own "
            "('TAUTLINE_DATA=folder make tablet', then 'manage.py add_staff', see README), "
            f"or change each password ('{_manage(f'changepassword {names[0]}')}')."
        )


def words() -> str:
    """What to do on the tablet, in lines for a terminal, below the address itself."""
    from django.conf import settings

    from charting.entrance import trust

    first, *others = settings.TABLET_URLS
    lines = [f"Also at {url}" for url in others]
    lines += ["", *_qr(trust.qr(first).matrix), ""] if _can_print_blocks() else []
    lines += ["Each device has to trust this practice's certificate once.", "SHA-256 fingerprint to compare:"]
    lines += [f"  {half}" for half in trust.fingerprint(trust.certificate())]
    lines += [f"Certificate file: {settings.AUTHORITY}", ""]
    for device in trust.devices():
        lines += [device.name, *_numbered(device.steps)]
    lines += ["", *textwrap.wrap(trust.WITHOUT_TRUST, WIDTH), *_nobody_yet()]
    return "\n".join(lines)


def _nobody_yet() -> Iterator[str]:
    from charting.staff.queries import anybody_can_sign_in

    if not anybody_can_sign_in():
        yield ""
        yield "Nobody can sign in yet. Add the first person, in a second terminal:"
        who = "--username mara --name 'Mara Lind' --role clinician"
        yield f"  {_manage('add_staff')} --practice 'Name of the practice' {who}"


def _manage(command: str) -> str:
    """The command as it can be typed here: with the data folder, where it is not the usual one."""
    from django.conf import settings

    usual = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "tautline"
    folder = "" if usual == settings.DATA else f"TAUTLINE_DATA={settings.DATA} "
    return f"{folder}.venv/bin/python manage.py {command}"


def _numbered(steps: Sequence[str]) -> Iterator[str]:
    for number, step in enumerate(steps, 1):
        yield from textwrap.wrap(step, WIDTH, initial_indent=f"  {number}. ", subsequent_indent="     ")


def _can_print_blocks() -> bool:
    """Whether the terminal's encoding has the signs, and the window the room."""
    try:
        "".join(HALVES.values()).encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return shutil.get_terminal_size().columns >= 45


def _qr(matrix: Sequence[Sequence[int]]) -> Iterator[str]:
    """Two rows of squares in one line of half blocks."""
    side = [0] * QUIET_ZONE
    empty = [[0] * (len(matrix) + 2 * QUIET_ZONE)] * QUIET_ZONE
    rows = [*empty, *([*side, *row, *side] for row in matrix), *empty]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    for upper, lower in zip(rows[::2], rows[1::2], strict=True):
        yield f"{INK}{''.join(HALVES[int(a), int(b)] for a, b in zip(upper, lower, strict=True))}{PLAIN}"
