"""What is promised about a text in every language: its values, its length, and what its lint lets pass."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeAlias


class Kind(StrEnum):
    """What a text is for."""

    TEXT = "text"
    """A whole text to a phone."""

    FIRST_AID = "first_aid"
    """A whole text in an emergency; a local health authority approves its wording before it is used."""

    LABEL = "label"
    """The short name of a job, as it stands in a list."""

    WORDS = "words"
    """A few words that other texts are given as a value."""


class Rule(StrEnum):
    """What the lint looks at; the reason a text gives for a rule lets it pass."""

    COMPLETE = "complete"
    ALPHABET = "alphabet"
    LENGTH = "length"
    PLACEHOLDERS = "placeholders"
    TRANSLATED = "translated"
    COMMANDS = "commands"
    SENSES = "senses"
    PLURALS = "plurals"
    SPACING = "spacing"
    READING = "reading"
    SAFETY = "safety"
    WAIVERS = "waivers"


@dataclass(frozen=True, kw_only=True, slots=True)
class Longest:
    """A filling made of other texts: as many as `most` of the longest whose ids end or begin as given.

    Attributes:
        ids: how the ids end (".label") or begin ("finding.").
        most: how many there are at most; more than one are numbered "1 Weeds 2 Water".
        between: what stands between them instead, where they are not numbered.
    """

    ids: str
    most: int = 1
    between: str | None = None

    def covers(self, text_id: str) -> bool:
        """Return whether that text can be part of this filling."""
        return text_id.endswith(self.ids) if self.ids.startswith(".") else text_id.startswith(self.ids)


Filling: TypeAlias = str | Longest


@dataclass(frozen=True, kw_only=True, slots=True)
class Text:
    """What is promised about one text in every language.

    Attributes:
        values: the placeholders it has, neither more nor fewer, with spaces between them.
        kind: what it is for.
        parts: how many SMS it may cost at its longest.
        at_most: how many septets a label or a few words may have.
        longest: fillings that are longer or shorter here than `PLACEHOLDERS` says.
        waived: rules it may break, each with the reason.
    """

    values: str = ""
    kind: Kind = Kind.TEXT
    parts: int = 1
    at_most: int | None = None
    longest: Mapping[str, Filling] = field(default_factory=dict)
    waived: Mapping[Rule, str] = field(default_factory=dict)

    @property
    def placeholders(self) -> frozenset[str]:
        """Return the names of its placeholders."""
        return frozenset(self.values.split())
