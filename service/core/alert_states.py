"""The states of an alert and the moves between them.

Rules:

* `MOVES` is the whole machine. A move without a row is illegal, and whoever asks for it is told so in a sentence.
* A draft is what the officer still looks at. Confirmed, its recipients are written down and stay as they are: who
  joins later gets no text, and whoever stops meanwhile gets none either, since STOP is looked at in the claim.
* Between confirming and sending lies the waiting time, for templates too: a frost alarm is sent hours ahead, so two
  minutes cost nothing, and a text to the wrong district costs its readers' trust.
* What leaves the states of a sending alert is the database's truth: an alert that is paused or called off lets no
  text of its own be claimed, whatever a row of the outbox still says.
* Whoever wrote an alert, and whoever approved it, stands for it. One who is disabled, or loses the right or a district,
  does so no more: until it has begun it is parked at once, and goes only if somebody else takes it over.
* An alert ends by itself when all its texts have an end, or when it is of no more use.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final

from service.core.errors import Refused


class AlertState(StrEnum):
    """Where an alert stands."""

    DRAFT = "draft"
    WAITING_APPROVAL = "waiting_approval"
    SCHEDULED = "scheduled"
    PARKED = "parked"
    SENDING = "sending"
    PAUSED = "paused"
    DONE = "done"
    CALLED_OFF = "called_off"
    EXPIRED = "expired"


class Move(StrEnum):
    """What can be done to an alert; the words stand in refusals, after "cannot be"."""

    CONFIRM = "confirmed"
    SUBMIT = "handed to a second person"
    APPROVE = "approved"
    PARK = "parked"
    TAKE_OVER = "taken over"
    HAND_ON = "handed to another second person"
    START = "started"
    PAUSE = "paused"
    RESUME = "resumed"
    CALL_OFF = "called off"
    FINISH = "finished"
    EXPIRE = "left to expire"


_S = AlertState
MOVES: Final[Mapping[tuple[AlertState, Move], AlertState]] = {
    (_S.DRAFT, Move.CONFIRM): _S.SCHEDULED,
    (_S.DRAFT, Move.SUBMIT): _S.WAITING_APPROVAL,
    (_S.DRAFT, Move.CALL_OFF): _S.CALLED_OFF,
    (_S.DRAFT, Move.EXPIRE): _S.EXPIRED,
    (_S.WAITING_APPROVAL, Move.APPROVE): _S.SCHEDULED,
    (_S.WAITING_APPROVAL, Move.CALL_OFF): _S.CALLED_OFF,
    (_S.WAITING_APPROVAL, Move.EXPIRE): _S.EXPIRED,
    # Its officer was disabled, or may no longer text these districts: somebody else has to stand for it.
    (_S.SCHEDULED, Move.PARK): _S.PARKED,
    (_S.PARKED, Move.TAKE_OVER): _S.SCHEDULED,
    # Own words to many: whoever takes them over is the writer now and needs a second person anew.
    (_S.PARKED, Move.HAND_ON): _S.WAITING_APPROVAL,
    (_S.PARKED, Move.CALL_OFF): _S.CALLED_OFF,
    (_S.PARKED, Move.EXPIRE): _S.EXPIRED,
    (_S.SCHEDULED, Move.START): _S.SENDING,
    (_S.SCHEDULED, Move.CALL_OFF): _S.CALLED_OFF,
    (_S.SCHEDULED, Move.EXPIRE): _S.EXPIRED,
    (_S.SENDING, Move.PAUSE): _S.PAUSED,
    (_S.SENDING, Move.CALL_OFF): _S.CALLED_OFF,
    # Its last texts had an end, be it that their time had passed.
    (_S.SENDING, Move.FINISH): _S.DONE,
    (_S.PAUSED, Move.RESUME): _S.SENDING,
    (_S.PAUSED, Move.CALL_OFF): _S.CALLED_OFF,
    (_S.PAUSED, Move.EXPIRE): _S.EXPIRED,
}
# What a tick looks after; all others are at rest.
RUNNING: Final = (_S.DRAFT, _S.WAITING_APPROVAL, _S.SCHEDULED, _S.PARKED, _S.SENDING, _S.PAUSED)
# Confirmed and not over: their texts leave, or may still.
PROMISED: Final = tuple(state for state in RUNNING if state is not _S.DRAFT)
ENDED: Final = (_S.DONE, _S.CALLED_OFF, _S.EXPIRED)


class IllegalMove(Refused):
    """An alert cannot be moved that way from where it stands."""

    def __init__(self, state: AlertState, move: Move) -> None:
        """Name the state and the move."""
        super().__init__(
            f"This alert is {STATE_WORDS[state]} and cannot be {move} any more: look at where it stands."
        )


STATE_WORDS: Final[Mapping[AlertState, str]] = {
    _S.DRAFT: "a draft",
    _S.WAITING_APPROVAL: "waiting for a second person",
    _S.SCHEDULED: "scheduled",
    _S.PARKED: "parked",
    _S.SENDING: "being sent",
    _S.PAUSED: "paused",
    _S.DONE: "done",
    _S.CALLED_OFF: "called off",
    _S.EXPIRED: "past its time",
}


def moved(state: AlertState, move: Move) -> AlertState:
    """Return where an alert stands after a move.

    Raises:
        IllegalMove: there is no such move from there.
    """
    if (state, move) not in MOVES:
        raise IllegalMove(state, move)
    return MOVES[state, move]


def allowed(state: AlertState) -> frozenset[Move]:
    """Return the moves that an alert can make from `state`."""
    return frozenset(move for here, move in MOVES if here is state)
