"""Why a text calls for a person, in the words of officers: the farmer's own stand beside, as they were written."""

from collections.abc import Mapping
from typing import Any, Final

from flows.alarms import Harm
from flows.effects import Urgency
from service.core.question_ports import Question
from service.web.words import LANGUAGES, worded

_OF_HARM: Final[Mapping[str, str]] = {
    Harm.POISON: "Words of poisoning: somebody may have swallowed, breathed in or touched something harmful.",
    Harm.FIRE: "Words of fire: somebody may be in it, or burnt.",
    Harm.SHOCK: "Words of an electric shock: somebody may have touched a wire.",
    Harm.SNAKE: "Words of a snake bite: somebody may have been bitten.",
    Harm.INJURY: "Words of a wound or of blood: somebody may be bleeding.",
    Harm.BURNS: "Words of burns: somebody may be burnt or scalded.",
    Harm.HEAT: "Words of fainting or of too much sun: somebody may have collapsed.",
    Harm.UNCLEAR: "Somebody may be hurt or in danger: the text does not tell clearly how.",
}
_OF_INTENT: Final[Mapping[str, str]] = {
    "distress": "Words of despair: somebody may want to harm themselves.",
    "need_help": "They ask for help.",
}
_OF_URGENCY: Final[Mapping[str, str]] = {
    Urgency.EMERGENCY: "Words of danger.",
    Urgency.NEED_HELP: "They answered a warning: they need help.",
    Urgency.UNREAD: "The service could not read this text: it may be anything, also a call for help.",
}
URGENT: Final = frozenset(_OF_URGENCY)


def reason(question: Question) -> str | None:
    """Return why it waits for a person, with the language it is written in; None for what speaks for itself."""
    if question.urgency not in URGENT:
        return None
    reading: Mapping[str, Any] = question.reading or {}
    harm = (reading.get("understood") or {}).get("harm", "")
    said = (
        _OF_HARM.get(harm)
        or _OF_INTENT.get(reading.get("intent", ""))
        or _OF_URGENCY[Urgency(question.urgency)]
    )
    language = question.said_in
    return f"{said} Written in {worded(language, LANGUAGES)}:" if language else said


def why_language(question: Question, answered_in: str) -> str:
    """Return why an answer is to be written in a language, after its name."""
    named = {
        language: worded(language, LANGUAGES)
        for language in (question.language, question.said_in)
        if language
    }
    if question.language == answered_in:
        return f"The farmer reads {named[question.language]}."
    if question.said_in == answered_in:
        record = f" Their record says {named[question.language]}." if question.language else ""
        return f"This text was written in {named[question.said_in]}.{record}"
    return "Nobody knows what they read: it is the language of the programme."
