"""The words of money in all languages, joined into tables that answer in one look-up."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from flows.reader.money_pack import MoneyWords
from flows.reader.normalise import key_of
from flows.reader.pack import Pack
from flows.reader.phrases import Phrases
from flows.trading import CostKind


@dataclass(frozen=True, kw_only=True)
class MoneyLexicon:
    """See `flows.reader.money_pack`."""

    currency: Phrases[None]
    each: Phrases[None]
    for_all: Phrases[None]
    scales: Mapping[str, int]
    to: Phrases[None]
    beside: Phrases[None]
    costs: Phrases[CostKind]
    rejected: Phrases[str]


def money_lexicon(packs: Sequence[Pack]) -> MoneyLexicon:
    """Join the words of money of `packs`, in order of preference."""

    def of(entries: Callable[[MoneyWords], Iterable[str]]) -> Phrases[None]:
        return Phrases((entry, None) for pack in packs for entry in entries(pack.money))

    return MoneyLexicon(
        currency=of(lambda words: words.currency),
        each=of(lambda words: words.each),
        for_all=of(lambda words: words.for_all),
        scales={key_of(word): by for pack in packs for word, by in pack.money.scales.items()},
        to=of(lambda words: words.to),
        beside=of(lambda words: words.beside),
        costs=Phrases(
            (word, kind) for pack in packs for kind, words in pack.money.costs.items() for word in words
        ),
        rejected=Phrases(
            (word, why) for pack in packs for why, words in pack.money.rejected.items() for word in words
        ),
    )
