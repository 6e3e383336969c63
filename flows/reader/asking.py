"""Questions that one of our own answers settles: "how much have I picked so far?", "nimwagilie lita ngapi?".

Such a question has a word that asks and words of what it is about, in any order, and none that makes it another one.
What fits nothing here is a question for a person.
"""

from collections.abc import Mapping
from typing import Final

from flows.inputs import Ask, Help, Input, Total
from flows.reader.scan import places_of
from flows.reader.subject import Text
from flows.trading import Price
from flows.watering import Water
from flows.wishes import Records, Who

# A longer question tells a story that no list of ours answers.
_MOST_TOKENS: Final = 14
_MOST_BESIDE: Final = 3
# None is for a person: a wish to be called or visited.
_ANSWERED: Final[Mapping[str, Input | None]] = {
    "total": Total(),
    "water": Water(),
    "price": Price(),
    "who": Who(),
    "help": Help(),
    "records": Records(),
    "visit": None,
}


def asked(text: Text) -> Input | None:
    """Read a question that has an answer of ours, where it counts no weights."""
    scan = text.scan
    if (
        not scan.content
        or len(scan.tokens) > _MOST_TOKENS
        or any(amount.unit or amount.thing for amount in scan.amounts)
    ):
        return None
    if not scan.has(scan.lexicon.asked_about):
        return None
    for name, meant in _ANSWERED.items():
        words = scan.lexicon.asking[name]
        if not scan.has(words.about) or not scan.has(words.how) or scan.has(words.never):
            continue
        said = places_of(scan.tokens, words.about) | places_of(scan.tokens, words.how)
        if len(set(scan.content) - said) <= _MOST_BESIDE:
            text.why.append(f"a question about {name}")
            return meant or Ask(text=scan.shown)
    return None
