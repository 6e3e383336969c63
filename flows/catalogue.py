"""The texts that go out, by language: read once from gettext catalogues, then only looked up and filled.

Entries have stable ids as msgid ("harvest_noted", "task.weeds.label"); English is a catalogue like any other.
A placeholder is written {name} and filled once: what stands in a value is never read as a placeholder again,
so a farmer who calls herself "{svc}" is answered as "{svc}".

    CatalogueError
    +-- BrokenCatalogue   a file cannot be used; raised while loading
    +-- UnknownText       no catalogue holds that id
    +-- WrongValues       a text was given too few or too many values
"""

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from io import StringIO
from typing import Final

from babel.messages import Message
from babel.messages.pofile import PoFileError, read_po

DEFAULT_LANGUAGE: Final = "en"
NEEDS_REVIEW: Final = "needs-review"

_PLACEHOLDER: Final = re.compile(r"\{([a-z][a-z0-9_]*)\}")
# What the library adds on its own where a text looks like a format string.
_FLAGS_OF_THE_LIBRARY: Final = {"python-format", "python-brace-format"}
# The library is content with a quotation mark too few, and shortens the text.
_LINE: Final = re.compile(r'#.*|(?:msg[a-z_]+(?:\[\d+\])? )?"(?:[^"\\]|\\.)*"|')
_MSGID: Final = re.compile(r'^msgid "(.+)"', re.MULTILINE)


class CatalogueError(Exception):
    """A text cannot be said; a programmer's or a translator's mistake, never a farmer's."""


class BrokenCatalogue(CatalogueError):
    """A catalogue cannot be used."""

    def __init__(self, language: str, why: str) -> None:
        """Name the catalogue and what is the matter with it."""
        super().__init__(f"flows/locale/{language}.po: {why}")


class UnknownText(CatalogueError, LookupError):
    """No catalogue holds the id."""

    def __init__(self, text_id: str, language: str) -> None:
        """Name the id and the language it was wanted in."""
        super().__init__(f"no text {text_id!r}, neither in {language!r} nor in the default language")


class WrongValues(CatalogueError, ValueError):
    """The values given are not those the text has places for."""

    def __init__(self, text_id: str, language: str, wanted: Iterable[str], given: Iterable[str]) -> None:
        """Name the text, what it lacks and what it has no place for."""
        missing = sorted(set(wanted) - set(given))
        extra = sorted(set(given) - set(wanted))
        super().__init__(f"text {text_id!r} in {language!r}: missing {missing}, without a place {extra}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One text of one catalogue, as its file has it.

    Attributes:
        text: the wording, with {placeholders}; empty where it is not translated.
        flags: gettext flags; "needs-review" until a native speaker, for first aid an authority, has read it.
        forms: how many plural forms there are; 1 for every entry, see `flows.lint`.
    """

    text: str
    flags: frozenset[str] = frozenset()
    forms: int = 1

    @property
    def placeholders(self) -> frozenset[str]:
        """Return the names of the places to be filled."""
        return frozenset(_PLACEHOLDER.findall(self.text))


class _Cut:
    """A text cut at its placeholders once, as it is filled over and over."""

    __slots__ = ("_pieces", "names")

    def __init__(self, text: str) -> None:
        # Words and names by turns, words first.
        self._pieces = _PLACEHOLDER.split(text)
        self.names = frozenset(self._pieces[1::2])

    def filled(self, values: Mapping[str, str | int]) -> str:
        """Return the text with each {placeholder} replaced by its value."""
        pieces = [*self._pieces]
        pieces[1::2] = [str(values[name]) for name in pieces[1::2]]
        return "".join(pieces)


def fill(text: str, values: Mapping[str, str | int]) -> str:
    """Return `text` with each {placeholder} replaced by its value, in one pass."""
    return _Cut(text).filled(values)


class Catalogue:
    """All texts in all languages, in memory.

    A language that is not there, and a text that its language lacks, fall back to the default language.
    """

    def __init__(
        self, entries: Mapping[str, Mapping[str, Entry]], *, default: str = DEFAULT_LANGUAGE
    ) -> None:
        """Hold `entries` by language and id.

        Raises:
            BrokenCatalogue: there are no entries in the default language.
        """
        if not entries.get(default):
            raise BrokenCatalogue(default, "the default language has no texts")
        self._default = default
        self._entries = {language: {**entries[default], **own} for language, own in entries.items()}
        self._cut = {
            language: {text_id: _Cut(entry.text) for text_id, entry in texts.items()}
            for language, texts in self._entries.items()
        }

    @property
    def languages(self) -> tuple[str, ...]:
        """Return the languages there are catalogues for, in alphabetical order."""
        return tuple(sorted(self._entries))

    def render(self, text_id: str, language: str, values: Mapping[str, str | int]) -> str:
        """Return the text with its placeholders filled.

        Raises:
            UnknownText: the id stands in no catalogue.
            WrongValues: `values` are not exactly those the text has placeholders for.
        """
        texts = self._cut.get(language) or self._cut[self._default]
        text = texts.get(text_id)
        if text is None:
            raise UnknownText(text_id, language)
        if text.names != values.keys():
            raise WrongValues(text_id, language, text.names, values)
        return text.filled(values)

    def needs_review(self, language: str) -> frozenset[str]:
        """Return the ids of the texts in `language` that still wait for a reviewer."""
        return frozenset(
            text_id for text_id, entry in self._entries[language].items() if NEEDS_REVIEW in entry.flags
        )


def parse(language: str, po: str) -> dict[str, Entry]:
    """Return the entries of a gettext catalogue by id.

    Raises:
        BrokenCatalogue: it is no gettext catalogue, or an id stands in it twice.
    """
    for number, line in enumerate(po.splitlines(), start=1):
        if not _LINE.fullmatch(line):
            raise BrokenCatalogue(language, f"line {number} cannot be read: {line[:60]}")
    # The library would keep the first of two entries with one id and say nothing.
    twice = sorted(text_id for text_id, count in Counter(_MSGID.findall(po)).items() if count > 1)
    if twice:
        raise BrokenCatalogue(language, f"more than one entry for {', '.join(twice)}")
    try:
        messages = read_po(StringIO(po), abort_invalid=True)
    except PoFileError as error:
        raise BrokenCatalogue(language, str(error)) from error
    return {_forms(message.id)[0]: _entry(message) for message in messages if message.id}


def read_catalogues() -> dict[str, dict[str, Entry]]:
    """Return the entries of every catalogue that comes with this package, by language and id.

    Raises:
        BrokenCatalogue: a file cannot be used.
    """
    folder = files("flows") / "locale"
    names = sorted(file.name for file in folder.iterdir() if file.name.endswith(".po"))
    return {
        (language := name.removesuffix(".po")): parse(language, (folder / name).read_text("utf-8"))
        for name in names
    }


def load_catalogue(*, default: str = DEFAULT_LANGUAGE) -> Catalogue:
    """Return the catalogue of every language that comes with this package.

    Raises:
        BrokenCatalogue: a file cannot be used, or there is none for the default language.
    """
    return Catalogue(read_catalogues(), default=default)


def _forms(string: str | Sequence[str] | None) -> tuple[str, ...]:
    """Return the plural forms of what a catalogue holds; a text without any is a single form."""
    return (string,) if isinstance(string, str) else tuple(string or ("",))


def _entry(message: Message) -> Entry:
    forms = _forms(message.string)
    return Entry(text=forms[0], flags=frozenset(message.flags) - _FLAGS_OF_THE_LIBRARY, forms=len(forms))
