"""Texts that have a second wording, so that a programme can try which of two is followed more often.

Both wordings are given the same values and offer the same words, so that whatever is done with the one can be done
with the other; and they are about as long, so that as many jobs fit into either.
"""

from collections.abc import Mapping
from typing import Final

# By what is tried: each text with its second wording.
SECOND_WORDINGS: Final[Mapping[str, Mapping[str, str]]] = {
    "week": {"week": "week_today", "week_more": "week_today_more"},
}
