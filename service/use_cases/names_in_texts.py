"""Names with letters that texts cannot write: officers are told before such a name is kept.

One such letter would make every part of a text hold 70 characters instead of 160, so texts put another in its place.
A name is theirs who bears it: it may be kept as it is.
"""

import unicodedata
from collections.abc import Callable

from flows.alphabet import clip, culprits


def told_of_name(name: str, in_texts: Callable[[str], str], *, then: str) -> str:
    """Return what somebody should know before `name` is kept; empty where texts can write all its letters.

    Marks that only look otherwise, like a typographer's apostrophe, are none of it.

    Args:
        name: as it was typed.
        in_texts: how texts write such a name.
        then: what can be done, as the end of a sentence.
    """
    strange = [char for char in culprits(unicodedata.normalize("NFC", name)) if _is_lost(char)]
    if not strange:
        return ""
    letters = " and ".join(f"“{char}”" for char in strange)
    return f"{letters} would double the cost of each text that names it, so texts will say “{in_texts(name)}”. {then}"


def _is_lost(char: str) -> bool:
    return char.isalpha() or clip(char, at_most=1) == "?"
