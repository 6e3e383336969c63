"""Guards: which texts that come in are answered, so that no phone, and no machine behind one, can run up a bill.

Every text is stored and acted upon whatever the guards say; they only decide about its answer. What becomes of a
question that is not put for that reason, see `service.use_cases.unput`. In this order:

* A text that asks for no answer gets none.
* A STOP that stops something and emergencies are always answered; a second STOP counts like any text.
* A phone that sent the same text for the fourth time in ten minutes, thrice answered and now moving nothing, is not
  answered for a day: that is a machine, or a child.
* An answer to what we have asked is answered and not counted: the dialogues are ours, and short. Its words may well
  be ours: the question offered them.
* A whole text of ours coming back is not answered: that is a machine.
* What cannot be read is answered twice in an hour, and a third time with the word that an officer will look. Whatever
  is said, a text of a farmer that led to nothing and got no answer is put before an officer, see `Spoken.is_lost`.
* Five answers in an hour, then one notice, then silence.
* Answers to all phones together keep to a budget a minute; what is beyond it waits some minutes, or is dropped.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from flows.effects import AskedConsent, Effect, ListJobs, SaveQuestion, Say, StopPhone, Urgency
from flows.facts import Facts, FarmerState
from flows.inputs import No, Number, Words, Yes
from flows.moves.turn import Turn
from flows.reader import Reading
from flows.states import Conversation, State
from service.core.model import Inbound
from service.core.ports import Work
from service.core.wire_ports import Replied
from service.use_cases.tools import ReplyLimits, Tools

HOUR: Final = timedelta(hours=1)
SAME_TEXT_WITHIN: Final = timedelta(minutes=10)
SAME_TEXT_ANSWERED: Final = 3
MUTED_FOR: Final = timedelta(hours=24)
UNPARSED_ANSWERED: Final = 2
# An answer is of use for a quarter of an hour.
_MOST_MINUTES: Final = 10
# Shorter than any text of ours: a farmer's "1" is no echo.
_SHORTEST_ECHO: Final = 20
# How much of the longer of two texts the other must be: a machine adds "Re:", a farmer quotes a part of what we said.
_ECHOED: Final = 0.8
# Open questions that nobody was asked in so many words: what comes next begins something.
_UNASKED: Final = frozenset({State.IDLE, State.JOBS})
# A command begins something, even while a question of ours is open.
_ANSWERING: Final = (Yes, No, Number, Words)
# What was not said was not asked either.
_SPOKEN: Final = (Say, AskedConsent)
_WORDS_ONLY: Final = (*_SPOKEN, SaveQuestion, ListJobs)
_ANSWERS: Final = frozenset({Replied.COUNTED, Replied.UNPARSED, Replied.DIALOGUE, Replied.EXEMPT})


@dataclass(frozen=True, kw_only=True, slots=True)
class Spoken:
    """One text at the moment its answer is judged."""

    inbound: Inbound
    reading: Reading
    before: Conversation
    turn: Turn
    facts: Facts

    @property
    def answers(self) -> tuple[Say, ...]:
        """Return what would be said."""
        return tuple(effect for effect in self.turn.effects if isinstance(effect, Say))

    @property
    def is_exempt(self) -> bool:
        """Return whether it must be answered whatever the limits: an emergency, or a STOP that stops something."""
        stops = any(isinstance(effect, StopPhone) for effect in self.turn.effects) and not self.facts.stopped
        asks_to_stop = (
            self.turn.conversation.state is State.STOP_OR_UNDO and self.before.state is not State.STOP_OR_UNDO
        )
        return stops or asks_to_stop or any(say.kind == "emergency" for say in self.answers)

    @property
    def is_dialogue(self) -> bool:
        """Return whether it answered what we had asked, and so moved the dialogue on."""
        return (
            self.before.state not in _UNASKED
            and self.turn.conversation.state is not self.before.state
            and isinstance(self.reading.input, _ANSWERING)
        )

    @property
    def fits_the_question(self) -> bool:
        """Return whether what we had asked took it as an answer and asks on: "20/2" where both years are likely."""
        same = self.turn.conversation.state is self.before.state and self.before.state not in _UNASKED
        missed = self.turn.conversation.misses > self.before.misses or self.is_handed_over
        return same and self.turn.asks and not missed and isinstance(self.reading.input, _ANSWERING)

    @property
    def is_unparsed(self) -> bool:
        """Return whether it could not be read as anything we know."""
        return isinstance(self.reading.input, Words) and not self.reading.input.question

    @property
    def moves_something(self) -> bool:
        """Return whether it leads to more than words: the fourth UNDO takes a fourth thing back."""
        return any(not isinstance(effect, _WORDS_ONLY) for effect in self.turn.effects)

    @property
    def is_lost(self) -> bool:
        """Return whether it means something, leads to nothing, and an officer would not see it if nobody answers."""
        said_something = isinstance(self.reading.input, Words | Number)
        farmers = self.facts.with_state(FarmerState.ACTIVE)
        noted = any(isinstance(effect, SaveQuestion) for effect in self.turn.effects)
        return bool(farmers) and said_something and not self.moves_something and not noted

    @property
    def is_handed_over(self) -> bool:
        """Return whether the answer is that an officer will look at it."""
        return any(
            isinstance(effect, SaveQuestion) and effect.urgency is Urgency.NOT_UNDERSTOOD
            for effect in self.turn.effects
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Ruling:
    """What becomes of the answer to one text; it leaves not before `not_before`."""

    replied: Replied
    not_before: datetime

    @property
    def answers(self) -> bool:
        """Return whether what the turn says is said."""
        return self.replied in _ANSWERS

    def loses(self, spoken: Spoken) -> bool:
        """Return whether a text ends here without an answer of its own and without anybody who looks at it."""
        return not self.answers and self.replied is not Replied.NOTHING and spoken.is_lost


_Rule = Callable[[Work, ReplyLimits, Spoken, datetime], Replied | None]


def judge(work: Work, tools: Tools, spoken: Spoken, now: datetime) -> Ruling:
    """Judge the answer to one text and keep what was judged. The caller commits."""
    limits = tools.programme.limits
    rulings = (rule(work, limits, spoken, now) for rule in _RULES)
    replied = next(found for found in rulings if found is not None)
    ruling = _within_the_minutes(work, limits, replied, now)
    work.guards.mark_replied(spoken.inbound.id, ruling.replied, now)
    return ruling


def spoken_effects(ruling: Ruling, turn: Turn, notice: Say) -> tuple[Effect, ...]:
    """Return the effects of a turn as the ruling leaves them: without answers where it is not answered."""
    if ruling.answers:
        return turn.effects
    unspoken = tuple(effect for effect in turn.effects if not isinstance(effect, _SPOKEN))
    return (*unspoken, notice) if ruling.replied is Replied.NOTICE else unspoken


def _nothing(_work: Work, _limits: ReplyLimits, spoken: Spoken, _now: datetime) -> Replied | None:
    return None if spoken.answers else Replied.NOTHING


def _exempt(_work: Work, _limits: ReplyLimits, spoken: Spoken, _now: datetime) -> Replied | None:
    return Replied.EXEMPT if spoken.is_exempt else None


def _muted(work: Work, _limits: ReplyLimits, spoken: Spoken, now: datetime) -> Replied | None:
    muted = work.guards.replied_since(spoken.inbound.phone_id, now - MUTED_FOR, Replied.MUTED)
    return Replied.SILENT if muted else None


def _echo(work: Work, _limits: ReplyLimits, spoken: Spoken, now: datetime) -> Replied | None:
    words = spoken.inbound.text.casefold()
    if len(words) < _SHORTEST_ECHO:
        return None
    ours = (text.casefold() for text in work.guards.said_to(spoken.inbound.phone_id, now - MUTED_FOR))
    return Replied.SILENT if any(_is_echo(words, text) for text in ours) else None


def _is_echo(words: str, ours: str) -> bool:
    """Return whether two texts are the same but for a little before or behind."""
    shorter, longer = sorted((words, ours), key=len)
    return shorter in longer and len(shorter) >= _ECHOED * len(longer)


def _dialogue(_work: Work, _limits: ReplyLimits, spoken: Spoken, _now: datetime) -> Replied | None:
    return Replied.DIALOGUE if spoken.is_dialogue else None


def _same_again(work: Work, _limits: ReplyLimits, spoken: Spoken, now: datetime) -> Replied | None:
    if spoken.moves_something:
        return None
    inbound = spoken.inbound
    answered = work.guards.same_text_replied(inbound.phone_id, inbound.text_hash, now - SAME_TEXT_WITHIN)
    return Replied.MUTED if answered >= SAME_TEXT_ANSWERED else None


def _right_again(_work: Work, _limits: ReplyLimits, spoken: Spoken, _now: datetime) -> Replied | None:
    return Replied.DIALOGUE if spoken.fits_the_question else None


def _unparsed(work: Work, _limits: ReplyLimits, spoken: Spoken, now: datetime) -> Replied | None:
    if not spoken.is_unparsed:
        return None
    phone_id, since = spoken.inbound.phone_id, now - HOUR
    answered = work.guards.replied_since(phone_id, since, Replied.UNPARSED)
    if answered < UNPARSED_ANSWERED + spoken.is_handed_over:
        return None
    told = answered > UNPARSED_ANSWERED or work.guards.replied_since(phone_id, since, Replied.NOTICE)
    return Replied.NOTICE if spoken.is_lost and not told else Replied.SILENT


def _flood(work: Work, limits: ReplyLimits, spoken: Spoken, now: datetime) -> Replied | None:
    phone_id, since = spoken.inbound.phone_id, now - HOUR
    answered = work.guards.replied_since(phone_id, since, Replied.COUNTED, Replied.UNPARSED)
    if answered < limits.an_hour:
        return None
    return Replied.SILENT if work.guards.replied_since(phone_id, since, Replied.NOTICE) else Replied.NOTICE


def _answered(_work: Work, _limits: ReplyLimits, spoken: Spoken, _now: datetime) -> Replied | None:
    return Replied.UNPARSED if spoken.is_unparsed else Replied.COUNTED


_RULES: Final[tuple[_Rule, ...]] = (
    _nothing,
    _exempt,
    _muted,
    _dialogue,
    _echo,
    _same_again,
    _right_again,
    _unparsed,
    _flood,
    _answered,
)
_UNLIMITED: Final = frozenset({Replied.EXEMPT, Replied.NOTHING, Replied.SILENT, Replied.MUTED})


def _within_the_minutes(work: Work, limits: ReplyLimits, replied: Replied, now: datetime) -> Ruling:
    """Find the first minute whose budget has room for the answer."""
    if replied in _UNLIMITED:
        return Ruling(replied=replied, not_before=now)
    this_minute = now.replace(second=0, microsecond=0)
    for ahead in range(_MOST_MINUTES):
        minute = this_minute + timedelta(minutes=ahead)
        if work.guards.take_reply_slot(minute, limits.a_minute):
            return Ruling(replied=replied, not_before=max(now, minute))
    return Ruling(replied=Replied.SILENT, not_before=now)
