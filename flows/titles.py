"""Words that stand before a name and are none by themselves: who is called by two of them is called by both."""

from typing import Final

TITLES: Final = frozenset(
    {
        *("mama", "baba", "bibi", "babu", "bi", "bwana", "ndugu", "mzee", "dada", "kaka", "mwalimu"),
        *("bw", "mr", "mrs", "miss", "ms", "dr", "prof", "sir", "madam"),
    }
)
