"""What the board keeps on a device for when the server can't be reached: one page and its looks."""

import hashlib
import json

from django.templatetags.static import static
from django.urls import reverse

FILES = (
    "css/fonts.css",
    "css/tokens.css",
    "css/base.css",
    "css/page.css",
    "fonts/atkinson-hyperlegible-next-regular.woff2",
    "fonts/atkinson-hyperlegible-next-bold.woff2",
    "js/offline.js",
    "js/draw/keep.js",
    "js/draw/words.js",
)


def worker_words() -> dict[str, str]:
    """`files`: a JSON list of addresses, the page first; `version`: another one when any of them changes."""
    files = json.dumps([reverse("board-offline"), *(static(name) for name in FILES)])
    return {"files": files, "version": hashlib.sha256(files.encode()).hexdigest()[:12]}
