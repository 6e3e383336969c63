"""A question that is not put, since its text is not answered: what stands open then, and who sees to a weight."""

from dataclasses import replace
from typing import Final

from flows.effects import Effect, SaveQuestion, Urgency
from flows.inputs import Harvest
from flows.moves.turn import Turn
from flows.states import State
from service.core.ports import Work
from service.use_cases.guards import Spoken

# Questions without whose answer a weight counts for nothing.
_ABOUT_A_WEIGHT: Final = frozenset({State.AGAIN, State.UNUSUAL, State.ZERO, State.WHICH_KG})


def unput(work: Work, spoken: Spoken) -> Turn:
    """Return the turn as it is where its answer is not said.

    A question that is not put is not open: what stood open before stands so still, unless this text has answered it.
    A weight that the question was about goes to an officer, once however often it is texted.
    """
    turn = spoken.turn
    if turn.instead is None:
        return turn
    listed = (_listed(spoken),) if _leaves_a_weight(spoken) and not _is_listed(work, spoken) else ()
    effects: tuple[Effect, ...] = (*turn.effects, *listed)
    return replace(turn, conversation=turn.instead, effects=effects, instead=None)


def _leaves_a_weight(spoken: Spoken) -> bool:
    asked, before, said = spoken.turn.conversation, spoken.before, spoken.reading.input
    if (asked.state, asked.data) == (before.state, before.data):
        return False
    return asked.state in _ABOUT_A_WEIGHT or (isinstance(said, Harvest) and said.grams is not None)


def _is_listed(work: Work, spoken: Spoken) -> bool:
    return work.talks.waits(spoken.inbound.phone_id, spoken.inbound.text)


def _listed(spoken: Spoken) -> SaveQuestion:
    return SaveQuestion(
        id=spoken.facts.new_id,
        code=spoken.facts.code,
        farmer_id=spoken.turn.conversation.farmer_id,
        text=spoken.inbound.text,
        urgency=Urgency.NOT_UNDERSTOOD,
    )
