"""Planning: once for each local day, which plots have which task due.

A day is planned inverted. The calendar says which planting dates are due for each task, and one statement a chunk
turns those ranges into reminders by seeking them in an index of plots. Walking plots one by one would say the same
(a property test holds the two together) a hundred times slower.

`plan_due` may be called at any moment and as often as one likes: what is planned is not planned again. After an
outage it plans the days that were missed; the merge then writes at most one text from all of them.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Final

from service.agronomy.calendar import Calendar
from service.agronomy.due import DayColumn, Span, spans
from service.clock import local_day
from service.db.work import Database
from service.use_cases.planting import longest_useful_of

# Rows in one transaction: a larger one slows SQLite more than it saves.
CHUNK: Final = 20_000
_WEEK: Final = timedelta(days=7)


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
    due = sorted(spans(calendar, day), key=_shape)
    for _, same in groupby(due, key=_shape):
        group = tuple(same)
        with database.look() as work:
            counts = work.planning.counts(zone, calendar.id, group[0].rides, group[0].weekday)
        for part in _chunks(group, counts, chunk):
            with database.work() as work:
                made += work.planning.insert_due(day, zone, calendar.id, part)
                work.commit()
    with database.work() as work:
        work.plots.prompt_again(zone, day - _WEEK)
        work.planning.mark_planned(zone, calendar.id, day, made, now)
        work.commit()
    return made


def _shape(span: Span) -> tuple[DayColumn, bool]:
    """Spans of one shape go into one statement."""
    return span.rides, span.early_only


def _chunks(group: Iterable[Span], counts: Counter[date], most: int) -> Iterator[tuple[Span, ...]]:
    """Cut spans so that each chunk makes at most `most` reminders, by what the index says is there."""
    chunk: list[Span] = []
    size = 0
    for span in group:
        for piece, plots in _pieces(span, counts, most):
            if chunk and size + plots > most:
                yield tuple(chunk)
                chunk, size = [], 0
            chunk.append(piece)
            size += plots
    if chunk:
        yield tuple(chunk)


def _pieces(span: Span, counts: Counter[date], most: int) -> Iterator[tuple[Span, int]]:
    """Cut one span between planting dates where it is too large by itself; leave out dates without plots."""
    planted = sorted(day for day in counts if span.planted_from <= day <= span.planted_to)
    start, size = 0, 0
    for at, day in enumerate(planted):
        if size and size + counts[day] > most:
            yield replace(span, planted_from=planted[start], planted_to=planted[at - 1]), size
            start, size = at, 0
        size += counts[day]
    if size:
        yield replace(span, planted_from=planted[start], planted_to=planted[-1]), size
