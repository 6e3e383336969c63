"""What an officer's own words in an alert may not say, and why; a new language adds its words to each row.

A text reaches hundreds of people of whom some are children, some read poorly and none can ask back at once. What
depends on a label, on a licence or on a person looking on is therefore not said in it. The words are found whole and
in any case; a word that ends in `*` stands for all that begin so. Amounts and products are told by
`service.core.doses`, orders to spray by `service.core.spray_orders`. Common practice, no source; the rows on fire
and on machines follow the content rules that this service's own texts keep.
"""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Final

from service.core.doses import doses_in
from service.core.spray_orders import spray_orders_in


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


_SPRAYING_WHY: Final = "spraying is decided by label, local rules and a licensed person, one farm at a time"
_MACHINES_WHY: Final = "pumps and electricity are for who knows the machine and the mains"

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
        why=_SPRAYING_WHY,
        words=(
            *("fumigat*", "pesticide*", "insecticide*", "fungicide*", "herbicide*", "poison*"),
            *(
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
        why=_MACHINES_WHY,
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
# Whoever is told to switch a machine off or to keep away from it is warned, not advised.
_MACHINES_OFF: Final = re.compile(
    r"\b(?:(?:switch|turn)(?:ed)?(?:\s+\w+){0,3}\s+off|(?:switch|turn)\s+off|(?:do\s+not|don['’]t|never)\s+(?:touch|start|open"
    r"|repair)|keep\s+away|zima|zimeni|uzime|usiguse|msiguse|usiwashe|msiwashe|usifungue|msifungue|usitengeneze"
    r"|kaa\s+mbali|kaeni\s+mbali)\b",
    re.IGNORECASE,
)
_MACHINES_ON: Final = re.compile(
    r"\b(?:(?<!not )(?<!n't )(?<!never )(?:start|repair|open)|run|connect|switch\s+(?:it\s+)?on|turn\s+(?:it\s+)?on"
    r"|washa|washeni|uwashe|endesha|unganisha|tengeneza|fungua)\b",
    re.IGNORECASE,
)
_SENTENCE: Final = re.compile(r"[^.!?\n]+")


def refused_in(text: str, names: Collection[str] = ()) -> tuple[Found, ...]:
    """Return what may not stand in a text, each word once, with the reason.

    `names` are those of people and places, folded: no product. Which of a text are asked for: `service.core.doses`.
    """
    return tuple(dict.fromkeys(_all(text, names)))


def _all(text: str, names: Collection[str]) -> Iterator[Found]:
    for word, why in doses_in(text, names):
        yield Found(word=" ".join(word.split()).casefold(), why=why)
    for word in spray_orders_in(text):
        yield Found(word=" ".join(word.split()).casefold(), why=_SPRAYING_WHY)
    for pattern, why in _PATTERNS:
        looked = "".join(_without_cautions(text)) if why == _MACHINES_WHY else text
        for match in pattern.finditer(looked):
            yield Found(word=match[0].casefold(), why=why)


def _without_cautions(text: str) -> Iterator[str]:
    """Yield the sentences of a text but those that only warn of a machine."""
    for match in _SENTENCE.finditer(text):
        if _MACHINES_ON.search(match[0]) or not _MACHINES_OFF.search(match[0]):
            yield match[0] + "\n"
