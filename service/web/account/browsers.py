"""A browser in plain words: what it calls itself is long, and names every browser before it."""

from typing import Final

# The first word that stands in the string counts: newer browsers name the older ones they want to be taken for after
# their own. From memory, and from what browsers send.
_BROWSERS: Final = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
_SYSTEMS: Final = (
    ("Android", "Android"),
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Windows", "Windows"),
    ("Macintosh", "a Mac"),
    ("CrOS", "a Chromebook"),
    ("Linux", "Linux"),
)
_UNKNOWN: Final = "A browser we do not know"


def plain_browser(called: str) -> str:
    """Return what a browser that calls itself so is, and what it runs on: "Firefox on Android"."""
    browser = _first(called, _BROWSERS)
    system = _first(called, _SYSTEMS)
    return " on ".join(filter(None, (browser or _UNKNOWN, system)))


def _first(called: str, table: tuple[tuple[str, str], ...]) -> str | None:
    return next((name for word, name in table if word in called), None)
