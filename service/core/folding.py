"""Names as they are compared: however somebody writes capitals, accents and apostrophes."""

import unicodedata
from typing import Final

# Ng'ombe is written with any of these, or with none.
_LEFT_OUT: Final = frozenset("'\u2019\u2018\u02bc`\u00b4")


def folded(name: str) -> str:
    """Return a name without capitals, accents and apostrophes; two that look the same to a hurried eye are equal."""
    plain = unicodedata.normalize("NFKD", name.casefold())
    return "".join(char for char in plain if not unicodedata.combining(char) and char not in _LEFT_OUT)
