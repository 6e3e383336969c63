"""One phone, several farmers: for whom a text is meant is asked where it matters."""

import re
from dataclasses import replace
from datetime import date
from typing import Final

from flows.facts import Farmer, FarmerState
from flows.moves.correcting import correct
from flows.moves.naming import named_in
from flows.moves.turn import Again, Moment, Turn, missed
from flows.states import PUSHED, Conversation, Plain, State
from flows.wording import Name, Numbered

# "No. 2", "jibu 2", "(no 2)": one word that says that a number follows, and the number.
_NUMBERED: Final = re.compile(r"\W*[^\W\d]+\W*(\d)\W*")


def for_whom(moment: Moment) -> Turn:
    """Ask for which farmer the text is meant; it and the question it came under are kept until that is known."""
    kept = moment.conversation
    data: dict[str, Plain] = {
        "text": moment.text,
        "on": moment.facts.on.isoformat(),
        # Asked again under this very question, what that one came under still counts.
        "state": kept.text("state") or kept.state,
        "data": kept.data.get("data", dict(kept.data)),
    }
    # What one of them was asked stays theirs, whosever this text is.
    whose = kept.whole("whose") or (None if kept.state in PUSHED else kept.farmer_id)
    if whose is not None:
        data["whose"] = whose
    return Turn(
        conversation=Conversation(state=State.WHOM, data=data),
        effects=(moment.say("for_whom", people=_people(moment)),),
        why="for whom is asked",
        instead=kept,
    )


def take_whom(moment: Moment) -> Turn:
    """Take the farmer's name, or a number with one word before it, and have the kept text read again for them."""
    numbered = _NUMBERED.fullmatch(moment.text)
    if numbered:
        return person_at(moment, int(numbered[1]))
    return _for(moment, named_in(moment.text, moment.facts.with_state(FarmerState.ACTIVE)))


def take_numbered(moment: Moment) -> Turn:
    """Take "no 2" as number 2: our question offers numbers, and no weight was told yet that it could put right."""
    return take_whom(moment) if _NUMBERED.fullmatch(moment.text) else correct(moment)


def person_at(moment: Moment, place: int) -> Turn:
    """Take the farmer at a place of the list."""
    farmers = moment.facts.with_state(FarmerState.ACTIVE)
    return _for(moment, farmers[place - 1] if 1 <= place <= len(farmers) else None)


def _for(moment: Moment, chosen: Farmer | None) -> Turn:
    kept = moment.conversation
    if chosen is None:
        return missed(moment, "none of the farmers", moment.say("for_whom_again", people=_people(moment)))
    data = kept.data.get("data")
    before = Conversation(
        state=State(kept.text("state") or State.IDLE),
        data=data if isinstance(data, dict) else {},
        farmer_id=kept.whole("whose") or chosen.id,
    )
    on = date.fromisoformat(kept.text("on") or moment.facts.on.isoformat())
    again = Again(text=kept.text("text") or "", on=on, farmer_id=chosen.id)
    return Turn(conversation=before, effects=(), why="it is known for whom", again=again)


def still_open(moment: Moment, turn: Turn) -> Turn:
    """Ask once more for whom the kept text was: what came instead was a report of its own, for the one it names."""
    kept = moment.conversation.text("text")
    if kept is None:
        return turn
    if turn.conversation.text("text") == kept:
        again = moment.say("for_whom_again", people=_people(moment))
        return replace(turn, effects=(*turn.effects, again), instead=turn.instead or turn.conversation)
    # Another question has taken its place: a person is to see what was texted before.
    return replace(turn, effects=(*turn.effects, moment.note(kept)))


def _people(moment: Moment) -> Numbered:
    names = (Name(farmer.name) for farmer in moment.facts.with_state(FarmerState.ACTIVE))
    return Numbered(tuple(enumerate(names, start=1)))
