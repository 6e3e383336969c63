"""For how long a farmer's answer is waited for."""

from datetime import timedelta
from typing import Final

from flows.states import State

OPEN_QUESTION: Final = timedelta(hours=48)
# A yes to being texted may take its time: as long as what was noted of the farmer is kept.
PENDING_FOR: Final = timedelta(days=14)


def stays_open(state: State) -> timedelta:
    """Return for how long a question stays open once it is asked."""
    return PENDING_FOR if state is State.CONSENT else OPEN_QUESTION
