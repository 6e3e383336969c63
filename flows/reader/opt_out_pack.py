"""Opting out as a part of a language pack: the words a wish for no more texts is made of, each with its part in it."""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from itertools import product

from flows.reader.sections import AtLeastOne, Entries, Section


class Part(StrEnum):
    """What a word or phrase does in a wish for no more texts."""

    WHOLE = "whole"
    """Says all of it: "unsubscribe", "take me off", "usinitumie"."""
    END = "end"
    """Asks for an end of what is named, of our texts where nothing is: "stop", "acha"."""
    TAKE = "take"
    """Asks for an end of what is named behind it, and alone says nothing: "remove", "no more", "futa"."""
    REFUSE = "refuse"
    """Says that what stands before or behind it is not wanted: "do not want", "sitaki", "tired of"."""
    ENDED = "ended"
    """Says that what is named right before it shall end: "to stop", "ifungwe"."""
    OURS = "ours"
    """What we send, and our sending: "messages", "sending me", "kunitumia"."""
    THEIRS = "theirs"
    """What stands in our lists, and what else may be ended: "number", "name", "list", "me"."""
    LIGHT = "light"
    """Says no more than without it: "please", "at once", "kabisa"."""
    LIMIT = "limit"
    """Makes less of what stands before it: "on sundays", "in english", "jobs"."""
    OTHER = "other"
    """What farmers end beside our texts: "rain", "mites", "maua"."""
    SUBJECT = "subject"
    """Stands before a verb that asks for nothing: "we stop", "did you stop"."""
    DENIAL = "denial"
    """Denies what stands behind it, beside the denials of the whole language: "sijasema"."""
    APART = "apart"
    """Begins a new thought: "so", "but", "lakini"."""
    GOES_ON = "goes_on"
    """Says that our texts are wanted: "keep sending", "naendelea"."""
    SPARED = "spared"
    """Holds such a word and means none: "full stop", "acha mzaha"."""


class Forms(Section):
    """Words that are glued together: every start with every middle, root and end."""

    starts: Entries = ("",)
    middles: Entries = ("",)
    roots: AtLeastOne
    ends: Entries = ("",)

    def words(self) -> Iterable[str]:
        """Return every word that is built so."""
        return map("".join, product(self.starts, self.middles, self.roots, self.ends))


class OptingOut(Section):
    """The words of a wish for no more texts.

    Attributes:
        parts: words and phrases by the part they have in it.
        forms: further words, glued together.
        slips: words that are never taken for one of these with a slip of the finger in it.
    """

    parts: Mapping[Part, Entries]
    forms: Mapping[Part, tuple[Forms, ...]] = {}
    slips: Entries = ()

    def entries(self) -> Iterable[tuple[str, Part]]:
        """Return every word and phrase with its part."""
        yield from ((word, part) for part, words in self.parts.items() for word in words)
        yield from (
            (word, part) for part, forms in self.forms.items() for form in forms for word in form.words()
        )
