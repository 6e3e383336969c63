"""What is said to a farmer who is held out of advice texts, where the usual wording would promise some.

Whoever is held out is told nothing that is not so: they ask for their jobs, and these texts say how.
"""

from collections.abc import Mapping
from typing import Final

from flows.placeholders import FULL_DATE
from flows.promised import Filling, Text

_WITH_YEAR: Final[Mapping[str, Filling]] = {"date": FULL_DATE}

# Each usual wording, with the one that promises no texts.
QUIETLY: Final[Mapping[str, str]] = {
    "joined": "joined_quiet",
    "joined_ahead": "joined_ahead_quiet",
    "welcome_paper": "welcome_paper_quiet",
    "jobs_none": "jobs_none_quiet",
    "days_ask": "days_ask_quiet",
    "text_day_ask": "text_day_ask_quiet",
    "days_set": "days_set_quiet",
    "alerts_off": "alerts_off_quiet",
}

QUIET_TEXTS: Final[dict[str, Text]] = {
    "joined_quiet": Text(values="name n date", longest=_WITH_YEAR),
    "joined_ahead_quiet": Text(values="name n date", longest=_WITH_YEAR),
    "welcome_paper_quiet": Text(values="name svc"),
    "jobs_none_quiet": Text(),
    "days_ask_quiet": Text(values="day days"),
    "text_day_ask_quiet": Text(values="week"),
    "days_set_quiet": Text(values="day days"),
    "alerts_off_quiet": Text(),
}
