"""One step of the conversation: a text in, an answer and what is to be done out. Opens nothing."""

from dataclasses import replace
from typing import Final

from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Done
from flows.moves import general, whom
from flows.moves.turn import Moment, Turn, ended
from flows.reader import Reading
from flows.states import JOINING, Conversation, State
from flows.table import About, Row, row

# Questions that a text of ours opened unasked, and no question at all.
_PUSHED: Final = frozenset({State.IDLE, State.JOBS, State.SCOUT, State.FLOWERS_STAY})


def step(
    conversation: Conversation, reading: Reading, text: str, facts: Facts, chosen: int | None = None
) -> Turn:
    """Answer one text.

    Args:
        conversation: where the phone's conversation stands; an expired one is to be given as IDLE.
        reading: what the text was read as.
        text: the text itself, cleaned.
        facts: all that may be known.
        chosen: the farmer that an earlier "for whom?" was answered with.

    Returns:
        The conversation as it stands now, the effects in order, and why. When `again` is set, the caller reads
        that earlier text anew and steps once more with its farmer chosen.
    """
    moment = Moment(conversation=conversation, reading=reading, text=text, facts=facts)
    found = row(conversation.state, type(reading.input))
    if found.about is About.NOBODY:
        return found.move(replace(moment, farmer=_known(moment)))
    if found.about is About.ASKED:
        return _about_the_one_asked(found, moment)
    return _about_a_farmer(found, moment, chosen)


def _known(moment: Moment) -> Farmer | None:
    """Return the farmer a move for nobody in particular is spoken to as: only where there can be no doubt."""
    if moment.conversation.state in JOINING:
        return None
    farmers = moment.facts.farmers
    return farmers[0] if len(farmers) == 1 else moment.facts.farmer(moment.conversation.farmer_id)


def _about_the_one_asked(found: Row, moment: Moment) -> Turn:
    """Let the farmer answer who was asked; one who has stopped meanwhile has nothing open but consent."""
    farmer = moment.facts.farmer(moment.conversation.farmer_id)
    if farmer is None or (
        moment.conversation.state is not State.CONSENT and farmer.state is not FarmerState.ACTIVE
    ):
        return general.words(ended(moment))
    return found.move(replace(moment, farmer=farmer))


def _about_a_farmer(found: Row, moment: Moment, chosen: int | None) -> Turn:
    active = moment.facts.with_state(FarmerState.ACTIVE)
    if not active:
        return general.no_active_farmer(moment)
    meant = chosen or _already_meant(moment)
    farmer = next((one for one in active if one.id == meant), None)
    if farmer is None and len(active) > 1:
        return whom.for_whom(moment)
    return found.move(replace(moment, farmer=farmer or active[0]))


def _already_meant(moment: Moment) -> int | None:
    """Return the farmer the open question is about, unless what came is not an answer to it.

    A list that was sent to one of them says nothing about whose weight comes next, but DONE and a number is its.
    """
    conversation = moment.conversation
    if conversation.state in _PUSHED and not isinstance(moment.input, Done):
        return None
    return conversation.farmer_id
