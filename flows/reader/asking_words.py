"""The words of questions that answers of ours settle, joined from all language packs."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from flows.reader.asking_pack import AskingPack, AskingWords
from flows.reader.pack import Pack
from flows.reader.phrases import Phrases


@dataclass(frozen=True, kw_only=True)
class Asking:
    """One such question.

    Attributes:
        how: what asks.
        about: what is asked about.
        never: what makes it another question.
    """

    how: Phrases[None]
    about: Phrases[None]
    never: Phrases[None]


def asking_words(packs: Sequence[Pack]) -> Mapping[str, Asking]:
    """Return the words of each such question by its name."""
    return {name: _joined([getattr(pack.asking, name) for pack in packs]) for name in AskingPack.model_fields}


def _joined(spoken: Sequence[AskingWords]) -> Asking:
    def of(entries: Callable[[AskingWords], Iterable[str]]) -> Phrases[None]:
        return Phrases((entry, None) for words in spoken for entry in entries(words))

    return Asking(
        how=of(lambda words: words.how),
        about=of(lambda words: words.about),
        never=of(lambda words: words.never),
    )
