"""What a move is given and what it gives back, with the ways a move often ends."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeAlias, TypeVar

from flows.effects import Effect, SaveQuestion, Say, Urgency
from flows.facts import Facts, Farmer, FarmerState
from flows.inputs import Input, Number, Words
from flows.moves.naming import named_in
from flows.quiet_texts import QUIETLY
from flows.reader import Reading
from flows.states import IDLE, Conversation, Plain, State
from flows.wording import Phrase, Value

MOST_MISSES = 3
# Above this a number is no choice from any list.
MOST_CHOICES = 1_000_000
_Kind = TypeVar("_Kind", bound=Input)
# Questions that we put by ourselves: other words than theirs may go on from what an officer wrote.
_PUSHED = frozenset({State.MENU, State.NUDGE, State.SCOUT, State.FLOWERS_STAY, State.ESTIMATE})
# Offers that a command answers by itself: after it, nobody waits for one of their numbers any more.
_OFFERS = frozenset({State.MENU, State.QUESTION})


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
        """Return the language to answer in: the farmer's, the officer's, the talk's, the command's, or ours."""
        spoken_to = self.farmer or self.facts.desk or self.facts.clerk
        if spoken_to:
            return spoken_to.language
        chosen = self.conversation.text("language") or self.reading.language
        if chosen:
            return chosen
        return self.facts.farmers[0].language if self.facts.farmers else self.facts.language

    @property
    def speaker(self) -> int | None:
        """Return the id of the farmer a text comes from, None where it may be more than one."""
        if self.farmer:
            return self.farmer.id
        active = self.facts.with_state(FarmerState.ACTIVE)
        one = active[0] if len(active) == 1 else named_in(self.text, active)
        return one.id if one else None

    def expect(self, kind: type[_Kind]) -> _Kind:
        """Return the input of a row that is looked up by `kind`."""
        if not isinstance(self.input, kind):
            raise TypeError(f"a move for {kind.__name__} was given {type(self.input).__name__}")
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
        """Return an answer in the language of this moment, without a promise to whom nothing is promised."""
        if self.farmer and self.farmer.held_out:
            text_id = QUIETLY.get(text_id, text_id)
        return Say(phrase=Phrase(text_id, values), language=self.language, kind=kind)

    def note(
        self, text: str, urgency: Urgency = Urgency.ORDINARY, *, alert_id: int | None = None
    ) -> SaveQuestion:
        """Return the effect that puts `text` on the officer's list."""
        facts = self.facts
        return SaveQuestion(
            id=facts.new_id,
            code=facts.code,
            farmer_id=self.speaker,
            text=text,
            urgency=urgency,
            alert_id=alert_id,
        )

    def noted(self) -> Say:
        """Say that a question is noted and, where the programme stands for a day, by when it is answered."""
        facts = self.facts
        if facts.answer_by is None:
            return self.say("question_noted", code=facts.code)
        return self.say("question_noted_by", code=facts.code, date=facts.answer_by)


@dataclass(frozen=True, kw_only=True, slots=True)
class Again:
    """Read and answer an earlier text anew, now that it is known for whom it was."""

    text: str
    on: date
    farmer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Turn:
    """What a move gives back: where the conversation stands now and what is to be done.

    Attributes:
        conversation: the open question, or IDLE.
        effects: what is to be done, in order.
        why: why it came to this, for the record.
        again: an earlier text to be read and answered now.
        instead: where the conversation stands if the question just asked is not put; None where none was asked.
    """

    conversation: Conversation
    effects: tuple[Effect, ...]
    why: str
    again: Again | None = None
    instead: Conversation | None = None

    @property
    def asks(self) -> bool:
        """Return whether the question has just been asked, so that the time to answer it begins anew."""
        return self.instead is not None


Move: TypeAlias = Callable[[Moment], Turn]


def by_number(choices: Mapping[int, Move], otherwise: Move) -> Move:
    """Return the move that answers a numbered question: the one of the number texted, else `otherwise`."""

    def move(moment: Moment) -> Turn:
        number = moment.choice()
        chosen = otherwise if number is None else choices.get(number, otherwise)
        return chosen(moment)

    return move


def by_place(take: Callable[[Moment, int], Turn], otherwise: Move) -> Move:
    """Return the move that answers a list of any length: `take` is given the number texted, `otherwise` all else."""

    def move(moment: Moment) -> Turn:
        number = moment.choice()
        return otherwise(moment) if number is None else take(moment, number)

    return move


def ended(moment: Moment) -> Moment:
    """Return the moment with its open question answered: what follows no longer belongs to it."""
    return replace(moment, conversation=IDLE)


def with_input(moment: Moment, said: Input) -> Moment:
    """Return the moment as if `said` had been understood."""
    return replace(moment, reading=replace(moment.reading, input=said))


def settled(moment: Moment, why: str, *effects: Effect) -> Turn:
    """End a move that asks nothing: the question asked last stays open, only an offer has been answered by it."""
    conversation = moment.conversation
    stays = conversation.state not in _OFFERS
    return Turn(conversation=replace(conversation, misses=0) if stays else IDLE, effects=effects, why=why)


def unchanged(moment: Moment, why: str, *effects: Effect) -> Turn:
    """End a move that leaves everything about the open question as it is."""
    return Turn(conversation=moment.conversation, effects=effects, why=why)


def asked(moment: Moment, why: str, state: State, *effects: Effect, **data: Plain) -> Turn:
    """End a move with a question: `state` names it and `data` is what it is about.

    What was open until now stays so if the question cannot be put: a move that has taken its answer ends it first.
    """
    kept = {key: value for key, value in data.items() if value is not None}
    farmer_id = moment.farmer.id if moment.farmer else None
    conversation = Conversation(state=state, data=kept, farmer_id=farmer_id)
    return Turn(conversation=conversation, effects=effects, why=why, instead=moment.conversation)


def missed(moment: Moment, why: str, again: Say) -> Turn:
    """Ask once more after an answer that could not be understood; the third time an officer is to look.

    The question stays open, so that a fourth text may still answer it. A text that asks something itself is no
    failed answer: it goes to the officer.
    """
    if isinstance(moment.input, Words) and moment.input.question:
        return question_noted(moment, moment.text)
    answered = moment.facts.answered
    if answered and isinstance(moment.input, Words) and moment.conversation.state in _PUSHED:
        return gone_on(moment, answered)
    misses = moment.conversation.misses + 1
    conversation = replace(moment.conversation, misses=misses)
    if misses < MOST_MISSES:
        effects: tuple[Effect, ...] = (again,)
        end = "asked again"
    else:
        conversation = replace(conversation, misses=0)
        effects = (moment.note(moment.text, Urgency.NOT_UNDERSTOOD), moment.say("not_understood_officer"))
        end = "an officer is asked to look"
    return Turn(conversation=conversation, effects=effects, why=f"{why}; {end}", instead=conversation)


def question_noted(moment: Moment, question: str) -> Turn:
    """Put a question on the officer's list and say so; what was asked of the farmer stays open."""
    return settled(moment, "a question for the officer", moment.note(question), moment.noted())


def gone_on(moment: Moment, answered: int) -> Turn:
    """Put a text that follows an officer's answer before that officer, with the question it goes on from."""
    note = replace(moment.note(moment.text), follows=answered)
    return settled(moment, "it goes on from an officer's answer", note, moment.say("follows_noted"))
