"""Commands of several words, and of a word that is a command only where it is the whole text.

"Not yet", "wrong number" or "days" would do harm as commands anywhere in a sentence. So a phrase counts only where
nothing else of meaning stands beside it; a job's number may, where it is about jobs.
"""

from collections.abc import Mapping
from typing import Final

from flows.inputs import Help, Input, Join, NeedHelp, No, NotYet, Yes
from flows.keeping import Fresh
from flows.reader.about_jobs import numbers_in
from flows.reader.pack import Intent
from flows.reader.pauses import pause_in
from flows.reader.scan import Scan
from flows.remarks import Details
from flows.trading import Price, Year
from flows.wishes import Alerts, Days, Records, Who, WrongNumber

_PLAIN: Final[Mapping[Intent, Input]] = {
    Intent.DAYS: Days(),
    Intent.DETAILS: Details(),
    Intent.RECORDS: Records(),
    Intent.WHO: Who(),
    Intent.WRONG_NUMBER: WrongNumber(),
    Intent.ALERTS_OFF: Alerts(wanted=False),
    Intent.YEAR: Year(),
    Intent.FRESH: Fresh(),
    Intent.HELP: Help(),
    Intent.PRICE: Price(),
    Intent.JOIN: Join(),
    Intent.YES: Yes(),
    Intent.NO: No(),
}
# What people say with more words than it needs: "yes, that is right", "I travel, no jobs for now".
_SAID_TWICE: Final = frozenset(
    {Intent.YES, Intent.NO, Intent.PAUSE, Intent.JOIN, Intent.WHO, Intent.WRONG_NUMBER}
)
# "I made a mistake, I want to come back" takes back the STOP and nothing else.
_TAKES_BACK: Final = {Intent.JOIN: Intent.UNDO}
_ASKING: Final = frozenset({Intent.WHO, Intent.PRICE, Intent.YEAR, Intent.FRESH})
_ABOUT_JOBS: Final[Mapping[Intent, type[NotYet] | type[NeedHelp]]] = {
    Intent.NOT_YET: NotYet,
    Intent.NEED_HELP: NeedHelp,
}


def phrased(scan: Scan) -> tuple[Input, str, str] | None:
    """Return what a text that is a phrase means, the phrase's language and the phrase; None if it is none."""
    hit = scan.lexicon.phrases.first(scan.tokens)
    found = scan.lexicon.phrases.at(scan.tokens, hit[0]) if hit else None
    if hit is None or found is None:
        return None
    intent, language = found[1]
    beside = _beside(scan, intent, hit)
    meant = _meant(scan, intent, beside, hit)
    phrase = " ".join(token.raw for token in scan.tokens[slice(*hit)])
    return None if meant is None else (meant, language, phrase)


def _meant(scan: Scan, intent: Intent, beside: list[int], hit: tuple[int, int]) -> Input | None:
    if intent is Intent.PAUSE:
        return pause_in(scan, beside)
    return _about_jobs(scan, intent, beside) if intent in _ABOUT_JOBS else _plain(scan, intent, beside, hit)


def _beside(scan: Scan, intent: Intent, hit: tuple[int, int]) -> list[int]:
    """Return the words that neither the phrase nor another way to say the same covers."""
    covered = set(range(*hit))
    for place in range(len(scan.tokens)) if intent in _SAID_TWICE else ():
        again = scan.lexicon.phrases.at(scan.tokens, place)
        if again and again[1][0] is intent:
            covered.update(range(place, again[0]))
        command = scan.lexicon.commands.get(scan.word(place))
        if command is not None and command.intent in {intent, _TAKES_BACK.get(intent)}:
            covered.add(place)
    covered.update(place for place in scan.content if scan.word(place) in scan.lexicon.stop_fillers)
    return [place for place in scan.content if place not in covered]


def _plain(scan: Scan, intent: Intent, beside: list[int], hit: tuple[int, int]) -> Input | None:
    # "Who are you" is a question by its words, others can only ask; the rest are none.
    asks = scan.question and intent not in _ASKING
    counted = any(amount.start < hit[0] or amount.end > hit[1] for amount in scan.amounts)
    dated = any(day.start < hit[0] or day.end > hit[1] for day in scan.days)
    # "Details: plants 350 planted 3 march" says at once what is wrong.
    if intent is Intent.DETAILS and scan.amounts and scan.days and not asks:
        return _PLAIN[intent]
    # "This is not the number of ..." ends in a name.
    more = len(beside) > (intent is Intent.WRONG_NUMBER)
    return None if more or counted or dated or asks else _PLAIN[intent]


def _about_jobs(scan: Scan, intent: Intent, beside: list[int]) -> Input | None:
    commands = (scan.lexicon.commands.get(scan.word(place)) for place in beside)
    if scan.question or not all(command and command.intent is Intent.JOBS for command in commands):
        return None
    return _ABOUT_JOBS[intent](numbers=numbers_in(scan))
