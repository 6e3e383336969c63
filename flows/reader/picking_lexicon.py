"""The words beside a picking that tell whose or what a number is, joined from all language packs."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from flows.reader.pack import Pack
from flows.reader.phrases import Phrases


@dataclass(frozen=True, kw_only=True)
class PickingLexicon:
    """Words of people, and of what makes a number something else than kilos of our fruit."""

    people: Phrases[None]
    counted_before: Phrases[None]
    counted_behind: Phrases[None]
    each: Phrases[None]


def picking_lexicon(packs: Sequence[Pack]) -> PickingLexicon:
    """Join the words of all packs."""

    def of(entries: Callable[[Pack], Iterable[str]]) -> Phrases[None]:
        return Phrases((entry, None) for pack in packs for entry in entries(pack))

    return PickingLexicon(
        people=of(lambda pack: pack.picking.people),
        counted_before=of(lambda pack: pack.picking.counted_before),
        counted_behind=of(lambda pack: pack.picking.counted_behind),
        each=of(lambda pack: pack.picking.each),
    )
