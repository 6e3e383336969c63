"""The words of water in all languages, joined into tables that answer in one look-up."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from flows.reader.field_pack import WaterWords
from flows.reader.pack import Pack
from flows.reader.phrases import Phrases


@dataclass(frozen=True, kw_only=True)
class WaterLexicon:
    """See `flows.reader.field_pack.WaterWords`."""

    cans: Phrases[None]
    drips: Phrases[None]
    hours: Phrases[None]
    litres: Phrases[None]
    millimetres: Phrases[None]
    gauges: Phrases[None]


def water_lexicon(packs: Sequence[Pack]) -> WaterLexicon:
    """Join the words of water of `packs`, in order of preference."""

    def of(entries: Callable[[WaterWords], Iterable[str]]) -> Phrases[None]:
        return Phrases((entry, None) for pack in packs for entry in entries(pack.water))

    return WaterLexicon(
        cans=of(lambda words: words.can),
        drips=of(lambda words: words.drip),
        hours=of(lambda words: words.hour),
        litres=of(lambda words: words.litre),
        millimetres=of(lambda words: words.millimetre),
        gauges=of(lambda words: words.gauge),
    )
