"""How much of something to use, said in figures or in words: what only a label may say.

Three kinds of measures are told apart. A cap, a spoon, a drop, a gram measure out a substance and are never said by
text, nor is a share in percent. A litre is said of water only. A bucket, a tin, a handful, a kilo measure anything:
they are refused beside a word of medicine or feeding, beside a name that nobody here bears, and as a rate for each
plant or litre, unless it is water, compost, mulch or fruit that is spoken of. Common practice, no source.
"""

import re
from collections.abc import Collection, Iterable, Iterator
from functools import cache
from typing import Final

from flows.reader.pack import Pack, read_packs
from service.core.folding import folded

AMOUNT_WHY: Final = "an amount of something to use: the label says how much, and differs by product"
NAME_WHY: Final = "a product by its name: which one is allowed here is for the label and whoever is licensed"

_FIGURE: Final = r"(?:\d+(?:[.,]\d+)?(?:\s*/\s*\d+)?|[½¼¾])"
_MEASURING: Final = (
    *(
        "ml",
        "mls",
        "cc",
        "millilit[a-z]+",
        "mililita",
        "g",
        "gm",
        "gms",
        "grams?",
        "grammes?",
        "gramu",
        "mg",
        "oz",
    ),
    *("caps?", "capfuls?", "lids?", "(?:tea|table)?spoon(?:ful)?s?", "drops?", "dashes", "pinch(?:es)?"),
    *(
        "kijiko",
        "vijiko",
        "kifuniko",
        "vifuniko",
        "mfuniko",
        "mifuniko",
        "kizibo",
        "vizibo",
        "tone",
        "matone",
    ),
)
_LITRES: Final = ("l", "lt", "ltrs?", "lit(?:re|er)s?", "lita")
_VESSELS: Final = (
    *("kg", "kgs", "kilos?", "kilogram[a-z]*", "buckets?", "pails?", "tins?", "cups?", "mugs?", "bottles?"),
    *(
        "handfuls?",
        "sachets?",
        "packets?",
        "knapsacks?",
        "ndoo",
        "kopo",
        "makopo",
        "debe",
        "madebe",
        "kikombe",
    ),
    *("vikombe", "chupa", "konzi", "pakiti", "bomba", "mabomba", "glass(?:es)?", "gilasi"),
)
_SACKS: Final = ("bags?", "sacks?", "mfuko", "mifuko", "gunia", "magunia")
_SIZES: Final = (
    r"(?:full|level|heaped|small|big|large|good|vidogo|kidogo|vikubwa|kikubwa|ndogo|kubwa|vya\s+chai|cha\s+chai"
    r"|vya\s+chakula|cha\s+chakula|vya\s+soda|cha\s+soda)"
)
_ARTICLES: Final = ("an?", "one", "each", "few", "several", "kila", "chache")
_PRODUCT: Final = re.compile(
    r"\b(?:dawa|madawa|kemikali|mbolea|chokaa|majivu|sabuni|chumvi|urea|npk|medicines?|chemicals?|fertili[sz]\w*"
    r"|feed|feeding|foliar|booster|boosters|tonic|lime|ash|ashes|soap|salt|sulphur|sulfur|copper|pulizi\w*|nyunyiz\w*"
    r"|spray\w*)\b",
    re.IGNORECASE,
)
_WATER: Final = re.compile(r"\b(?:water\w*|irrigat\w*|maji|\w*mwagili\w*|mvua|rain\w*)\b", re.IGNORECASE)
_OURS: Final = re.compile(
    r"\b(?:compost|mboji|mulch|straw|majani|nyasi|matunda|fruits?|berries|strawberr\w+|stroberi|\w*vun[ao]\w*|harvest\w*|picked)\b",
    re.IGNORECASE,
)
_RATE: Final = re.compile(
    r"\b(?:per|every|each|a|an|for\s+(?:each|every|one|an?)|kwa|kwa\s+kila|kila|katika)\s+(?:\d+\s+|one\s+|moja\s+)?"
    r"(?:plants?|lit(?:re|er)s?|buckets?|pumps?|knapsacks?|tanks?|beds?|rows?|acres?|hectares?|plots?|mche|miche"
    r"|mmea|mimea|lita|ndoo|pampu|bomba|tanki|tuta|matuta|mstari|shamba|ekari|hekta|shina|mashina)\b",
    re.IGNORECASE,
)
_APPLYING: Final = (
    r"\b(?:use|using|apply|put|pour|tumia|tumieni|mtumie|utumie|weka|wekeni|uweke|muweke|mwaga|mwagia|mwagieni"
    r"|umwagie|tia|tieni|utie|piga|pigeni|upige|mpige)"
)
_NAMED: Final = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        r"\b(?:dawa|mbolea|kemikali)\s+(?:ya|za|iitwayo|inayoitwa|aina\s+ya)\s+(\w+)",
        _APPLYING + r"\s+(?:the\s+)?(\w+)",
    )
)
# A stop within a figure or behind a title ends no sentence.
_SENTENCES: Final = re.compile(r"(?<!\bBi)(?<!\bBw)(?<!\bMr)(?<!\bDr)(?:[.!?](?!\d)|\n)")
_WORD: Final = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_EVERYBODY: Final = frozenset(
    {"i", "sms", "ussd", "mr", "mrs", "ms", "dr", "bi", "bw", "mama", "baba", "mzee"}
)
_SHORTEST_NAME: Final = 2


