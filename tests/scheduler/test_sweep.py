"""Planning a day: the set-based sweep against the plain definition, once per local day in every zone."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice, pairwise
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, insert, select

from scheduler.preview import count_day
from scheduler.sweep import CHUNK, _transactions, plan_day, plan_due, plots_due
from service.agronomy.calendar import Calendar, load_calendar
from service.agronomy.due import is_due
from service.agronomy.traits import PlotTraits, every_kind
from service.db.migrate import migrate
from service.db.tables.people import district, farmer
from service.db.tables.plots import plot, reminder, sweep
from service.db.work import Database
from service.use_cases.planting import day_columns, plot_days
from tests.by_plot import ENTRIES, columns_of, written
from tests.depth import times
from tests.village import SEAL, ZONE

CALENDAR = load_calendar()
NOON = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
TODAY = date(2026, 11, 25)


def open_database(url: str) -> Database:
    """Make a database with one district and one farmer to hang plots on."""
    database = Database(url, SEAL)
    migrate(database.engine)
    with database.engine.begin() as connection:
        connection.execute(insert(district).values(id=1, name="Zaruvi", zone=ZONE))
        connection.execute(
            insert(farmer).values(
                id=1, name="Asha", language="sw", district_id=1, state="active", added_at=NOON
            )
        )
    return database


def add_plot(database: Database, **columns: object) -> None:
    """Add a plot; what is not said is usual."""
    days = day_columns(2, frozenset({2, 5}))
    usual = {
        "farmer_id": 1,
        "planted_on": TODAY - timedelta(days=60),
        "precision": "exact",
        "plants": 400,
        "zone": ZONE,
        "calendar_id": CALENDAR.id,
        "live": True,
    }
    with database.engine.begin() as connection:
        connection.execute(insert(plot).values({**usual, **days, **columns}))


def planned(database: Database) -> set[tuple[date, str, int, int, int]]:
    """Return all reminders as (day, task, plot, revision, ordinal)."""
    columns = (
        reminder.c.due_on,
        reminder.c.task,
        reminder.c.plot_id,
        reminder.c.revision,
        reminder.c.ordinal,
    )
    with database.engine.connect() as connection:
        return {
            (day, task, plot_id, revision, ordinal)
            for day, task, plot_id, revision, ordinal in connection.execute(select(*columns))
        }


def by_definition(
    database: Database, days: list[date], calendar: Calendar = CALENDAR
) -> set[tuple[date, str, int, int, int]]:
    """Return what is due by asking the definition for each plot, task and day: the oracle."""
    with database.look() as work:
        plots = [one for one in work.plots.of_farmer(1) if one.live]
    found = set()
    for one in plots:
        for task in calendar.tasks:
            for day in days:
                ordinal = is_due(calendar, task, plot_days(one), day)
                if ordinal is not None:
                    found.add((day, task.id, one.id, one.revision, ordinal))
    return found


@dataclass(frozen=True, kw_only=True)
class Stand:
    """One plot as hypothesis draws it."""

    age: int
    text_day: int
    pick_days: frozenset[int]
    picking_early: bool
    live: bool
    revision: int
    traits: PlotTraits


stands = st.builds(
    Stand,
    age=st.integers(-70, 1110),
    text_day=st.integers(0, 6),
    pick_days=st.frozensets(st.integers(0, 6), min_size=1, max_size=3),
    picking_early=st.booleans(),
    live=st.sampled_from([True, True, True, False]),
    revision=st.integers(0, 3),
    traits=st.sampled_from(tuple(every_kind())),
)


@pytest.fixture(scope="module", params=[{}, ENTRIES], ids=["shipped", "by plot"])
def calendar(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Calendar:
    """The calendar that is shipped, and one in which plots have jobs of their own."""
    return load_calendar(written(tmp_path_factory.mktemp("calendar") / "own.toml", request.param))


@settings(
    max_examples=times(25, each=8), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    grown=st.lists(stands, min_size=1, max_size=25),
    ahead=st.integers(0, 6),
    chunk=st.sampled_from([1, 7, CHUNK]),
)
def test_the_sweep_agrees_with_the_definition(
    plain_database: Database, calendar: Calendar, grown: list[Stand], ahead: int, chunk: int
) -> None:
    """Whatever stands in the ground and however small the chunks: the sweep plans what the definition says."""
    day = TODAY + timedelta(days=ahead)
    with plain_database.engine.begin() as connection:
        for table in (reminder, sweep, plot):
            connection.execute(delete(table))
    for stand in grown:
        add_plot(
            plain_database,
            planted_on=day - timedelta(days=stand.age),
            live=stand.live,
            revision=stand.revision,
            picking_early=stand.picking_early,
            **day_columns(stand.text_day, stand.pick_days),
            **columns_of(stand.traits),
        )

    made = plan_day(plain_database, calendar, ZONE, day, NOON, chunk=chunk)

    expected = by_definition(plain_database, [day], calendar)
    assert expected == planned(plain_database)
    assert len(expected) == made
    assert count_day(plain_database, calendar, ZONE, day) == Counter(task for _, task, *_ in expected)


@pytest.fixture
def plain_database(database_url: str) -> Iterator[Database]:
    """A database with one farmer, for plots of every kind."""
    database = open_database(database_url)
    yield database
    database.close()


@pytest.mark.parametrize("chunk", [1, 2, 3, 5, 6, 100])
def test_a_span_too_large_for_a_transaction_is_cut_between_planting_dates(
    plain_database: Database, chunk: int
) -> None:
    """No transaction holds more than its chunk, unless one planting date alone does, and no plot is lost."""
    for age, plots in ((57, 1), (58, 2), (59, 1), (60, 3), (61, 1)):
        for _ in range(plots):
            add_plot(plain_database, planted_on=TODAY - timedelta(days=age))
    parts = list(_transactions(plain_database, CALENDAR, ZONE, TODAY, chunk))
    with plain_database.look() as work:
        counts = work.planning.counts(ZONE, CALENDAR.id, TODAY)

    made = plan_day(plain_database, CALENDAR, ZONE, TODAY, NOON, chunk=chunk)

    sizes = [
        sum(
            plots_due(counts[day], span)
            for span in part
            for day in counts
            if span.planted_from <= day <= span.planted_to
        )
        for part in parts
    ]
    assert by_definition(plain_database, [TODAY]) == planned(plain_database)
    assert len(planned(plain_database)) == made == sum(sizes)
    assert max(sizes) <= max(chunk, 3)
    assert all(first + second > chunk for first, second in pairwise(sizes))


def test_a_planned_day_is_not_planned_again(plain_database: Database) -> None:
    """A second call the same day finds nothing to do, and planning the day by force adds no row."""
    add_plot(plain_database)

    first = plan_due(plain_database, CALENDAR, NOON)
    again = plan_due(plain_database, CALENDAR, NOON + timedelta(hours=3))
    forced = plan_day(plain_database, CALENDAR, ZONE, TODAY, NOON)

    assert (first, again, forced) == (len(planned(plain_database)), 0, 0)
    assert first > 0


def test_missed_days_are_planned_after_an_outage(plain_database: Database) -> None:
    """Three days without a worker: each of those days is planned, as the definition says."""
    add_plot(plain_database, planted_on=TODAY - timedelta(days=200))
    plan_due(plain_database, CALENDAR, NOON)

    plan_due(plain_database, CALENDAR, NOON + timedelta(days=4))

    days = [TODAY + timedelta(days=step) for step in range(5)]
    assert by_definition(plain_database, days) == planned(plain_database)


def test_nothing_is_planned_that_no_day_can_use(plain_database: Database) -> None:
    """After a year without a worker only the days are planned whose reminders may still be texted."""
    add_plot(plain_database)
    plan_due(plain_database, CALENDAR, NOON)

    plan_due(plain_database, CALENDAR, NOON + timedelta(days=365))

    with plain_database.engine.connect() as connection:
        days = sorted(connection.execute(select(sweep.c.day)).scalars())
    longest = max(task.useful for task in CALENDAR.tasks)
    assert TODAY + timedelta(days=365 - longest) == days[1]
    assert TODAY + timedelta(days=365) == days[-1]


def test_a_new_planner_begins_today(plain_database: Database) -> None:
    """The first plan of a zone holds today only: a stand planted long ago brings no backlog."""
    add_plot(plain_database, planted_on=TODAY - timedelta(days=900))

    plan_due(plain_database, CALENDAR, NOON)

    assert {TODAY} == {day for day, *_ in planned(plain_database)}


@pytest.mark.slow
def test_every_local_day_is_planned_once_in_every_zone(tmp_path: Path) -> None:
    """The IANA time zone database, all zones over two years of half-hourly ticks: no local day missed or doubled.

    Zones whose clocks never change within the two years stand for each other by their offset.
    """
    start = datetime(2026, 1, 1, tzinfo=UTC)
    ticks = [start + timedelta(minutes=30 * step) for step in range(2 * 366 * 48)]
    seen: set[tuple[object, ...]] = set()
    for name in sorted(available_timezones() - {"localtime"}):
        zone = ZoneInfo(name)
        offsets = tuple((start + timedelta(days=step)).astimezone(zone).utcoffset() for step in range(733))
        if offsets in seen:
            continue
        seen.add(offsets)
        days = [tick.astimezone(zone).date() for tick in ticks]
        changes = [
            later for earlier, later in zip(days, islice(days, 1, None), strict=False) if later != earlier
        ]
        expected = [days[0] + timedelta(days=step) for step in range(1, len(changes) + 1)]
        assert expected == changes, name


@pytest.mark.slow
@pytest.mark.parametrize(
    "zone",
    [
        "Africa/Dar_es_Salaam",
        "Africa/Cairo",
        "America/Santiago",
        "Asia/Kathmandu",
        "Pacific/Apia",
        "Australia/Lord_Howe",
    ],
)
def test_a_year_of_ticks_plans_each_day_once(tmp_path: Path, zone: str) -> None:
    """Ticks at odd minutes through a year: one sweep a local day, also where midnight is skipped or repeated."""
    database = open_database(f"sqlite:///{tmp_path / 'trussline.db'}")
    add_plot(database, zone=zone, planted_on=date(2026, 1, 1))
    tick = datetime(2026, 1, 1, 0, 7, tzinfo=UTC)
    end = datetime(2027, 1, 1, tzinfo=UTC)
    first = tick.astimezone(ZoneInfo(zone)).date()
    while tick < end:
        plan_due(database, CALENDAR, tick)
        tick += timedelta(hours=11, minutes=13)

    with database.engine.connect() as connection:
        days = list(connection.execute(select(sweep.c.day).order_by(sweep.c.day)).scalars())
    database.close()

    assert [first + timedelta(days=step) for step in range(len(days))] == days
    assert len(days) >= 364


@pytest.mark.parametrize(("hour", "minute", "day"), [(20, 30, 25), (21, 30, 26)], ids=["23:30", "00:30"])
def test_the_local_day_counts_not_the_utc_day(
    plain_database: Database, hour: int, minute: int, day: int
) -> None:
    """At half past eleven in the night in the village it is still today, an hour later it is tomorrow."""
    add_plot(plain_database)

    plan_due(plain_database, CALENDAR, datetime(2026, 11, 25, hour, minute, tzinfo=UTC))

    with plain_database.engine.connect() as connection:
        assert [date(2026, 11, day)] == list(connection.execute(select(sweep.c.day)).scalars())
