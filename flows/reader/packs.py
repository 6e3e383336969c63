"""The languages the reader knows, loaded once at start."""

from collections.abc import Sequence
from functools import cache
from importlib.resources.abc import Traversable

from flows.reader.commands import MOST_CONTENT
from flows.reader.lexicon import Command, Lexicon, words_of
from flows.reader.pack import Pack, PackError, read_packs


class Packs:
    """The languages the reader knows."""

    def __init__(self, packs: Sequence[Pack]) -> None:
        """Join `packs`.

        Raises:
            PackError: one word would ask for two things, or for a command that nobody reads.
        """
        self._packs = {pack.language: pack for pack in packs}
        _refuse_unread(packs)
        _refuse_two_meanings(packs)
        self._lexicons = {
            language: Lexicon([pack, *(other for other in packs if other is not pack)])
            for language, pack in self._packs.items()
        }
        self._any = Lexicon(packs)

    @property
    def languages(self) -> tuple[str, ...]:
        """The languages, in order of their files' names."""
        return tuple(self._packs)

    def name(self, language: str) -> str:
        """Return what a language calls itself."""
        return self._packs[language].name

    def lexicon(self, language: str | None) -> Lexicon:
        """Return the joined tables with `language` preferred; an unknown language prefers none."""
        return self._lexicons.get(language or "", self._any)


def load_packs(folder: Traversable | None = None) -> Packs:
    """Return the languages found in `folder`, by default those shipped in `flows/locale`.

    Raises:
        PackError: a pack is wrong, or one word would ask for two things.
    """
    return Packs(read_packs(folder)) if folder else _shipped()


@cache
def _shipped() -> Packs:
    """Read what comes with this package once: it cannot change while we run."""
    return Packs(read_packs())


def _refuse_unread(packs: Sequence[Pack]) -> None:
    for pack in packs:
        for intent in (one for one in pack.commands if one not in MOST_CONTENT):
            matter = "is read as a phrase only: list its words under [phrases], or how long it may be in commands.py"
            raise PackError(f"{pack.language}.toml", f"commands.{intent}", matter)


def _refuse_two_meanings(packs: Sequence[Pack]) -> None:
    seen: dict[str, Command] = {}
    for pack in packs:
        for command in words_of(pack):
            first = seen.setdefault(command.word, command)
            if first.intent is not command.intent:
                entry = f"commands.{command.intent}"
                matter = f"'{command.word}' already asks for {first.intent} in {first.language}.toml"
                raise PackError(f"{pack.language}.toml", entry, matter)
