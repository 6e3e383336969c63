"""Words the lint of the texts knows, by language. A new language adds its own rows here."""

from typing import Final

# Capitals that are no commands.
EMPHASIS: Final[dict[str, frozenset[str]]] = {
    "en": frozenset(
        {
            *("SMS", "PIN", "NOT", "NOW"),
            *("POISON", "FIRE", "ELECTRIC", "SHOCK", "SNAKE", "BITE", "BURNT", "FAINTED"),
        }
    ),
    "sw": frozenset(
        {
            *("SMS", "PIN", "SASA"),
            *("SUMU", "MOTO", "SHOTI", "YA", "UMEME", "NYOKA", "UMEUNGUA", "AMEZIMIA"),
            *("USIMTAPISHE", "MSIRUDI", "USIMGUSE", "USICHANJE"),
        }
    ),
}

# Command words that our texts also use in small letters, always for the very thing the command is about.
SAME_SENSE: Final[dict[str, frozenset[str]]] = {
    "en": frozenset(
        {
            "harvest",
            "sprayed",
            "estimate",
            "jobs",
            "total",
            "yes",
            "no",
            "language",
            "pause",
            "water",
            "rain",
            "sold",
            "cost",
            "price",
        }
    ),
    "sw": frozenset(
        {
            "kazi",
            "jumla",
            "ndiyo",
            "hapana",
            "lugha",
            "taarifa",
            "tahadhari",
            "maji",
            "mvua",
            "gharama",
            "bei",
        }
    ),
}

# Ordinary words that are commands only where they are the whole text: sent back with others they do nothing.
WHOLE_TEXT_ONLY: Final[dict[str, frozenset[str]]] = {
    "en": frozenset({"days", "who"}),
    "sw": frozenset({"siku", "bado", "nani", "idadi"}),
}

# What no text may say: that something does no harm, how much of it to use, or what to burn or pour.
REFUSED: Final[dict[str, frozenset[str]]] = {
    "en": frozenset(
        {
            *("safe", "safely", "harmless", "riskless", "guaranteed", "approved", "cure"),
            *("dose", "ml", "cc", "litre", "litres", "gram", "grams", "teaspoon"),
            *("burn", "petrol", "paraffin", "kerosene", "bleach", "detergent", "nicotine", "pump"),
        }
    ),
    "sw": frozenset(
        {
            *("salama", "hakikisho", "imeidhinishwa", "tiba"),
            *("dozi", "ml", "cc", "lita", "mililita", "gramu", "kijiko"),
            *("choma", "usichome", "petroli", "taa", "kufulia", "tumbaku", "pampu"),
        }
    ),
}
