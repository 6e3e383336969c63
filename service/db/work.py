"""A unit of work: one transaction with everything that can be asked of the database in it."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Final, Generic, TypeVar

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DBAPIError

from service.clock import Clock, RealClock
from service.core.errors import KeyFileError
from service.core.journal import Refusals
from service.db.engine import open_engine, transaction
from service.db.queries.alerts import Alerts
from service.db.queries.audit import Audit
from service.db.queries.budget import Budget
from service.db.queries.changing import Changing
from service.db.queries.claims import Claims
from service.db.queries.cohorts import Cohorts
from service.db.queries.collection_lists import CollectionLists
from service.db.queries.collections import Collections
from service.db.queries.console import Console
from service.db.queries.dangers import Dangers
from service.db.queries.days_told import DaysTold
from service.db.queries.deliveries import Deliveries
from service.db.queries.delivery_texts import DeliveryTexts
from service.db.queries.desk import Desk
from service.db.queries.doubts import Doubts
from service.db.queries.editing import Editing
from service.db.queries.ended_holds import EndedHolds
from service.db.queries.erasing import Erasing
from service.db.queries.estimates import Estimates
from service.db.queries.experiments import Experiments
from service.db.queries.fields import Fields
from service.db.queries.guards import Guards
from service.db.queries.harvests import Harvests
from service.db.queries.hooks import Hooks
from service.db.queries.inbox import Inbox
from service.db.queries.inviting import Inviting
from service.db.queries.journal import JournalRows
from service.db.queries.kept_forms import KeptForms
from service.db.queries.logins import Logins
from service.db.queries.merging import Merging
from service.db.queries.metering import Metering
from service.db.queries.money import MoneyTold
from service.db.queries.nudges import Nudges
from service.db.queries.outbox import Outbox
from service.db.queries.parts import Parts
from service.db.queries.people import People
from service.db.queries.places import Places
from service.db.queries.planning import Planning
from service.db.queries.plots import Plots
from service.db.queries.prices import Prices
from service.db.queries.questions import Questions
from service.db.queries.reached import Reached
from service.db.queries.receipts import Receipts
from service.db.queries.recipients import Recipients
from service.db.queries.reminders import Reminders
from service.db.queries.reporting import Reporting
from service.db.queries.scouting import Scouting
from service.db.queries.sprays import Sprays
from service.db.queries.staff import Staff
from service.db.queries.statistics import Statistics
from service.db.queries.stuck import Stuck
from service.db.queries.talks import Talks
from service.db.queries.vessels import VesselsTold
from service.db.queries.watering import Watering
from service.db.queries.weather import Weather, WeatherBatches
from service.db.sealing import Seal
from service.db.whole import damage
from service.use_cases.standing import Standing, standing

_T = TypeVar("_T")


class _WhenAsked(Generic[_T]):
    """Queries of a unit of work, made when it first needs them: there are many, and most units need two or three."""

    def __init__(self, make: Callable[["Work"], _T]) -> None:
        """Make them by `make`."""
        self._make = make

    def __set_name__(self, owner: type["Work"], name: str) -> None:
        """Know the name under which they are asked for."""
        self._name = name

    def __get__(self, work: "Work", owner: type["Work"]) -> _T:
        """Make them, and leave them where Python finds them before it comes here again."""
        made = self._make(work)
        vars(work)[self._name] = made
        return made


def _rows(queries: Callable[[Connection], _T]) -> _WhenAsked[_T]:
    return _WhenAsked(lambda work: queries(work._connection))  # noqa: SLF001 - a part of `Work`


def _sealed(queries: Callable[[Connection, Seal], _T]) -> _WhenAsked[_T]:
    """Let a unit of work have queries that open or close phone numbers."""
    return _WhenAsked(lambda work: queries(work._connection, work._seal))  # noqa: SLF001 - as above


def _record(work: "Work") -> Audit:
    return Audit(work._connection, work._seal, work._clock)  # noqa: SLF001 - as above


class Work:
    """What is done here is kept when `commit` is called, and undone when it is not."""

    people = _sealed(People)
    plots = _rows(Plots)
    planning = _rows(Planning)
    merging = _rows(Merging)
    nudges = _rows(Nudges)
    reminders = _rows(Reminders)
    harvests = _rows(Harvests)
    fields = _rows(Fields)
    scouting = _rows(Scouting)
    sprays = _rows(Sprays)
    ended_holds = _rows(EndedHolds)
    inbox = _rows(Inbox)
    talks = _rows(Talks)
    outbox = _rows(Outbox)
    claims = _sealed(Claims)
    receipts = _rows(Receipts)
    budget = _rows(Budget)
    parts = _rows(Parts)
    guards = _rows(Guards)
    hooks = _rows(Hooks)
    staff = _rows(Staff)
    stuck = _rows(Stuck)
    questions = _sealed(Questions)
    editing = _rows(Editing)
    changing = _rows(Changing)
    inviting = _rows(Inviting)
    logins = _sealed(Logins)
    audit = _WhenAsked(_record)
    journal = _sealed(JournalRows)
    alerts = _rows(Alerts)
    erasing = _rows(Erasing)
    desk = _rows(Desk)
    recipients = _rows(Recipients)
    reached = _rows(Reached)
    doubts = _rows(Doubts)
    places = _rows(Places)
    console = _rows(Console)
    metering = _rows(Metering)
    reporting = _rows(Reporting)
    statistics = _rows(Statistics)
    dangers = _rows(Dangers)
    vessels = _rows(VesselsTold)
    watering = _rows(Watering)
    weather = _rows(Weather)
    weather_batches = _rows(WeatherBatches)
    kept_forms = _sealed(KeptForms)
    money = _rows(MoneyTold)
    prices = _rows(Prices)
    collections = _rows(Collections)
    collection_lists = _rows(CollectionLists)
    days_told = _rows(DaysTold)
    estimates = _rows(Estimates)
    deliveries = _rows(Deliveries)
    delivery_texts = _rows(DeliveryTexts)
    cohorts = _rows(Cohorts)
    experiments = _rows(Experiments)

    def __init__(self, connection: Connection, seal: Seal, clock: Clock) -> None:
        """Work on an open transaction; `clock` tells real time, for the record."""
        self._connection, self._seal, self._clock = connection, seal, clock

    def commit(self) -> None:
        """Keep everything done since the last commit."""
        self._connection.commit()


_KEYS: Final = "keys"
_NEVER: Final = threading.Event()


class Database:
    """Opens units of work."""

    def __init__(self, url: str, seal: Seal, clock: Clock | None = None) -> None:
        """Open the database at `url`, whose phone numbers `seal` can read; the record goes by `clock`, real time."""
        self.engine: Engine = open_engine(url)
        self._seal = seal
        self._clock = clock or RealClock()

    @contextmanager
    def work(self) -> Iterator[Work]:
        """Open a unit of work that may write."""
        with transaction(self.engine) as connection:
            yield Work(connection, self._seal, self._clock)

    @contextmanager
    def look(self) -> Iterator[Work]:
        """Open a unit of work that only reads; on SQLite it waits for no writer."""
        with transaction(self.engine, reading=True) as connection:
            yield Work(connection, self._seal, self._clock)

    def give_way(self, seconds: float) -> None:
        """Between two of many transactions: leave so many seconds to those who wait to write.

        SQLite has room for one writer and no queue before it: who begins again at once keeps all others out.
        """
        if self.engine.dialect.name == "sqlite":
            _NEVER.wait(seconds)

    def hold_keys(self) -> None:
        """Keep which keys this database's numbers are sealed with, or refuse others.

        Raises:
            KeyFileError: the database belongs to other keys; with new ones nobody in it could be found or texted.
        """
        with self.work() as work:
            kept = work.staff.setting(_KEYS)
            if kept is None:
                work.staff.put_setting(_KEYS, self._seal.mark)
                work.commit()
        if kept not in {None, self._seal.mark}:
            raise KeyFileError(
                "The key file is not the one this database was made with: put that file back from your recovery sheet."
            )

    @property
    def mark(self) -> str:
        """The word that tells this database's keys from others."""
        return self._seal.mark

    def refusals(self) -> Refusals | None:
        """Return who has said stop and who was erased; None if the database is damaged or not there."""
        try:
            with self.look() as work:
                return work.journal.refusals()
        except DBAPIError:
            return None

    def standing(self) -> Standing | None:
        """Return who may do what and where; None if the database is damaged, older or not there."""
        try:
            with self.look() as work:
                return standing(work)
        except DBAPIError:
            return None

    def damage(self) -> str | None:
        """Return what is broken in this database, in a sentence; None if it is whole."""
        return damage(self.engine)

    def close(self) -> None:
        """Close all connections."""
        self.engine.dispose()
