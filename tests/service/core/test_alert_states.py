"""The table of an alert's moves."""

import pytest

from service.core.alert_states import (
    ENDED,
    MOVES,
    RUNNING,
    STATE_WORDS,
    AlertState,
    IllegalMove,
    Move,
    allowed,
    moved,
)

PAIRS = [(state, move) for state in AlertState for move in Move]


@pytest.mark.parametrize(
    ("state", "move"), PAIRS, ids=[f"{state}-{move.name.lower()}" for state, move in PAIRS]
)
def test_a_move_is_a_row_or_is_refused(state: AlertState, move: Move) -> None:
    """What has no row is illegal, and the refusal says where the alert stands and what it cannot be."""
    if (state, move) in MOVES:
        assert MOVES[state, move] is moved(state, move)
    else:
        with pytest.raises(IllegalMove, match=f"is {STATE_WORDS[state]} and cannot be {move}"):
            moved(state, move)


def test_every_state_is_reached_and_an_end_is_an_end() -> None:
    """From a draft each state can be reached; out of an end leads no move; all others can be called off or run out."""
    reached = {AlertState.DRAFT}
    while more := {moved(state, move) for state in reached for move in allowed(state)} - reached:
        reached |= more

    assert set(AlertState) == reached
    assert [frozenset()] * len(ENDED) == [allowed(state) for state in ENDED]
    assert set(AlertState) == {*ENDED, *RUNNING}
    assert all(Move.CALL_OFF in allowed(state) for state in RUNNING)


def test_nothing_is_sent_without_being_scheduled() -> None:
    """Sending begins in one way only: after the waiting time."""
    assert [(AlertState.SCHEDULED, Move.START), (AlertState.PAUSED, Move.RESUME)] == [
        pair for pair, after in MOVES.items() if after is AlertState.SENDING
    ]
