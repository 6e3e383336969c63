"""Jobs: which are said to be finished, and which are asked for."""

import re
from typing import Final

from flows.inputs import Done, Input, Jobs
from flows.reader.given import Given
from flows.reader.normalise import Kind, tokens
from flows.reader.number_words import said
from flows.reader.pack import Intent
from flows.reader.scan import Scan

# A list in a text never holds more jobs.
_MOST_JOBS: Final = 99


def done(given: Given) -> Input:
    """Read finished jobs by their numbers; "done 1,3" is a list here, no decimal."""
    scan = given.scan
    if scan.question or scan.has(scan.lexicon.negations):
        return given.sentence("a question or a negation beside the report")
    if any(amount.unit or amount.thing for amount in scan.amounts):
        return given.sentence("a weight or a count of things beside the report")
    numbers = numbers_in(scan) or _named_jobs(given)
    every = not numbers and scan.has(scan.lexicon.every) and not _beside_every(given)
    given.why.append(
        f"jobs {', '.join(map(str, numbers))}" if numbers else "all jobs" if every else "no job number"
    )
    return Done(numbers=numbers, every=every)


def _beside_every(given: Given) -> list[int]:
    """Return the words of a report that are neither a job's word nor one for all of them."""
    commands = given.scan.lexicon.commands
    about = {Intent.JOBS, Intent.DONE}
    words = ((place, given.scan.word(place)) for place in given.found.others)
    return [
        place
        for place, word in words
        if word not in given.scan.lexicon.every
        and (word not in commands or commands[word].intent not in about)
    ]


def _named_jobs(given: Given) -> tuple[int, ...]:
    """Return the jobs that are named by words of their own: each word must belong to one, and tell it from others."""
    scan = given.scan
    called = {
        number: frozenset(token.key for name in names for token in tokens(name))
        for number, names in given.jobs.items()
    }
    having = [
        {number for number, words in called.items() if scan.word(place) in words}
        for place in given.found.others
    ]
    named = {number for numbers in having if len(numbers) == 1 for number in numbers}
    return tuple(sorted(named)) if named and all(numbers & named for numbers in having) else ()


def numbers_in(scan: Scan) -> tuple[int, ...]:
    """Return the numbers of jobs in a text, each once."""
    return tuple(dict.fromkeys(number for number in _listed(scan) if 0 < number <= _MOST_JOBS))


def _listed(scan: Scan) -> list[int]:
    """Return every number in a list of jobs, typed or said."""
    numeric = [token for token in scan.tokens if token.kind in {Kind.DIGITS, Kind.PAIR, Kind.DAY}]
    if len(numeric) == 1 and numeric[0].kind is not Kind.DIGITS and "-" not in numeric[0].key:
        return _figures(numeric[0].key)  # "done 1/3" names two jobs, no day
    dated = {place for day in scan.days for place in range(day.start, day.end)}
    found: list[int] = []
    for place, token in enumerate(scan.tokens):
        if place not in dated:
            found += _figures(token.key) if token.kind is Kind.DIGITS else _said(scan, place)
    return found


def _figures(text: str) -> list[int]:
    return [int(figures) for figures in re.findall(r"(?<!\d)\d{1,2}(?!\d)", text)]


def _said(scan: Scan, place: int) -> list[int]:
    """Return the number said in the word at `place`, alone: "moja na tatu" are two jobs."""
    spoken = (said(scan.tokens[place : place + 1], 0, words) for words in scan.lexicon.numbers)
    return [int(number.value) for number in spoken if number is not None][:1]


def jobs(given: Given) -> Input:
    """Read a wish for the list or for one job; "job 3 done" reports it."""
    commands = given.scan.lexicon.commands
    others = (commands.get(given.scan.word(place)) for place in given.found.others)
    if any(other is not None and other.intent is Intent.DONE for other in others):
        given.why.append("the job is said to be done")
        return done(given)
    if given.scan.has(given.scan.lexicon.negations):
        return given.sentence("a negation beside the job")
    number = next((amount.count for amount in given.scan.amounts if amount.unit is None), None)
    return Jobs(number=number if number is not None and number <= _MOST_JOBS else None)
