"""What the wire leaves behind and nobody will ask for again, seen to at each tick."""

import json
from datetime import datetime, timedelta
from typing import Final

from service.core.ports import Work
from service.use_cases.receipts import let_parked_go
from service.use_cases.receiving import take_overdue_parts
from service.use_cases.tools import Tools

# Longer than any gateway posts the same thing again, so that its second coming is always known.
POSTS_KNOWN_FOR: Final = timedelta(days=7)

# How many rows there were when the database last looked at its tables.
_STATISTICS_OF: Final = "statistics_of"
# With fewer rows every way through a table is quick.
_MATTERS: Final = 1000


def tidy(work: Work, tools: Tools, now: datetime) -> dict[str, int]:
    """Take long texts whose parts never came, and forget what is past its time; return how much of each there was."""
    return {
        "incomplete_texts": take_overdue_parts(work, tools, now),
        "unknown_receipts": let_parked_go(work, now),
        "old_posts": _let_posts_go(work, now),
        "numbers_forgotten": _forget_numbers(work),
        "statistics_renewed": renew_statistics(work),
    }


def renew_statistics(work: Work) -> int:
    """Have the database look at its tables again when the programme has grown or shrunk a lot; return whether, 1 or 0.

    Else it would seek the audience of an alert as if there were a handful of farmers, after thousands were added.
    """
    sizes = work.statistics.sizes()
    known: dict[str, int] = json.loads(work.staff.setting(_STATISTICS_OF) or "{}")
    if not any(_is_other(size, known.get(name, 0)) for name, size in sizes.items()):
        return 0
    work.statistics.renew()
    work.staff.put_setting(_STATISTICS_OF, json.dumps(sizes))
    work.commit()
    return 1


def _is_other(size: int, known: int) -> bool:
    return max(size, known) >= _MATTERS and abs(size - known) * 4 > known


def _forget_numbers(work: Work) -> int:
    forgotten = work.erasing.forget_numbers()
    work.commit()
    return forgotten


def _let_posts_go(work: Work, now: datetime) -> int:
    gone = work.hooks.let_go(now - POSTS_KNOWN_FOR)
    work.commit()
    return gone
