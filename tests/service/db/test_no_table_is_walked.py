"""No statement of a usual day walks a whole table that grows for years: SQLite is asked how it finds its rows."""

import re
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

import pytest
from sqlalchemy import Connection, event

from service.core.collecting import WhyRejected
from service.use_cases.collecting.delivering import Brought, enter
from service.use_cases.collecting.expecting import expect
from service.use_cases.collecting.paying import pay, take_payment_back
from service.use_cases.weather.judging import judge_once_a_day
from service.use_cases.weather.settling import waiting
from tests.riverside import SATURDAY, TUESDAY, Riverside, until
from tests.village import Village, build_village
from tests.weather_station import Station

# Tables with a row for each text, job, weight or farmer.
GROWING: Final = frozenset(
    {
        "alert_recipient",
        "attempt",
        "consent",
        "cost",
        "danger",
        "delivery",
        "done_report",
        "estimate",
        "farmer",
        "farmer_phone",
        "harvest",
        "inbound",
        "message",
        "payment",
        "plot",
        "price",
        "question",
        "rain_report",
        "receipt",
        "reminder",
        "sale",
        "scout_report",
        "weather_day",
        "weather_hour",
        "spray",
    }
)
# Walked from end to end on purpose: partial indexes that hold little, and the plots that a day is planned for. How many
# farmers and plots there are is counted, by an index, to know when statistics are due.
SMALL: Final = frozenset(
    {
        "ix_farmer_district_id_name",
        "ix_farmer_pending",
        "ix_inbound_set_aside",
        "ix_inbound_unread",
        "ix_message_due",
        "ix_message_failed",
        "ix_message_unsettled",
        "ix_plot_farmer_id",
        "ix_plot_planning",
        "ix_question_open",
        "ix_receipt_parked",
    }
)
_WALK: Final = re.compile(r"SCAN (?P<table>\w+?)(?:_\d+)?(?: USING (?:COVERING )?INDEX (?P<index>\w+))?$")
_PLANNED: Final = re.compile(r"\s*(SELECT|INSERT|UPDATE|DELETE|WITH)")


class Watch:
    """Asks of each statement that an engine runs how its rows are found, once, and keeps the walks."""

    def __init__(self) -> None:
        self.walks: dict[str, str] = {}
        self._seen: set[str] = set()

    def look(
        self,
        _connection: Connection,
        cursor: sqlite3.Cursor,
        statement: str,
        values: Sequence[Any],
        _context: object,
        many: bool,  # noqa: FBT001 - SQLAlchemy hands it over like this
    ) -> None:
        """Look at one statement before it runs."""
        if statement in self._seen or not _PLANNED.match(statement):
            return
        self._seen.add(statement)
        steps = cursor.execute(f"EXPLAIN QUERY PLAN {statement}", values[0] if many else values).fetchall()
        for step in steps:
            walk = _WALK.match(step[3])
            if walk and walk["table"] in GROWING and walk["index"] not in SMALL:
                self.walks[" ".join(statement.split())] = step[3]


@pytest.fixture
def village(migrated_file: Path, tmp_path: Path) -> Iterator[Village]:
    """A village on SQLite, which says how it finds rows in words that stay the same."""
    file = tmp_path / "trussline.db"
    shutil.copy(migrated_file, file)
    made = build_village(f"sqlite:///{file}")
    yield made
    made.database.close()


@pytest.fixture
def watch(village: Village) -> Iterator[Watch]:
    """What is asked of the village's database from now on."""
    watching = Watch()
    event.listen(village.database.engine, "before_cursor_execute", watching.look)
    yield watching
    event.remove(village.database.engine, "before_cursor_execute", watching.look)


def test_a_walk_is_seen(village: Village, watch: Watch) -> None:
    """Planted: a question that no index answers."""
    village.rows("SELECT id FROM harvest WHERE grams = :grams", grams=500)
    village.rows("SELECT id FROM farmer WHERE id = :id", id=1)

    assert ["SELECT id FROM harvest WHERE grams = ?"] == list(watch.walks)


