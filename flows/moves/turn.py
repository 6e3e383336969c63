"""What a move is given and what it gives back, with the two ways a move often ends."""

from dataclasses import dataclass, replace
from datetime import date
from typing import TypeVar

from flows.effects import Effect, Say, SaveQuestion, Urgency
from flows.facts import Facts, Farmer
from flows.inputs import Input, Number
from flows.reader import Reading
from flows.states import IDLE, Conversation, Plain, State
from flows.wording import Phrase, Value

MOST_MISSES = 3
# Above this a number is no choice from any list.
MOST_CHOICES = 1_000_000
_Kind = TypeVar("_Kind", bound=Input)
# Questions that stay open while a command is answered in between: the farmer still sees them as the last thing asked.
_STAYS_OPEN = frozenset({State.JOBS, State.SCOUT, State.FLOWERS_STAY})


@dataclass(frozen=True, kw_only=True, slots=True)
class Moment:
    """One text at the moment it is answered.

    Attributes:
        conversation: where the phone's conversation stands.
        reading: what the text was read as.
        text: the text itself.
        facts: what may be known.
        farmer: whom the move is about; the table's rows say when one is needed.
    """

    conversation: Conversation
    reading: Reading
    text: str
    facts: Facts
    farmer: Farmer | None = None

    @property
    def input(self) -> Input:
        """Return what was understood."""
        return self.reading.input

    @property
    def language(self) -> str:
        """Return the language to answer in: the farmer's, the talk's, the command's, or the programme's."""
        if self.farmer:
            return self.farmer.language
        chosen = self.conversation.text("language") or self.reading.language
        if chosen:
            return chosen
        return self.facts.farmers[0].language if self.facts.farmers else self.facts.language

    def expect(self, kind: type[_Kind]) -> _Kind:
        """Return the input of a row that is looked up by `kind`."""
        if not isinstance(self.input, kind):
            raise LookupError(f"a move for {kind.__name__} was given {type(self.input).__name__}")
        return self.input

    def choice(self) -> int | None:
        """Return the whole number that is the whole text, None if the text is anything else."""
        answer = self.input
        if (
            not isinstance(answer, Number)
            or answer.unit is not None
            or answer.value != answer.value.to_integral_value()
        ):
            return None
        return int(answer.value) if abs(answer.value) < MOST_CHOICES else None

    def someone(self) -> Farmer:
        """Return the farmer of a row that needs one; the engine has seen to it that there is one."""
        if self.farmer is None:
            raise LookupError(f"a move in state {self.conversation.state} needs a farmer and has none")
        return self.farmer

    def say(self, text_id: str, /, kind: str = "reply", **values: Value) -> Say:
        """Return an answer in the language of this moment."""
        return Say(phrase=Phrase(text_id, values), language=self.language, kind=kind)


@dataclass(frozen=True, kw_only=True, slots=True)
class Again:
    """Read and answer an earlier text anew, now that it is known for whom it was."""

    text: str
    on: date
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Turn:
    """What a move gives back: where the conversation stands now and what is to be done."""

    conversation: Conversation
    effects: tuple[Effect, ...]
    why: str
    again: Again | None = None


def settled(moment: Moment, why: str, *effects: Effect) -> Turn:
    """End a move that asks nothing: a job list stays open, any other question is closed."""
    conversation = moment.conversation
    stays = conversation.state in _STAYS_OPEN
    return Turn(conversation=replace(conversation, misses=0) if stays else IDLE, effects=effects, why=why)


def unchanged(moment: Moment, why: str, *effects: Effect) -> Turn:
    """End a move that leaves the open question open."""
    return Turn(conversation=moment.conversation, effects=effects, why=why)


def asked(moment: Moment, why: str, state: State, *effects: Effect, **data: Plain) -> Turn:
    """End a move with a question: `state` names it and `data` is what it is about."""
    kept = {key: value for key, value in data.items() if value is not None}
    farmer_id = moment.farmer.id if moment.farmer else None
    conversation = Conversation(state=state, data=kept, farmer_id=farmer_id)
    return Turn(conversation=conversation, effects=effects, why=why)


def missed(moment: Moment, why: str, again: Say) -> Turn:
    """Ask once more after an answer that could not be understood; the third time an officer is to look.

    The question stays open, so that a fourth text may still answer it.
    """
    misses = moment.conversation.misses + 1
    conversation = replace(moment.conversation, misses=misses)
    if misses < MOST_MISSES:
        return Turn(conversation=conversation, effects=(again,), why=f"{why}; asked again")
    return Turn(
        conversation=replace(conversation, misses=0),
        effects=(
            SaveQuestion(
                id=moment.facts.new_id,
                code=moment.facts.code,
                farmer_id=moment.farmer.id if moment.farmer else None,
                text=moment.text,
                urgency=Urgency.NOT_UNDERSTOOD,
            ),
            moment.say("not_understood_officer"),
        ),
        why=f"{why}; an officer is asked to look",
    )
