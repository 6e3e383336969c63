"""How an alert goes: where each phone of its audience stands, in figures that add up at every moment."""

from collections import Counter
from collections.abc import Iterable
from typing import Final

from service.core.alert_ports import Tally
from service.core.alert_states import RUNNING, AlertState
from service.core.alerts import Count
from service.core.kinds import SENT, MessageState
from service.use_cases.alerts.ports import AlertWork

_FIGURES: Final[dict[MessageState, str]] = {
    **dict.fromkeys(MessageState, "failed"),
    **dict.fromkeys(SENT, "sent"),
    MessageState.DUE: "waiting",
    MessageState.SUBMITTING: "waiting",
    MessageState.IN_DOUBT: "in_doubt",
    MessageState.CANCELLED: "cancelled",
}
# Where those stand for whom no message was made.
_UNWRITTEN: Final[dict[AlertState, str]] = {
    **dict.fromkeys(AlertState, "failed"),
    **dict.fromkeys(RUNNING, "waiting"),
    AlertState.CALLED_OFF: "cancelled",
}


def count(work: AlertWork, alert_id: int, state: AlertState) -> Count:
    """Return how an alert that stands in `state` goes."""
    return add_up(work.recipients.tally(alert_id), state)


def add_up(tallies: Iterable[Tally], state: AlertState) -> Count:
    """Add up phones that stand alike."""
    figures: Counter[str] = Counter()
    excluded: Counter[str] = Counter()
    answers: Counter[str] = Counter()
    for tally in tallies:
        figures["audience"] += tally.phones
        if tally.answer:
            answers[tally.answer] += tally.phones
        if tally.excluded:
            excluded[tally.excluded] += tally.phones
            continue
        figures[_UNWRITTEN[state] if tally.state is None else _FIGURES[tally.state]] += tally.phones
        figures["not_again"] += tally.phones if tally.closed else 0
        figures["delivered"] += tally.phones if tally.state is MessageState.DELIVERED else 0
    return Count(**figures, excluded=dict(excluded), answers=dict(answers))
