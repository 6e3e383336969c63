"""What the language packs offer, as texts and pages would name it."""

from collections.abc import Iterable
from importlib.resources.abc import Traversable

from flows.reader.lexicon import Form, words_of
from flows.reader.pack import Intent, Pack, read_packs


def pack_of(language: str, folder: Traversable | None = None) -> Pack:
    """Return the pack of `language`, of those in `folder` or of those shipped."""
    packs = read_packs(folder) if folder else read_packs()
    return next(pack for pack in packs if pack.language == language)


def command_words(pack: Pack) -> frozenset[str]:
    """Return every word and phrase of `pack` that works as a command, in capitals, but for slips."""
    words = {command.word.upper() for command in words_of(pack) if command.form is not Form.SLIP}
    return frozenset(words.union(*map(_in_capitals, pack.phrases.values())))


def main_word(pack: Pack, intent: Intent) -> str:
    """Return the word our own texts name for `intent`, in capitals."""
    return (pack.commands.get(intent) or pack.phrases[intent])[0].upper()


def _in_capitals(phrases: Iterable[str]) -> set[str]:
    return {phrase.upper() for phrase in phrases}
