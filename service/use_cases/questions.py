"""What an officer does about a question or a call for help: texts an answer, notes a call, or opens it again.

An answer by text goes through the outbox like every text: a phone that has said STOP gets none, and the night is kept
free of it unless somebody is in danger. Closing never sends anything. What was done can be taken back for a day; a text
that has not left by then is called off with it.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from flows.alphabet import culprits, room
from flows.effects import Urgency
from flows.wording import Phrase, of_officer
from service.core.doses import names_in
from service.core.errors import Refused
from service.core.kinds import KINDS
from service.core.ports import Work
from service.core.question_ports import STATE_AFTER, Answer, NewAnswer, Question, QuestionRows, Way
from service.core.refused_words import refused_in
from service.core.staff import Officer
from service.core.stuck_ports import StuckRows
from service.use_cases.alerts.writing import Written, check
from service.use_cases.audit import note
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

# As long as farmers may take theirs back.
REOPEN_WITHIN: Final = timedelta(hours=24)
LONGEST_NOTE: Final = 300
_TEXT_ID: Final = "question_answer"
_ORDINARY: Final = "answer"
_AT_ANY_HOUR: Final = "urgent_answer"
_URGENT: Final = frozenset({Urgency.EMERGENCY, Urgency.NEED_HELP})


class QuestionWork(Work, Protocol):
    """A unit of work, as far as questions need it."""

    @property
    def questions(self) -> QuestionRows:
        """Questions."""
        ...

    @property
    def stuck(self) -> StuckRows:
        """Texts that could not be read."""
        ...


class NoQuestion(Refused):
    """There is no such question, or none for this officer."""

    def __init__(self) -> None:
        """Say no more than that."""
        super().__init__("There is no such question: go back to Today.")


class Settled(Refused):
    """Somebody else was quicker."""

    def __init__(self, last: Answer | None) -> None:
        """Name who it was."""
        who = f"{last.officer} was quicker" if last else "Somebody was quicker"
        super().__init__(f"{who}: it is answered or closed already, and nothing more was done.")


def phrase_of(tools: Tools, officer: Officer, words: str) -> Phrase:
    """Return an officer's own words as a text that says from whom they are: it can be told from a rumour."""
    return Phrase(
        _TEXT_ID,
        {
            "officer": of_officer(officer.name),
            "svc": tools.programme.name,
            "words": " ".join(words.split()),
        },
    )


def language_of(tools: Tools, question: Question) -> str:
    """Return the language in which an answer is to be written.

    In an emergency it is that of the words, as first aid was: whoever holds the phone now may not be its farmer.
    """
    record, words = question.language, question.said_in
    known = (words, record) if question.urgency == Urgency.EMERGENCY else (record, words)
    return next(filter(None, known), tools.programme.language)


def write(work: QuestionWork, tools: Tools, officer: Officer, question: Question, words: str) -> Written:
    """Return the text that an officer's words would leave in, measured and looked through."""
    language = language_of(tools, question)
    text = tools.wording.write(phrase_of(tools, officer, words), language)
    names = work.places.known(names_in(words), officer.districts)
    return Written(
        language=language,
        text=text,
        room=room(text),
        culprits=culprits(text),
        refused=refused_in(words, names),
    )


def answer(
    work: QuestionWork,
    tools: Tools,
    officer: Officer,
    code: str,
    words: str,
    *,
    now: datetime,
    real_now: datetime,
) -> None:
    """Text an answer to whoever asked, in words that the officer wrote.

    Raises:
        NoQuestion: it is not there, or not of this officer's districts.
        Settled: it is answered or closed already.
        Refused: the text may not be sent; the sentence says why.
    """
    question = theirs(work, officer, code)
    if question.stopped:
        raise Refused("This phone has said STOP, so no text goes to it: call, and close the question here.")
    if not words.strip():
        raise Refused("Write the answer first.")
    written = write(work, tools, officer, question, words)
    check((written,))
    _settle(work, question, Way.TEXT)
    answer_id, zone = tools.ids.row(), question.zone or tools.programme.zone
    text = new_text(
        tools,
        phrase_of(tools, officer, words),
        language=written.language,
        kind=_AT_ANY_HOUR if question.urgency in _URGENT else _ORDINARY,
        phone_id=question.phone_id,
        farmer_id=question.farmer_id,
        zone=zone,
        day=now.astimezone(ZoneInfo(zone)).date(),
        idem_key=f"answer:{answer_id}",
        not_before=now,
    )
    work.outbox.queue([text], gateway=tools.programme.gateway, kinds=KINDS, at=now)
    work.questions.keep_answer(
        NewAnswer(
            id=answer_id,
            question_id=question.id,
            officer_id=officer.id,
            at=now,
            way=Way.TEXT,
            words=" ".join(words.split()),
            message=(text.queued_on, text.id),
        )
    )
    _note(work, officer, "question.answered", question, real_now, {"parts": text.parts})
    work.commit()


