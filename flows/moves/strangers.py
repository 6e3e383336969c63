"""A phone that speaks for nobody texts something clear: it is answered shortly, and told how to join.

What is no report, wish or question opens the conversation of joining instead, see `flows.moves.general`.
"""

from collections.abc import Mapping
from typing import Final

from flows.collecting import Estimate
from flows.counting import PlantCount
from flows.inputs import Done, Harvest, Input, Jobs, NeedHelp, NotYet, Number, Total, Words
from flows.keeping import Fresh
from flows.moves.turn import Moment, Turn, unchanged
from flows.spraying import Sprayed
from flows.states import State
from flows.trading import Cost, Price, Sold, Year
from flows.vessels import Filled, VesselTold
from flows.watering import Rain, Water

_REPORT: Final = "stranger_report"
_WISH: Final = "stranger_wish"
_TEXTS: Final[Mapping[type[Input], str]] = {
    **dict.fromkeys(
        (Harvest, Filled, VesselTold, Estimate, Done, NotYet, Rain, Sold, Cost, PlantCount), _REPORT
    ),
    # Whoever sprayed must wait, whether we know them or not.
    Sprayed: "stranger_sprayed",
    **dict.fromkeys((Jobs, Total, Water, Fresh, Price, Year, NeedHelp), _WISH),
}
# Where what is clear is answered; who has begun to join is asked on.
_ANSWERED: Final = frozenset({State.IDLE, State.JOIN_LANGUAGE})


def answered(moment: Moment) -> Turn | None:
    """Return the answer to a clear text of a phone that speaks for nobody, None where it is none.

    Nothing is kept but a question: it goes to an officer as anybody's does.
    """
    said = moment.input
    if moment.conversation.state not in _ANSWERED:
        return None
    if isinstance(said, Words) and said.question:
        say = moment.say("stranger_question", code=moment.facts.code)
        return unchanged(moment, "a stranger's question", moment.note(said.text), say)
    weighs = isinstance(said, Number) and said.unit is not None
    text_id = _REPORT if weighs else _TEXTS.get(type(said))
    if text_id is None:
        return None
    return unchanged(moment, "a stranger is told who is answered", moment.say(text_id))
