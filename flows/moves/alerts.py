"""An officer's warning: what the farmer answers to it, and whether they want any."""

from typing import Final

from flows.effects import AnswerAlert, TakeAlerts, Urgency
from flows.moves.turn import Moment, Turn, missed, settled
from flows.wishes import Alerts
from flows.wording import Name

UNDERSTOOD: Final = "understood"
NEED_HELP: Final = "need_help"
FEWEST_WORDS: Final = 3


def understood(moment: Moment) -> Turn:
    """The farmer has understood, or covered the plants. The question stays open: the last answer counts."""
    say = moment.say("alert_noted", name=Name(moment.someone().name))
    return settled(moment, "the alert is understood", _answer(moment, UNDERSTOOD), say)


def need_help(moment: Moment) -> Turn:
    """The farmer needs help: it stands on the officer's list at once, and what is texted next as a question."""
    answer, say = _answer(moment, NEED_HELP), moment.say("alert_help")
    note = moment.note(moment.text, Urgency.NEED_HELP, alert_id=answer.alert_id)
    return settled(moment, "help is needed", answer, note, say)


def unclear(moment: Moment) -> Turn:
    """Ask for one of the two answers."""
    return missed(moment, "neither 1 nor 2", moment.say("alert_unclear"))


def in_words(moment: Moment) -> Turn:
    """Take the farmer's own words under a warning to the officer: somebody may be in need. Thanks are no words."""
    if len(moment.text.split()) < FEWEST_WORDS:
        return unclear(moment)
    return settled(moment, "own words under an alert", moment.note(moment.text), moment.noted())


def _answer(moment: Moment, answer: str) -> AnswerAlert:
    return AnswerAlert(alert_id=moment.conversation.whole("alert") or 0, answer=answer)


def choose(moment: Moment) -> Turn:
    """End the warnings alone, or have them again."""
    wanted = moment.expect(Alerts).wanted
    say = moment.say("alerts_on" if wanted else "alerts_off")
    why = "warnings are wanted" if wanted else "warnings are not wanted"
    return settled(moment, why, TakeAlerts(wanted=wanted), say)
