"""A text on its way through the reader's rules, with what reading depends on and what comes of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from flows.inputs import Input
from flows.reader.commands import Found
from flows.reader.offered import Offer
from flows.reader.packs import Packs
from flows.reader.scan import Scan
from flows.slots import Slots


@dataclass(frozen=True, kw_only=True)
class Situation:
    """What reading depends on beside the text.

    Attributes:
        on: the farmer's local day.
        districts: the programme's districts as it spells them.
        languages: the language packs.
        language: the farmer's language, preferred where two read one word differently, or None.
        offers: the answers that the open question offers.
        jobs: what each job of the farmer's list is called, by its place, in every language.
        people: the first names of those the phone speaks for, as they are compared.
    """

    on: date
    districts: tuple[str, ...]
    languages: Packs
    language: str | None = None
    offers: tuple[Offer, ...] = ()
    jobs: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    people: frozenset[str] = frozenset()


@dataclass(frozen=True, kw_only=True)
class Reading:
    """How a text was understood.

    Attributes:
        input: what is meant.
        slots: what it holds beside, for an open question to take.
        why: the steps that led there, in order.
        language: the language of the command word or of the words that raise an alarm, or None without any.
    """

    input: Input
    slots: Slots
    why: tuple[str, ...]
    language: str | None


@dataclass(frozen=True, kw_only=True)
class Text:
    """A text on its way through the rules; `named` where it names a farmer, `why` and `languages` grow at each step."""

    scan: Scan
    found: Found | None
    situation: Situation
    named: bool = False
    why: list[str] = field(default_factory=list)
    languages: list[str] = field(default_factory=list)
