"""Which command a text gives, if any.

A command is the first word that carries meaning, behind greetings, days, numbers and function words, in a
text that stays short. Anything else is a sentence for a person. A word is taken for a command when it is one,
when it is a verb form of one, or when it is one slip of the finger away: restricted Damerau-Levenshtein
distance 1, both words of five letters or more, the same first letter, and no other word of ours; or when all its
letters are there in another order.
"""

from dataclasses import dataclass
from typing import Final

from rapidfuzz.distance import OSA

from flows.reader.lexicon import SHORTEST_NEAR, Command
from flows.reader.normalise import Kind
from flows.reader.pack import Intent
from flows.reader.scan import Scan

# No word of any language here is longer; what is longer is no slip of the finger.
_LONGEST_NEAR: Final = 24
# Words that carry meaning a text may hold and still be a command.
MOST_WORDS: Final = 8
# A question and a joining say more; what takes something away or only shows a list is said in few words. A pack is
# refused that has words for a command which is not here.
MOST_CONTENT: Final = {
    Intent.JOIN: 40,
    Intent.ASK: 400,
    Intent.HARVEST: MOST_WORDS,
    Intent.ESTIMATE: MOST_WORDS,
    Intent.SPRAYED: MOST_WORDS,
    Intent.DONE: MOST_WORDS,
    Intent.STOP: MOST_WORDS,
    Intent.YES: MOST_WORDS,
    Intent.NO: MOST_WORDS,
    Intent.JOBS: 4,
    Intent.TOTAL: 4,
    Intent.HELP: 3,
    Intent.UNDO: 3,
    Intent.CANCEL: 3,
    Intent.UNDERSTOOD: 3,
    Intent.LANGUAGE: 3,
    Intent.PAUSE: 3,
    Intent.ALERTS_ON: 2,
    Intent.RECORDS: 3,
    Intent.COUNTS: 1,
    Intent.WARN: MOST_WORDS,
    Intent.BASKET: MOST_WORDS,
    Intent.WATER: MOST_WORDS,
    Intent.RAIN: MOST_WORDS,
    Intent.SOLD: MOST_WORDS,
    Intent.COST: MOST_WORDS,
    Intent.PRICE: 4,
    Intent.PLANT_COUNT: MOST_WORDS,
    Intent.FRESH: 3,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """A command found in a text.

    Attributes:
        command: the word of ours it was taken for.
        place: the place of its token.
        how: how it was recognised, for the record.
        others: the places of the other words that carry meaning.
    """

    command: Command
    place: int
    how: str
    others: tuple[int, ...]


def find_command(scan: Scan) -> Found | None:
    """Return the command the text gives, or None when it is no command."""
    content = _leading(scan)
    if not content:
        return None
    hit = _recognised(scan, scan.word(content[0]))
    if hit is None or len(content) > MOST_CONTENT[hit[0].intent]:
        return None
    return Found(command=hit[0], place=content[0], how=hit[1], others=content[1:])


def _leading(scan: Scan) -> tuple[int, ...]:
    """Return the words that carry meaning, without a leading "ok", "already" or "mm"."""
    content = scan.content
    while len(content) > 1 and (
        _agrees(scan, content[0])
        or _already(scan, content[0])
        or scan.word(content[0]) in scan.lexicon.water.millimetres
    ):
        content = content[1:]
    return content


def _agrees(scan: Scan, place: int) -> bool:
    command = scan.lexicon.commands.get(scan.word(place))
    return command is not None and command.intent is Intent.YES


def _already(scan: Scan, place: int) -> bool:
    """Return whether the word means "already" here: it is one that may, and a verb form follows."""
    following = scan.tokens[place + 1] if place + 1 < len(scan.tokens) else None
    return (
        scan.word(place) in scan.lexicon.already
        and following is not None
        and following.kind is Kind.WORD
        and following.key.startswith(scan.lexicon.verb_starts)
    )


def _recognised(scan: Scan, word: str) -> tuple[Command, str] | None:
    exact = scan.lexicon.commands.get(word)
    if exact is not None:
        return exact, exact.form.value
    near = nearest(word, scan)
    return None if near is None else (near, f"one slip from '{near.word}'")


def _shuffled(word: str, known: str) -> bool:
    """Return whether a word is another with the same ends and its letters in another order: "haverst"."""
    return len(word) > SHORTEST_NEAR and word[-1] == known[-1] and sorted(word) == sorted(known)


def nearest(word: str, scan: Scan) -> Command | None:
    """Return the command one slip away from `word`, or None when there is none or more than one."""
    if not SHORTEST_NEAR <= len(word) <= _LONGEST_NEAR or word in scan.lexicon.never_near:
        return None
    hits = [
        command
        for known, command in scan.lexicon.near.items()
        if known[0] == word[0] and (OSA.distance(word, known, score_cutoff=1) <= 1 or _shuffled(word, known))
    ]
    return hits[0] if len({hit.intent for hit in hits}) == 1 else None
