"""Commands of several words, and of a word that is a command only where it is the whole text.

"Not yet", "wrong number" or "days" would do harm as commands anywhere in a sentence. So a phrase counts only where
nothing else of meaning stands beside it; a job's number may, where it is about jobs.
"""

from collections.abc import Mapping
from typing import Final

from flows.inputs import Alerts, Days, Input, NeedHelp, No, NotYet, Records, Who, WrongNumber, Yes
from flows.reader.meanings import numbers_in
from flows.reader.pack import Intent
from flows.reader.scan import Scan
from flows.remarks import Details

_PLAIN: Final[Mapping[Intent, Input]] = {
    Intent.DAYS: Days(),
    Intent.DETAILS: Details(),
    Intent.RECORDS: Records(),
    Intent.WHO: Who(),
    Intent.WRONG_NUMBER: WrongNumber(),
    Intent.ALERTS_OFF: Alerts(wanted=False),
    Intent.YES: Yes(),
    Intent.NO: No(),
}
_SAID_TWICE: Final = frozenset({Intent.YES, Intent.NO})
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
    beside = [place for place in scan.content if place not in range(*hit) and not _same(scan, place, intent)]
    meant = _about_jobs(scan, intent, beside) if intent in _ABOUT_JOBS else _plain(scan, intent, beside)
    phrase = " ".join(token.raw for token in scan.tokens[slice(*hit)])
    return None if meant is None else (meant, language, phrase)


def _same(scan: Scan, place: int, intent: Intent) -> bool:
    """Return whether a word says the same as the phrase: "yes, that is right"."""
    command = scan.lexicon.commands.get(scan.word(place))
    return command is not None and command.intent is intent and intent in _SAID_TWICE


def _plain(scan: Scan, intent: Intent, beside: list[int]) -> Input | None:
    # "Who are you" is a question by its words, the others are none.
    asks = scan.question and intent is not Intent.WHO
    return None if beside or scan.amounts or scan.days or asks else _PLAIN[intent]


def _about_jobs(scan: Scan, intent: Intent, beside: list[int]) -> Input | None:
    commands = (scan.lexicon.commands.get(scan.word(place)) for place in beside)
    if scan.question or not all(command and command.intent is Intent.JOBS for command in commands):
        return None
    return _ABOUT_JOBS[intent](numbers=numbers_in(scan))
