"""What an officer's own words in an alert may not say, and why; a new language adds its words to each row.

A text reaches hundreds of people of whom some are children, some read poorly and none can ask back at once. What
depends on a label, on a licence or on a person looking on is therefore not said in it. The words are found whole and
in any case; a word that ends in `*` stands for all that begin so. Common practice, no source; the rows on fire and on
machines follow the content rules that this service's own texts keep.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, kw_only=True, slots=True)
class RefusedWords:
    """Words with one reason against them; all languages are looked for in every text, for texts are mixed."""

    why: str
    words: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """A refused word as it stands in a text."""

    word: str
    why: str


_FIGURE: Final = r"\d+(?:[.,]\d+)?"
# 30 ml, 2.5 g per litre, 20cc, gramu 30: how much of something to use.
_AMOUNTS: Final = re.compile(
    rf"\b(?:{_FIGURE}\s*(?:ml|cc|mls|grams?|gms?|litres?|liters?|l|g|oz|teaspoons?|tablespoons?|caps?)\b"
    rf"|(?:ml|mililita|lita|gramu|vijiko|kijiko)\s*{_FIGURE})",
    re.IGNORECASE,
)
_AMOUNT_WHY: Final = "an amount of something to use: the label says how much, and differs by product"

REFUSED_WORDS: Final = (
    RefusedWords(
        why="how much to use is on the label and differs by product",
        words=("dose*", "dosage*", "ratio", "dozi", "kipimo cha dawa", "vipimo vya dawa"),
    ),
    RefusedWords(
        why="mixing substances is done by the label, or by whoever is licensed",
        words=("mix*", "cocktail", "changanya*", "mchanganyiko", "unachanganya"),
    ),
    RefusedWords(
        why="spraying is decided by label, local rules and a licensed person, one farm at a time",
        words=(
            *("spray", "fumigat*", "pesticide*", "insecticide*", "fungicide*", "herbicide*", "poison*"),
            *(
                "pulizia",
                "nyunyiza dawa",
                "dawa ya wadudu",
                "dawa za wadudu",
                "viuatilifu",
                "kiuatilifu",
                "sumu",
            ),
        ),
    ),
    RefusedWords(
        why="a remedy made at home can hurt who makes it",
        words=(
            "bleach*",
            "detergent*",
            "nicotine",
            "kerosene",
            "paraffin",
            "dawa ya kufulia nguo",
            "tumbaku",
            "mafuta ya taa",
        ),
    ),
    RefusedWords(
        why="fire, smoke and fuel hurt people and burn fields: nobody lights one because of a text",
        words=(
            *(
                "burn*",
                "fire",
                "fires",
                "bonfire*",
                "petrol",
                "diesel",
                "tyre",
                "tyres",
                "tire",
                "tires",
                "smoke",
            ),
            *("choma*", "moto", "petroli", "dizeli", "matairi", "tairi", "moshi"),
        ),
    ),
    RefusedWords(
        why="pumps and electricity are for who knows the machine and the mains",
        words=("pump*", "electric*", "generator*", "pampu", "umeme", "jenereta"),
    ),
    RefusedWords(
        why="nobody can promise that by text",
        words=(
            *("safe", "safely", "harmless", "guarantee*", "no risk", "approved", "cure", "cures"),
            *("salama", "haina madhara", "hakikisho", "imeidhinishwa", "tiba"),
        ),
    ),
    RefusedWords(
        why="money, PINs and passwords are asked for by swindlers, never by this service",
        words=(
            "pin",
            "password",
            "mobile money",
            "pesa kwa simu",
            "airtime",
            "send money",
            "nywila",
            "tuma pesa",
            "tuma hela",
        ),
    ),
)


def _pattern(word: str) -> str:
    plain = re.escape(word.removesuffix("*")).replace(r"\ ", r"\s+")
    return plain + (r"\w*" if word.endswith("*") else "")


_PATTERNS: Final = tuple(
    (re.compile(rf"(?<!\w)(?:{'|'.join(map(_pattern, row.words))})(?!\w)", re.IGNORECASE), row.why)
    for row in REFUSED_WORDS
)


def refused_in(text: str) -> tuple[Found, ...]:
    """Return what may not stand in a text, each word once, with the reason."""
    return tuple(dict.fromkeys(_all(text)))


def _all(text: str) -> Iterator[Found]:
    for pattern, why in ((_AMOUNTS, _AMOUNT_WHY), *_PATTERNS):
        for match in pattern.finditer(text):
            yield Found(word=match[0].casefold(), why=why)
