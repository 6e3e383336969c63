"""Texts about how long picked fruit keeps."""

from collections.abc import Mapping
from typing import Final

from flows.promised import Filling, Text

# A fortnight, see `flows.reader.kept_fresh`.
_HOURS: Final[Mapping[str, Filling]] = {"n": "336"}

KEEPING_TEXTS: Final[dict[str, Text]] = {
    "fresh_now": Text(values="name degrees hours cold cold_time"),
    "fresh_since": Text(values="name n degrees hours cold cold_time", longest=_HOURS),
    "fresh_over": Text(values="name n degrees", longest=_HOURS),
    "fresh_held": Text(values="date_sprayed date_free"),
    "fresh_shade": Text(),
}