def close(
    work: QuestionWork,
    tools: Tools,
    officer: Officer,
    code: str,
    *,
    way: Way,
    remark: str,
    now: datetime,
    real_now: datetime,
) -> None:
    """Close a question and send nothing: the officer has called, or has seen to it in another way.

    Raises:
        NoQuestion: it is not there, or not of this officer's districts.
        Settled: it is answered or closed already.
        Refused: the note is too long.
    """
    question = theirs(work, officer, code)
    said = " ".join(remark.split())
    if len(said) > LONGEST_NOTE:
        raise Refused(f"A note has at most {LONGEST_NOTE} letters: shorten it.")
    _settle(work, question, way)
    work.questions.keep_answer(
        NewAnswer(
            id=tools.ids.row(),
            question_id=question.id,
            officer_id=officer.id,
            at=now,
            way=way,
            note=said or None,
        )
    )
    _note(work, officer, "question.closed", question, real_now, {"way": way})
    work.commit()


def open_again(work: QuestionWork, officer: Officer, code: str, *, now: datetime, real_now: datetime) -> None:
    """Take back what was done about a question last; an answer that has not left is called off.

    Raises:
        NoQuestion: it is not there, or not of this officer's districts.
        Refused: it is open, or it was too long ago.
    """
    question = theirs(work, officer, code)
    last = last_of(work.questions.answers([question.id]))
    if last is None or not work.questions.reopen(question.id):
        raise Refused("It is open already: somebody else has taken it back.")
    if not may_reopen(last, now):
        raise Refused("It was settled more than a day ago and stays so: call, or wait until they ask anew.")
    work.questions.take_back(last.id, officer.id, now)
    if last.message:
        work.questions.call_off(last.message, "taken back by an officer", now)
    _note(work, officer, "question.opened_again", question, real_now, {})
    work.commit()


def show_number(work: QuestionWork, officer: Officer, code: str, *, real_now: datetime) -> str | None:
    """Return the number of the phone that asked, to be called; that it was shown is kept.

    None where the number is not kept any more.

    Raises:
        NoQuestion: it is not there, or not of this officer's districts.
    """
    question = theirs(work, officer, code)
    number = work.questions.number(question.phone_id)
    _note(work, officer, "number.shown", question, real_now, {"phone": question.phone_id})
    work.commit()
    return number


def theirs(work: QuestionWork, officer: Officer, code: str) -> Question:
    """Return a question of the officer's districts.

    Raises:
        NoQuestion: it is not there, or of elsewhere.
    """
    question = work.questions.find(officer.districts, code)
    if question is None:
        raise NoQuestion
    return question


def last_of(answers: Sequence[Answer]) -> Answer | None:
    """Return what was done last and holds, of all that was done about one question."""
    return next((one for one in reversed(answers) if one.taken_back_at is None), None)


def may_reopen(last: Answer, now: datetime) -> bool:
    """Return whether what was done may still be taken back."""
    return now - last.at < REOPEN_WITHIN


def _settle(work: QuestionWork, question: Question, way: Way) -> None:
    if not work.questions.settle(question.id, STATE_AFTER[way]):
        raise Settled(last_of(work.questions.answers([question.id])))
    if question.urgency == Urgency.UNREAD:
        # It leaves the list of those that could be tried again: a person has taken it up.
        work.stuck.looked_at(question.inbound_id)


def _note(  # noqa: PLR0917 - one deed with all that is kept of it
    work: QuestionWork,
    officer: Officer,
    action: str,
    question: Question,
    real_now: datetime,
    detail: Mapping[str, object],
) -> None:
    note(work, officer, action, f"question:{question.id}", detail, at=real_now)
