"""The tables behind the 7-bit alphabet, and what stands in for characters it lacks.

The characters are those of 3GPP TS 23.038, section 6.2.1 (default alphabet and its extension table).
"""

from typing import Final

_BASIC: Final = (
    "@£$¥èéùìòÇ\nØø\rÅå"
    "Δ_ΦΓΛΩΠΨΣΘΞÆæßÉ"
    " !\"#¤%&'()*+,-./"
    "0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNO"
    "PQRSTUVWXYZÄÖÑÜ§"
    "¿abcdefghijklmno"
    "pqrstuvwxyzäöñüà"
)
# Each of these costs two septets: the escape to the extension table and its own code.
EXTENSION: Final = frozenset("\f^{}\\[~]|€")

CHARACTERS: Final = frozenset(_BASIC) | EXTENSION

# Marks that show nothing, so nothing is lost. Joiners are not among them: they shape letters and emoji.
_WITHOUT_WIDTH: Final = (
    "\u00ad\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"
)


def _each(characters: str, substitute: str) -> dict[str, str]:
    return dict.fromkeys(characters, substitute)


# What word processors and phones put in, and what says the same in GSM-7. Characters whose loss would change
# a meaning (fractions, superscripts, the degree sign) are left out on purpose: their author is shown them.
SUBSTITUTES: Final[dict[str, str]] = {
    **_each("‘’‚‛′´`ʼʻˈ‹›", "'"),
    **_each("“”„‟″«»", '"'),
    **_each("‐‑‒–—―−", "-"),
    **_each("•‣·", "-"),
    **_each("\t\u2028\u2029", " "),
    **_each(_WITHOUT_WIDTH, ""),
    "…": "...",
    "×": "x",
    "⁄": "/",
    # Letters that Unicode does not take apart into a base and an accent.
    "œ": "oe",
    "Œ": "OE",
    "đ": "d",
    "Đ": "D",
    "ħ": "h",
    "Ħ": "H",
    "ł": "l",
    "Ł": "L",
    "ı": "i",
    # Money signs, written as their usual abbreviations.
    "₦": "NGN",
    "₵": "GHS",
    "₹": "Rs",
}
