"""Planning: once for each local day, which plots have which task due.

A day is planned inverted. The calendar says which planting dates are due for each task, and one statement
turns those ranges into reminders by seeking them in an index of plots. Walking plots one by one would say the
same (a property test holds the two together), only far more slowly.

`plan_due` may be called at any moment and as often as one likes: what is planned is not planned again. After an
outage it plans the days that were missed; the merge then writes at most one text from all of them.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final

from service.agronomy.calendar import Calendar
from service.agronomy.due import Span, spans
from service.clock import local_day
from service.db.queries.planning import EARLY, KIND
from service.db.work import Database
from service.use_cases.collecting.following import ask_for_changed, follow
from service.use_cases.planting import longest_useful_of

# Rows in one transaction: a larger one slows SQLite more than it saves.
CHUNK: Final = 20_000
_WEEK: Final = timedelta(days=7)
# Seconds between two transactions; a day has few of them.
_GIVES_WAY: Final = 0.005


def plan_due(database: Database, calendar: Calendar, now: datetime, *, chunk: int = CHUNK) -> int:
    """Plan every local day that has begun and is not planned yet; return how many reminders that made."""
    with database.look() as work:
        zones = work.planning.zones()
    return sum(
        _plan_zone(database, calendar, zone, now, chunk) for zone, owner in zones if owner == calendar.id
    )


def _plan_zone(database: Database, calendar: Calendar, zone: str, now: datetime, chunk: int) -> int:
    today = local_day(now, zone)
    with database.look() as work:
        last = work.planning.last_day(zone, calendar.id)
    return sum(
        plan_day(database, calendar, zone, day, now, chunk=chunk) for day in _missing(calendar, last, today)
    )


def _missing(calendar: Calendar, last: date | None, today: date) -> Iterator[date]:
    """Name the days to plan: none twice, and none so old that nothing due on it is still of use."""
    oldest = today - timedelta(days=longest_useful_of(calendar))
    day = today if last is None else max(last + timedelta(days=1), oldest)
    while day <= today:
        yield day
        day += timedelta(days=1)


def plan_day(
    database: Database, calendar: Calendar, zone: str, day: date, now: datetime, *, chunk: int = CHUNK
) -> int:
    """Plan one local day of a zone, in transactions of about `chunk` rows; return how many reminders are new.

    A process that dies in between leaves whole chunks; planning again adds what is missing.
    """
    made = 0
    with database.work() as work:
        work.plots.prompt_again(zone, day - _WEEK)
        follow(work, zone, day)
        work.commit()
    for part in _transactions(database, calendar, zone, day, chunk):
        with database.work() as work:
            made += work.planning.insert_due(day, zone, calendar.id, part)
            work.commit()
        database.give_way(_GIVES_WAY)
    with database.work() as work:
        ask_for_changed(work, calendar, zone, day)
        work.planning.mark_planned(zone, calendar.id, day, made, now)
        work.commit()
    return made


def _transactions(
    database: Database, calendar: Calendar, zone: str, day: date, most: int
) -> Iterator[list[Span]]:
    """Cut a day's spans so that a transaction makes at most `most` reminders, by what the index holds."""
    with database.look() as work:
        counts = work.planning.counts(zone, calendar.id, day)
    planted = sorted(counts)
    part: list[Span] = []
    size = 0
    for span in spans(calendar, day):
        for piece, plots in _pieces(span, planted, counts, most):
            if part and size + plots > most:
                yield part
                part, size = [], 0
            part.append(piece)
            size += plots
    if part:
        yield part


def _pieces(
    span: Span, planted: Sequence[date], counts: Mapping[date, Sequence[Mapping[str, int]]], most: int
) -> Iterator[tuple[Span, int]]:
    """Cut one span between planting dates where it is too large by itself; leave out dates without plots."""
    days = planted[bisect_left(planted, span.planted_from) : bisect_right(planted, span.planted_to)]
    start, size = 0, 0
    for at, day in enumerate(days):
        plots = plots_due(counts[day], span)
        if size and size + plots > most:
            yield replace(span, planted_from=days[start], planted_to=days[at - 1]), size
            start, size = at, 0
        size += plots
    if size:
        yield replace(span, planted_from=days[start], planted_to=days[-1]), size


def plots_due(kinds: Sequence[Mapping[str, int]], span: Span) -> int:
    """Return how many plots of one planting date a span makes due, of what `Planning.counts` found for it."""
    column = EARLY if span.early_only else span.rides
    return sum(kind[column] for kind in kinds if not kind[KIND] & span.barred)
