"""What the wire leaves behind and nobody will ask for again, seen to at each tick."""

from datetime import datetime, timedelta
from typing import Final

from service.core.ports import Work
from service.use_cases.receipts import let_parked_go
from service.use_cases.receiving import take_overdue_parts
from service.use_cases.tools import Tools

# Longer than any gateway posts the same thing again, so that its second coming is always known.
POSTS_KNOWN_FOR: Final = timedelta(days=7)


def tidy(work: Work, tools: Tools, now: datetime) -> dict[str, int]:
    """Take long texts whose parts never came, and forget what is past its time; return how much of each there was."""
    return {
        "incomplete_texts": take_overdue_parts(work, tools, now),
        "unknown_receipts": let_parked_go(work, now),
        "old_posts": _let_posts_go(work, now),
        "numbers_forgotten": _forget_numbers(work),
    }


def _forget_numbers(work: Work) -> int:
    forgotten = work.erasing.forget_numbers()
    work.commit()
    return forgotten


def _let_posts_go(work: Work, now: datetime) -> int:
    gone = work.hooks.let_go(now - POSTS_KNOWN_FOR)
    work.commit()
    return gone