def names_in(text: str) -> frozenset[str]:
    """Return the capitalised words, folded, that a text would be refused for unless somebody or a place is so called."""
    return frozenset(
        name
        for sentence in _SENTENCES.split(text)
        if _speaks_of_use(sentence)
        for name in _capitals(sentence)
    )


def doses_in(text: str, names: Collection[str]) -> Iterator[tuple[str, str]]:
    """Yield each amount or product that may not be said, with the reason; `names` are known ones, folded."""
    for sentence in _SENTENCES.split(text):
        strange = _capitals(sentence) - frozenset(names)
        yield from ((found, AMOUNT_WHY) for found in _amounts(sentence, strange))
        for match in (match for pattern in _NAMED for match in pattern.finditer(sentence)):
            if match[1][0].isupper() and folded(match[1]) in strange:
                yield match[0], NAME_WHY


def _amounts(sentence: str, strange: frozenset[str]) -> Iterator[str]:
    product = bool(_PRODUCT.search(sentence)) or bool(strange)
    water, ours = bool(_WATER.search(sentence)), bool(_OURS.search(sentence))
    rate = bool(_RATE.search(sentence)) and not (water or ours)
    never, litres, vessels, sacks = _patterns()
    yield from _whole(never, sentence)
    if product or not water:
        yield from _whole(litres, sentence)
    if product or rate:
        yield from _whole(vessels, sentence)
    if rate:
        yield from _whole(sacks, sentence)


def _whole(pattern: re.Pattern[str], sentence: str) -> Iterator[str]:
    return (match[0] for match in pattern.finditer(sentence))


def _speaks_of_use(sentence: str) -> bool:
    return any(pattern.search(sentence) for pattern in (*_NAMED, *_patterns()))


def _capitals(sentence: str) -> frozenset[str]:
    """Return the capitalised words that no language pack has; the first says nothing unless a comma or colon follows.

    In a sentence all in capitals they tell nothing.
    """
    if sentence.isupper():
        return frozenset()
    words = list(_WORD.finditer(sentence))
    first = words[:1] if words and re.match(r"\s*[,:;(]", sentence[words[0].end() :]) else []
    shouted = [word for word in words[:1] if len(word[0]) > _SHORTEST_NAME and word[0].isupper()]
    found = {folded(word[0]) for word in (*first, *shouted, *words[1:]) if word[0][0].isupper()}
    return frozenset(word for word in found - _ordinary() if len(word) >= _SHORTEST_NAME)


@cache
def _ordinary() -> frozenset[str]:
    """Return every word that a language pack has: days, months, languages, commands."""
    packs = [folded(word) for pack in read_packs() for word in _words_of(pack.model_dump())]
    return _EVERYBODY.union(part for word in packs for part in word.split())


def _words_of(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (word for pair in value.items() for one in pair for word in _words_of(one))
    elif isinstance(value, list | tuple):
        yield from (word for one in value for word in _words_of(one))


@cache
def _patterns() -> tuple[re.Pattern[str], ...]:
    """Return what finds amounts: never said, of litres, of vessels, of sacks."""
    count = rf"(?:{_FIGURE}|\b(?:{'|'.join(_number_words(read_packs()))})\b)"
    share = rf"{_FIGURE}\s*%|{count}\s*(?:per\s*cent|percent)\b|\basilimia\s+{count}"
    return (
        re.compile(rf"{share}|{_amount(count, _MEASURING)}", re.IGNORECASE),
        *(re.compile(_amount(count, units), re.IGNORECASE) for units in (_LITRES, _VESSELS, _SACKS)),
    )


def _amount(count: str, units: Iterable[str]) -> str:
    unit = rf"(?:{'|'.join(units)})"
    return rf"{count}[\s-]*(?:{_SIZES}\s+)?\b{unit}\b|{count}{unit}\b|\b{unit}\s+(?:{_SIZES}\s+)?{count}"


def _number_words(packs: Iterable[Pack]) -> list[str]:
    """Return the words of numbers of every language, the longest first, so that "half a" is found before "a"."""
    words = {
        word
        for pack in packs
        for table in (pack.numbers.ones, pack.numbers.tens, pack.numbers.scales, pack.numbers.fractions)
        for word in table
    }
    spaced = [re.escape(word).replace(r"\ ", r"\s+") for word in sorted(words, key=len, reverse=True)]
    return [*spaced, *_ARTICLES]
