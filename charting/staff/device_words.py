"""What a browser says it is, in the few words that tell one's own devices apart."""

# The first that is found counts: most browsers name others beside themselves.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("iPad", "iPad"),
    ("iPhone", "iPhone"),
    ("Android", "Android"),
    ("CrOS", "ChromeOS"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux"),
)
UNKNOWN = "A device that does not say what it is"


def device_in_words(agent: str) -> str:
    """ "Chrome on Android". `agent`: the User-Agent header, which the device may have made up."""
    browser, system = _first(BROWSERS, agent), _first(SYSTEMS, agent)
    return f"{browser} on {system}" if browser and system else browser or system or UNKNOWN


def _first(known: tuple[tuple[str, str], ...], agent: str) -> str:
    return next((words for sign, words in known if sign in agent), "")
