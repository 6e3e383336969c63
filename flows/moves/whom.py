"""One phone, several farmers: for whom a text is meant is asked where it matters."""

from datetime import date

from flows.facts import FarmerState
from flows.moves.turn import Again, Moment, Turn, missed
from flows.states import Conversation, Plain, State
from flows.wording import Name, Numbered


def for_whom(moment: Moment) -> Turn:
    """Ask for which farmer the text is meant; it and the question it came under are kept until that is known."""
    kept = moment.conversation
    data: dict[str, Plain] = {
        "text": moment.text,
        "on": moment.facts.on.isoformat(),
        "state": kept.state,
        "data": dict(kept.data),
    }
    return Turn(
        conversation=Conversation(state=State.WHOM, data=data),
        effects=(moment.say("for_whom", people=_people(moment)),),
        why="for whom is asked",
    )


def take_whom(moment: Moment) -> Turn:
    """Take the farmer's number and have the kept text read again for them."""
    farmers = moment.facts.with_state(FarmerState.ACTIVE)
    choice, kept = moment.choice() or 0, moment.conversation
    text, on = kept.text("text"), kept.text("on")
    if not 1 <= choice <= len(farmers) or text is None or on is None:
        return missed(moment, "none of the farmers", moment.say("for_whom_again", people=_people(moment)))
    chosen = farmers[choice - 1]
    data = kept.data.get("data")
    before = Conversation(
        state=State(kept.text("state") or State.IDLE),
        data=data if isinstance(data, dict) else {},
        farmer_id=chosen.id,
    )
    again = Again(text=text, on=date.fromisoformat(on), farmer_id=chosen.id)
    return Turn(conversation=before, effects=(), why=f"it is for number {choice}", again=again)


def _people(moment: Moment) -> Numbered:
    names = (Name(farmer.name) for farmer in moment.facts.with_state(FarmerState.ACTIVE))
    return Numbered(tuple(enumerate(names, start=1)))