def test_days_and_texts_walk_no_table(village: Village, watch: Watch) -> None:
    """Ten days of ticks, and each thing that farmers text."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.pass_days(8)
    for words in (
        "jobs",
        "done 1",
        "undo",
        "harvest 12.5",
        "harvest 9 yesterday",
        "undo",
        "sprayed 7",
        "harvest 4",
        "undo",
        "sprayed",
        "9",
        "jobs",
        "undo",
        "sprayed 2",
        "total",
        "sold 12 kg 30000",
        "2",
        "cost manure 15000",
        "undo",
        "undo",
        "price",
        "my year",
        "water",
        "water can 20",
        "rain 12",
        "undo",
        "not yet",
        "ask why are the leaves yellow",
        "days",
        "pause",
        "days",
        "help",
        "language",
        "2",
        "taarifa",
        "stop",
        "start",
    ):
        phone.says(words)
    village.pass_days(2)

    assert {} == watch.walks


def test_weather_and_its_dangers_walk_no_table(village: Village, watch: Watch) -> None:
    """A forecast comes in, is judged for the plots' heights, asked for by an officer and taken back."""
    village.phone().joins(days_ago=200)
    watch.walks.clear()
    station = Station(village)
    taken = station.sends("day,tmin_c,tmax_c,rain_mm\n2026-11-26,0,19,60\n", issued_ago=timedelta(hours=1))
    with village.database.work() as work:
        there = waiting(work.dangers, [station.district.id], village.tools, village.clock.now())
        work.weather_batches.latest([station.district.id], 20)
        judge_once_a_day(work, village.tools, village.clock.now())
    station.takes_back(taken)

    assert 2 <= len(there)
    assert {} == watch.walks


def test_calling_off_what_speaks_of_picking_walks_no_table(village: Village, watch: Watch) -> None:
    """At two in the night the text of a picking day is written, and a spray takes picking out of it."""
    phone = village.phone()
    phone.joins(days_ago=200)
    village.pass_days(6)
    village.pass_hours(18)
    phone.says("sprayed 7")
    walks = dict(watch.walks)

    assert {} == walks
    assert 1 == len(village.rows("SELECT id FROM message WHERE state = 'cancelled'"))


def test_collection_days_walk_no_table(village: Village, watch: Watch) -> None:
    """Set, asked about, answered, taken back, called off and moved."""
    group = Riverside(village)
    phone = group.joins()
    watch.walks.clear()
    group.is_collected()
    until(village, SATURDAY - timedelta(days=1), 12)
    group.changes(TUESDAY)
    group.changes(TUESDAY, TUESDAY + timedelta(days=1))
    group.keeps(TUESDAY)
    until(village, SATURDAY - timedelta(days=1), 18)
    for words in ("12", "undo", "estimate 9"):
        phone.says(words)
    until(village, SATURDAY, 11)
    brought = Brought(accepted_g=9_000, rejected_g=500, reason=WhyRejected.MOULD, words="", price=2500)
    days = (SATURDAY - timedelta(days=7), SATURDAY)
    farmer, here, tools = group.farmer("Neema"), group.collection, village.tools
    with village.database.work() as work:
        enter(work, tools, group.deed, here, SATURDAY, farmer_id=farmer, brought=brought)
        lists = work.collection_lists
        owed = lists.unpaid([here], None)
        pay(work, tools, group.deed, owed)
        there = (
            lists.bringing(here, SATURDAY),
            lists.announced([here], SATURDAY, SATURDAY),
            work.days_told.asked([here], SATURDAY, SATURDAY),
            lists.owed([here], *days),
            work.days_told.came([here], *days),
        )
        (paid,) = lists.payments([here], *days)
        lists.of_farmer(farmer, 12)
        work.delivery_texts.last(here.id, SATURDAY, [farmer])
        expect(work, work.fields, tools, here, day=TUESDAY, today=SATURDAY)
        payment = work.deliveries.payment(paid.id)
        assert payment is not None
        take_payment_back(work, group.deed, payment)
    for words in ("my year", "sold 3 kg 2500 each", "2"):
        phone.says(words)
    group.amends(last_on=SATURDAY)
    until(village, TUESDAY, 12)

    assert all(there)
    assert {} == watch.walks
