"""Orders to spray or to put a remedy on plants, in the forms that each language gives them.

Swahili writes who, when and what into one word, so a list of words finds few of them: what is looked for is the root,
with everything before and behind it. Let through is what orders nothing: that somebody has sprayed, that nobody may,
what holds before or after it, who does it, a sprinkler, and water alone. What is in doubt counts as an order. Common
practice, no source.
"""

import re
from collections.abc import Iterator
from typing import Final

_WORD: Final = re.compile(r"\b(?P<before>\w*?)(?P<root>nyunyiz|puliz)(?P<end>\w*)", re.IGNORECASE)
# Before the root: has sprayed, does not spray, shall not spray.
_NO_ORDER: Final = re.compile(
    r"(?:ni|u|a|tu|m|mu|wa|i|zi|ya)(?:mesha|me|li)(?:ye|o|yo|zo|po)?\w{0,2}|(?:u|m|mu|tu|a|wa|i|zi|ya)si\w{0,2}"
    r"|(?:kuto|ha|huja|huku)\w*",
    re.IGNORECASE,
)
# Behind it: the sprinkler, those who spray, the spraying.
_THING: Final = re.compile(r"(?:i?o|i?aji)", re.IGNORECASE)
_HOLDS: Final = re.compile(r"\b(?:baada\s+ya|kabla\s+ya|bila|acha|acheni|usianze|msianze)\s+$", re.IGNORECASE)
_WATER: Final = re.compile(
    r"\s+maji\b(?![^.!?\n]*(?:\b(?:yenye|na\s+(?!mapema|jioni|asubuhi|mchana)\w+|pamoja|\w*dawa|kemikali|mbolea)\b|(?-i:[A-Z])))",
    re.IGNORECASE,
)
# Piga dawa, mwagia dawa: the verb with who is told before it, and at most one word between.
_WITH_REMEDY: Final = re.compile(
    r"\b(?:(?:u|m|mu|tu|ni)?(?:ta|ki)?|ku|hu|wa)(?:pig|mwag|mwagi|mwagili|wek|wekee|ti|pak|tumi|rush|rushi|fukiz)"
    r"(?:a|e|ia|ie|ani|eni|ieni)\s+(?:\w+\s+)?(?:ma)?(?:dawa|kemikali|kiuatilifu|viuatilifu)\b(?!\s+(?:mbali|kabatini|juu))"
    r"|\b(?:ma)?dawa\s+(?:i|zi|ya)\w{0,2}(?:pigwe|wekwe|mwagwe|mwagiwe|tumike|tumiwe|pakwe|tiwe)\b",
    re.IGNORECASE,
)
_ENGLISH: Final = re.compile(
    r"(?<!\w)sprays?(?!\w)|\b(?:start|begin|keep|continue|resume)\s+(?:\w+\s+)?spraying\b"
    r"|\b(?:use|apply|put|pour|give|add)\s+(?:(?:the|some|any|your|a|this|that)\s+)?(?:\w+\s+)?(?:medicines?|chemicals?)\b",
    re.IGNORECASE,
)
_NEGATED: Final = re.compile(r"\b(?:no|not|never|nor)\b", re.IGNORECASE)


def spray_orders_in(text: str) -> Iterator[str]:
    """Yield each order to spray as it stands in the text, whatever language the text is in."""
    for match in _WORD.finditer(text):
        if not _lets_through(text, match):
            yield match[0]
    yield from (match[0] for match in _WITH_REMEDY.finditer(text) if not _HOLDS.search(text[: match.start()]))
    yield from (match[0] for match in _ENGLISH.finditer(text) if not _NEGATED.search(match[0]))


def _lets_through(text: str, word: re.Match[str]) -> bool:
    if _NO_ORDER.fullmatch(word["before"]) or _THING.fullmatch(word["end"]):
        return True
    if word["before"].casefold() in {"ku", "u"} and _HOLDS.search(text[: word.start()]):
        return True
    return word["root"].casefold() == "nyunyiz" and bool(_WATER.match(text[word.end() :]))
