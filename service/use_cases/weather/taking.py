"""Taking weather in: first seen what it would change, then kept, and taken back whole if it was wrong.

What it would change is found by doing it and leaving it uncommitted, so that what is shown is what will be.
"""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol

from service.core.errors import Refused
from service.core.model import District
from service.core.staff import Officer
from service.core.weather_ports import (
    Batch,
    DayWeather,
    HourWeather,
    ImportWay,
    NewBatch,
    WeatherBatches,
)
from service.use_cases.alerts.ports import DistrictNames
from service.use_cases.audit import AuditEnd, note
from service.use_cases.tools import Tools
from service.use_cases.weather.figures import Span
from service.use_cases.weather.judging import JudgingWork, judge_district
from service.use_cases.weather.rows import Gathered

_FAULTY: Final = "Nothing was kept, as some lines cannot be taken: correct them and send the file again."
_NOTHING: Final = "Nothing was kept, as no line tells anything that is not known already."
_EMPTY: Final = "Nothing was kept, as there is no line below the names of the columns: add some."
_TOUCHED: Final = "Other weather has come in meanwhile: look at what this file changes now, and keep it then."
_LONGEST_NAME: Final = 80


class NothingNew(Refused):
    """All that a batch tells is known already, or something better is."""

    def __init__(self) -> None:
        """Say so."""
        super().__init__(_NOTHING)


class NoBatch(Refused):
    """There is no such import, or none of this officer's; which of them is not told."""

    def __init__(self, batch_id: int) -> None:
        """Name its number."""
        super().__init__(
            f"There is no import {batch_id} of your districts: trussline weather show lists them."
        )


class WeatherWork(JudgingWork, Protocol):
    """A unit of work, as far as weather needs it."""

    @property
    def weather_batches(self) -> WeatherBatches:
        """Batches of it."""
        ...

    @property
    def people(self) -> DistrictNames:
        """Districts."""
        ...

    @property
    def audit(self) -> AuditEnd:
        """The record of what officers did."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """A day or an hour of which something else would be known than is now; `before` is None where nothing is."""

    span: Span
    when: date | datetime
    before: DayWeather | HourWeather | None
    after: DayWeather | HourWeather


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What a batch does, or would do.

    Attributes:
        batch_id: its number, once it is kept.
        lines: how many days or hours it tells.
        changes: those that change what is known.
        dangers: how many dangers came to be open by it.
    """

    batch_id: int | None = None
    lines: int
    changes: tuple[Change, ...]
    dangers: int = 0

    @property
    def added(self) -> tuple[Change, ...]:
        """Days or hours of which nothing was known."""
        return tuple(one for one in self.changes if one.before is None)

    @property
    def replaced(self) -> tuple[Change, ...]:
        """Those of which something else was known."""
        return tuple(one for one in self.changes if one.before is not None)

    @property
    def without_effect(self) -> int:
        """How many change nothing: known already, or something better is."""
        return self.lines - len(self.changes)

    @property
    def word(self) -> str:
        """A word for all of it: who agrees to a batch brings back what they were shown."""
        return hashlib.sha256(repr(self.changes).encode()).hexdigest()


@dataclass(frozen=True, kw_only=True, slots=True)
class Sender:
    """Who sends weather, and how it came.

    Attributes:
        officer: None where no officer stands behind it.
        at: service time, as the days it tells of are.
    """

    officer: Officer | None
    way: ImportWay
    file_name: str
    at: datetime


def rehearse(work: WeatherWork, district: District, gathered: Gathered, sender: Sender) -> Outcome:
    """Return what a batch would do; whoever calls lets the unit of work go without committing.

    Raises:
        Refused: some of its lines cannot be taken, or it is not this officer's district.
    """
    if sender.officer is not None and not sender.officer.covers(district.id):
        raise Refused("That district is not yours: choose one of your own.")
    if gathered.faults:
        raise Refused(_FAULTY)
    if not gathered.days and not gathered.hours:
        raise Refused(_EMPTY)
    before = _known(work, district, gathered)
    batch_id = work.weather_batches.keep(
        NewBatch(
            district_id=district.id,
            at=sender.at,
            officer_id=sender.officer.id if sender.officer else None,
            way=sender.way,
            file_name=sender.file_name[:_LONGEST_NAME],
            days=gathered.days,
            hours=gathered.hours,
        )
    )
    after = _known(work, district, gathered)
    changes = tuple(
        Change(span=span, when=when, before=before[span].get(when), after=weather)
        for span, known in after.items()
        for when, weather in known.items()
        if before[span].get(when) != weather
    )
    return Outcome(batch_id=batch_id, lines=len(gathered.days) + len(gathered.hours), changes=changes)


def take(
    work: WeatherWork,
    tools: Tools,
    district: District,
    gathered: Gathered,
    sender: Sender,
    *,
    seen: str | None = None,
) -> Outcome:
    """Keep a batch, all of it or nothing, and judge the days ahead anew.

    `seen` is the word of what its sender was shown; None for who was shown nothing.

    Raises:
        NothingNew: it would change nothing.
        Refused: some of its lines cannot be taken, or it does something else than was shown.
    """
    outcome = rehearse(work, district, gathered, sender)
    if seen not in {None, outcome.word}:
        raise Refused(_TOUCHED)
    if not outcome.changes:
        raise NothingNew
    detail = {
        "district": district.id,
        "file": sender.file_name[:_LONGEST_NAME],
        "way": sender.way.value,
        "added": len(outcome.added),
        "replaced": len(outcome.replaced),
    }
    note(work, sender.officer, "weather.taken", f"batch:{outcome.batch_id}", detail, at=work.audit.now())
    dangers = judge_district(work, tools, district, sender.at)
    work.commit()
    return replace(outcome, dangers=dangers)


def take_back(
    work: WeatherWork, tools: Tools, officer: Officer | None, batch_id: int, *, at: datetime
) -> Batch:
    """Take a batch back, so that what it had replaced holds again; done twice it does no more.

    The days ahead are judged anew: what only this batch threatened is lifted.

    Raises:
        NoBatch: there is none of that number in the officer's districts.
    """
    batch = work.weather_batches.find(batch_id)
    if batch is None or (officer is not None and not officer.covers(batch.district_id)):
        raise NoBatch(batch_id)
    if work.weather_batches.undo(batch_id, officer.id if officer else None, at):
        note(
            work,
            officer,
            "weather.taken_back",
            f"batch:{batch_id}",
            {"file": batch.file_name},
            at=work.audit.now(),
        )
        home = next(one for one in work.people.districts() if one.id == batch.district_id)
        judge_district(work, tools, home, at)
        work.commit()
    return replace(batch, undone_at=batch.undone_at or at)


def _known(
    work: WeatherWork, district: District, gathered: Gathered
) -> Mapping[Span, Mapping[Any, DayWeather | HourWeather]]:
    """Return what is known of the days and hours that a batch tells of, those alone."""
    asked: tuple[tuple[Span, Mapping[Any, Any], Callable[..., Mapping[Any, Any]], timedelta], ...] = (
        (Span.DAY, gathered.days, work.weather.between, timedelta()),
        # The last hour is asked for too: hours are told before a moment.
        (Span.HOUR, gathered.hours, work.weather.hours, timedelta(hours=1)),
    )
    return {
        span: {
            when: weather
            for when, weather in ask(district.id, min(told), max(told) + beyond).items()
            if when in told
        }
        for span, told, ask, beyond in asked
        if told
    }
