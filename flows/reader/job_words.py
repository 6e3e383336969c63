"""A job reported by its own name: "nimeshamwagilia", "maji bado", "finished checking pests".

The words are those of the titles that our texts give to the jobs of the farmer's list, alone or as verb forms. Each
word of meaning must belong to such a title or say how far the job is; with anything else it is a sentence.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from flows.inputs import Done, Input, NeedHelp, NotYet
from flows.reader.normalise import tokens
from flows.reader.pack import Intent
from flows.reader.scan import Scan

_SHORTEST_ROOT: Final = 3
_Report = type[Done] | type[NotYet] | type[NeedHelp]
_OF_COMMAND: Final[Mapping[Intent, _Report]] = {Intent.DONE: Done, Intent.HELP: NeedHelp}
_OF_PHRASE: Final[Mapping[Intent, _Report]] = {Intent.NOT_YET: NotYet, Intent.NEED_HELP: NeedHelp}
# A "not yet" beside a "finished" denies it.
_STRONGEST: Final[tuple[_Report, ...]] = (NotYet, NeedHelp, Done)


def job_words(scan: Scan, jobs: Mapping[int, tuple[str, ...]]) -> Input | None:
    """Return what a text reports of jobs that it names by their words, or None."""
    if not jobs or scan.question or scan.amounts or _picked(scan):
        return None
    called = {number: frozenset(_called(scan, names)) for number, names in jobs.items()}
    reports: set[_Report] = set()
    having: list[set[int]] = []
    phrase = _phrase(scan, reports)
    for place in scan.content:
        if place in phrase:
            continue
        of_word = _report_of(scan, place)
        if of_word:
            reports.add(of_word)
            continue
        word, report = _taken_apart(scan, place, called)
        numbers = {number for number, words in called.items() if word in words}
        if not numbers:
            return None
        having.append(numbers)
        reports |= {report} if report else set()
    named = {number for numbers in having if len(numbers) == 1 for number in numbers}
    if not named or not all(numbers & named for numbers in having):
        return None
    meant = next((report for report in _STRONGEST if report in reports), None)
    return meant(numbers=tuple(sorted(named))) if meant else None


def _picked(scan: Scan) -> bool:
    """Return whether a picking is told, or that there was none: that is more than a job done."""
    commands = (scan.lexicon.commands.get(scan.word(place)) for place in scan.content)
    harvest = any(command is not None and command.intent is Intent.HARVEST for command in commands)
    return harvest or scan.has(scan.lexicon.no_harvest)


def _called(scan: Scan, names: Iterable[str]) -> Iterator[str]:
    """Return the words that a job is called by, with those that say the same."""
    words = {token.key for name in names for token in tokens(name) if not scan.lexicon.is_small(token.key)}
    yield from words
    yield from (other for other, word in scan.lexicon.job_words.items() if word in words)


def _phrase(scan: Scan, reports: set[_Report]) -> range:
    """Return the places of a phrase that says how far a job is, adding what it says to `reports`."""
    hit = scan.lexicon.phrases.first(scan.tokens)
    found = scan.lexicon.phrases.at(scan.tokens, hit[0]) if hit else None
    said = _OF_PHRASE.get(found[1][0]) if found else None
    if hit is None or said is None:
        return range(0)
    reports.add(said)
    return range(*hit)


def _report_of(scan: Scan, place: int) -> _Report | None:
    command = scan.lexicon.commands.get(scan.word(place))
    return _OF_COMMAND.get(command.intent) if command else None


def _taken_apart(scan: Scan, place: int, called: Mapping[int, frozenset[str]]) -> tuple[str, _Report | None]:
    """Return the word of a title that a word is, or is a verb form of, and what the form says."""
    word = scan.word(place)
    known = frozenset().union(*called.values())
    if word in known:
        return word, None
    for start, report in scan.lexicon.job_forms:
        root = word.removeprefix(start)
        if word.startswith(start) and len(root) >= _SHORTEST_ROOT and root in known:
            return root, _REPORTS[report]
    return word, None


_REPORTS: Final[Mapping[str, _Report | None]] = {"done": Done, "not_yet": NotYet, "": None}
