"""The words of days, months and stretches of time, joined from all language packs."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from flows.reader.pack import Pack
from flows.reader.phrases import Phrases

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class TimeWords:
    """The words of time in all languages."""

    months: Phrases[int]
    weekdays: Phrases[int]
    last: Phrases[None]
    next: Phrases[None]
    about: Phrases[None]
    date_words: Phrases[None]
    ordinals: Phrases[None]
    links: Phrases[None]
    stretches: Phrases[int]
    numbered_month: Phrases[None]
    ago: Phrases[int]
    ahead_before: Phrases[None]
    days: Phrases[int]
    weeks: Phrases[int]
    months_away: Phrases[int]
    years_away: Phrases[int]
    periods: Phrases[str]
    articles: Phrases[None]


def pairs_of(packs: Sequence[Pack], table: Callable[[Pack], Mapping[str, T]]) -> Iterable[tuple[str, T]]:
    """Return the entries of one table of every pack."""
    return [item for pack in packs for item in table(pack).items()]


def _numbered(
    packs: Sequence[Pack], lists: Callable[[Pack], Sequence[Sequence[str]]], first: int
) -> Phrases[int]:
    return Phrases(
        (word, place)
        for pack in packs
        for place, words in enumerate(lists(pack), start=first)
        for word in words
    )


def time_words(packs: Sequence[Pack]) -> TimeWords:
    """Join the words of time of all packs."""

    def of(entries: Callable[[Pack], Iterable[str]]) -> Phrases[None]:
        return Phrases((entry, None) for pack in packs for entry in entries(pack))

    return TimeWords(
        months=_numbered(packs, lambda pack: pack.dates.months, 1),
        weekdays=_numbered(packs, lambda pack: pack.dates.weekdays, 0),
        last=of(lambda pack: pack.dates.last),
        next=of(lambda pack: pack.dates.next),
        about=of(lambda pack: pack.dates.about),
        date_words=of(lambda pack: pack.dates.date_words),
        ordinals=of(lambda pack: pack.dates.ordinals),
        links=of(lambda pack: pack.dates.links),
        stretches=Phrases(pairs_of(packs, lambda pack: pack.dates.stretches)),
        numbered_month=of(lambda pack: pack.dates.numbered_month),
        ago=Phrases(
            [
                *((word, -1) for pack in packs for word in pack.dates.ago),
                *((word, 1) for pack in packs for word in pack.dates.ahead),
            ]
        ),
        ahead_before=of(lambda pack: pack.dates.ahead_before),
        days=Phrases(pairs_of(packs, lambda pack: pack.dates.days)),
        weeks=Phrases(pairs_of(packs, lambda pack: pack.dates.weeks)),
        months_away=Phrases(pairs_of(packs, lambda pack: pack.dates.months_away)),
        years_away=Phrases(pairs_of(packs, lambda pack: pack.dates.years_away)),
        periods=Phrases(
            (word, period)
            for pack in packs
            for period in ("day", "week", "month", "year")
            for word in getattr(pack.dates.periods, period)
        ),
        articles=of(lambda pack: pack.numbers.articles),
    )
