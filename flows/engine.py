"""One step of the conversation: a text in, an answer and what is to be done out. Opens nothing."""

from dataclasses import replace
from typing import Final

from flows.answers import ANSWERS
from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Done, Harvest, Number
from flows.moves import general, whom, wishes
from flows.moves.naming import named_in
from flows.moves.turn import Moment, Turn, ended
from flows.plausible import YOUNGEST
from flows.reader import Reading
from flows.rows import About, Row
from flows.states import JOINING, PUSHED, Conversation, State
from flows.table import row
from flows.vessels import Filled

# Questions that may be open to somebody who gets no texts.
_OF_ALL: Final = frozenset({State.CONSENT, State.RECORDS, State.ERASE})
# Questions that a weight answers; under any other a weight without a name may be anybody's.
_WEIGHED: Final = frozenset({State.KILOS, State.VESSEL_KILOS, State.BARE_WEIGHT})


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
        known = _known(moment)
        return _awake(found, found.move(replace(moment, farmer=known)), known)
    if found.about is About.ASKED:
        return _about_the_one_asked(found, moment)
    return _about_a_farmer(found, moment, chosen)


def _awake(found: Row, turn: Turn, farmer: Farmer | None) -> Turn:
    """End the farmer's pause after a word that asks for our texts again."""
    if not found.resumes or farmer is None or not farmer.paused:
        return turn
    return replace(turn, effects=(*turn.effects, *wishes.resumed(farmer)))


def _known(moment: Moment) -> Farmer | None:
    """Return the farmer a move for nobody in particular is spoken to as: only where there can be no doubt."""
    if moment.conversation.state in JOINING:
        return None
    farmers = _theirs(moment)
    meant = moment.conversation.farmer_id
    return farmers[0] if len(farmers) == 1 else next((one for one in farmers if one.id == meant), None)


def _theirs(moment: Moment) -> tuple[Farmer, ...]:
    """Return whom the phone speaks for; not those it is only asked about."""
    return tuple(farmer for farmer in moment.facts.farmers if not farmer.asked)


def _about_the_one_asked(found: Row, moment: Moment) -> Turn:
    """Let the farmer answer who was asked; one who has stopped has nothing open but consent and their records."""
    farmer = moment.facts.farmer(moment.conversation.farmer_id)
    if farmer is None or (
        moment.conversation.state not in _OF_ALL and farmer.state is not FarmerState.ACTIVE
    ):
        return general.words(ended(moment))
    named = named_in(moment.text, moment.facts.with_state(FarmerState.ACTIVE))
    if named and named.id != farmer.id and moment.conversation.state in PUSHED:
        # A number with another's name is no answer about the list that this one was sent.
        loose = row(State.IDLE, type(moment.input))
        return loose.move(replace(moment, farmer=named))
    return found.move(replace(moment, farmer=farmer))


def _about_a_farmer(found: Row, moment: Moment, chosen: int | None) -> Turn:
    active = moment.facts.with_state(FarmerState.ACTIVE)
    theirs = _theirs(moment)
    if not active and theirs and found.about is About.KNOWN:
        return found.move(replace(moment, farmer=theirs[0]))
    if not active:
        return general.no_active_farmer(moment)
    named = _named(moment, active)
    meant = (
        chosen or named or (_bearing(moment, active) if _is_new_weight(moment) else _already_meant(moment))
    )
    farmer = next((one for one in active if one.id == meant), None)
    if farmer is None and len(active) > 1:
        return whom.for_whom(moment)
    meant_for = farmer or active[0]
    here = replace(moment, farmer=meant_for)
    turn = found.move(here) if chosen or not named else whom.still_open(here, found.move(here))
    return _awake(found, turn, meant_for)


def _is_new_weight(moment: Moment) -> bool:
    """Return whether a weight begins something: it is no answer to what is asked."""
    state, kind = moment.conversation.state, type(moment.input)
    weighs = kind in {Harvest, Filled} or (kind is Number and Number not in ANSWERS[state])
    return weighs and state not in _WEIGHED


def _bearing(moment: Moment, active: tuple[Farmer, ...]) -> int | None:
    """Return the only one of several whose plants may bear by now, None where there are more or none."""
    bearing = [
        one.id
        for one in active
        if one.weights.first_on is not None or (moment.facts.on - one.planted_on).days >= YOUNGEST
    ]
    return bearing[0] if len(bearing) == 1 else None


def _named(moment: Moment, active: tuple[Farmer, ...]) -> int | None:
    """Return the farmer whose name stands in the text: "harvest 5.3 Mwajuma" says for whom it is."""
    named = named_in(moment.text, active)
    return named.id if named else None


def _already_meant(moment: Moment) -> int | None:
    """Return the farmer the open question is about, unless what came is not an answer to it.

    A list that was sent to one of them says nothing about whose weight comes next, but DONE and a number is its.
    """
    conversation = moment.conversation
    if conversation.state in PUSHED and not isinstance(moment.input, Done):
        return None
    return conversation.farmer_id
