"""The words of what fruit is picked into in all languages, joined into tables that answer in one look-up."""

from collections.abc import Sequence
from dataclasses import dataclass

from flows.reader.pack import Pack
from flows.reader.phrases import Phrases
from flows.vessels import Vessel


@dataclass(frozen=True, kw_only=True)
class VesselLexicon:
    """See `flows.reader.field_pack.VesselWords`."""

    kinds: Phrases[Vessel]
    holds: Phrases[None]
    own: Phrases[None]
    lain: Phrases[None]


def vessel_lexicon(packs: Sequence[Pack]) -> VesselLexicon:
    """Join the words of containers of `packs`, in order of preference."""
    return VesselLexicon(
        kinds=Phrases(
            (word, vessel) for pack in packs for vessel, words in pack.vessels.kinds.items() for word in words
        ),
        holds=Phrases((word, None) for pack in packs for word in pack.vessels.holds),
        own=Phrases((word, None) for pack in packs for word in pack.vessels.own),
        lain=Phrases((word, None) for pack in packs for word in pack.vessels.lain),
    )
