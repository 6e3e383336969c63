"""From values to words: how a weight, a day or a list is written into a text, by language.

ASCII only and no grouping: a locale's own thin spaces would cost a text half its length.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Protocol, TypeAlias

from flows.alphabet import clip
from flows.money import Money
from flows.titles import TITLES

LONGEST_NAME = 12
# As long as the longest that may be given, so that nothing but foreign letters is ever lost.
LONGEST_DISTRICT = 20
# Of an officer's name a text has no more room.
LONGEST_OFFICER = 16
# Below a hundred grams the third decimal is what the farmer typed.
HUNDRED = 100


@dataclass(frozen=True, slots=True)
class Grams:
    """A weight, written in kilos with at most two decimals that matter, three for a handful."""

    amount: int

    def __str__(self) -> str:
        """Return kilos: 12500 is "12.5"."""
        kilos = (Decimal(self.amount) / 1000).quantize(
            Decimal("0.01") if self.amount >= HUNDRED else Decimal("0.001")
        )
        return f"{kilos:f}".rstrip("0").rstrip(".") if kilos else "0"


@dataclass(frozen=True, slots=True)
class FullDate:
    """A day written with its year: planting dates lie years back."""

    day: date


@dataclass(frozen=True, slots=True)
class Name:
    """A person's name, shortened to what a text has room for."""

    full: str

    def __str__(self) -> str:
        """Return the first word, with the one behind it where the first is a title; twelve letters that fit."""
        words = self.full.split(maxsplit=2)
        titled = len(words) > 1 and words[0].casefold().rstrip(".") in TITLES
        return clip(" ".join(words[: 2 if titled else 1]), at_most=LONGEST_NAME)


def of_district(name: str) -> str:
    """Return a district's name as texts write it: a letter outside the alphabet would double what they cost."""
    return clip(name, at_most=LONGEST_DISTRICT)


def of_officer(name: str) -> str:
    """Return an officer's name as texts write it."""
    return clip(name, at_most=LONGEST_OFFICER)


@dataclass(frozen=True, slots=True)
class Phrase:
    """A catalogue entry with its values."""

    text_id: str
    values: "Mapping[str, Value]" = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Numbered:
    """A list with a number before each entry: "1 Weeds 2 Water"."""

    entries: "Sequence[tuple[int, Phrase | Name | str]]"


@dataclass(frozen=True, slots=True)
class Joined:
    """Phrases one behind the other with the same sign between them."""

    phrases: "Sequence[Phrase]"
    between: str = " "


@dataclass(frozen=True, slots=True)
class Each:
    """The same phrase in several languages, one behind the other, for somebody whose language is not known."""

    phrases: "Mapping[str, Phrase]"


Value: TypeAlias = "str | int | date | Grams | Money | FullDate | Name | Phrase | Numbered | Joined | Each"


class Renders(Protocol):
    """The catalogue, as far as wording needs it."""

    def render(self, text_id: str, language: str, values: Mapping[str, str | int]) -> str:
        """Return the text with its placeholders filled."""
        ...


class Wording:
    """Writes phrases in a language."""

    def __init__(self, catalogue: Renders) -> None:
        """Write with `catalogue`."""
        self._catalogue = catalogue

    def write(self, phrase: Phrase, language: str) -> str:
        """Return the whole text of `phrase` in `language`."""
        values = {name: self.spoken(value, language) for name, value in phrase.values.items()}
        return self._catalogue.render(phrase.text_id, language, values)

    def spoken(self, value: Value, language: str) -> str:
        """Return one value as it is written into a text."""
        match value:
            case Phrase():
                return self.write(value, language)
            case Each():
                return " ".join(self.write(phrase, own) for own, phrase in value.phrases.items())
            case Numbered() | Joined():
                return self._several(value, language)
            case FullDate():
                return (
                    f"{self._weekday(value.day, language)} {value.day.day}/{value.day.month}/{value.day.year}"
                )
            case date():
                return f"{self._weekday(value, language)} {value.day}/{value.month}"
            case _:
                return str(value)

    def _several(self, value: Numbered | Joined, language: str) -> str:
        if isinstance(value, Joined):
            return value.between.join(self.write(phrase, language) for phrase in value.phrases)
        return " ".join(f"{number} {self.spoken(entry, language)}" for number, entry in value.entries)

    def _weekday(self, day: date, language: str) -> str:
        return self._catalogue.render(f"weekday.{day.weekday()}", language, {})
