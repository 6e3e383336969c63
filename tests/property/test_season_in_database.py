"""The farmer's whole season through the database: planned, merged and kept for 1,095 days, on both engines."""

from collections import Counter
from datetime import UTC, datetime, timedelta
from itertools import combinations
from pathlib import Path

import pytest
from sqlalchemy import insert, select

from flows.catalogue import load_catalogue
from flows.offers import load_offers
from flows.reader import load_packs
from flows.wording import Wording
from scheduler.compose import Reason
from scheduler.merge import merge_due
from scheduler.sweep import plan_due
from service.agronomy.calendar import END, load_calendar
from service.core.kinds import CAPPED_KINDS
from service.core.phone import PhoneNumber
from service.db.migrate import migrate
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, farmer_phone
from service.db.tables.plots import plot, reminder
from service.db.work import Database
from service.ids import CountingIds
from service.use_cases.planting import day_columns
from service.use_cases.tools import Programme, Tools
from tests.village import SEAL, ZONE

PLANTED = datetime(2026, 3, 2, tzinfo=UTC).date()
PATTERNS = [
    (text_day, frozenset(pick_days))
    for text_day in range(7)
    for count in (2, 3)
    for pick_days in combinations(range(7), count)
]
# Every seventh pattern and a stride that walks through all text days: what the quick run plays.
FEW = PATTERNS[::29]
PROGRAMME = Programme(
    name="Zaruvi Berry Programme",
    region="TZ",
    zone=ZONE,
    language="sw",
    emergency_number=None,
    compost_handfuls=2,
    gateway="simulator",
)


def settle(database: Database, patterns: list[tuple[int, frozenset[int]]]) -> None:
    """Let one farmer with the longest name live behind each pattern, all planted on the same day."""
    now = datetime(2026, 3, 1, tzinfo=UTC)
    with database.work() as work:
        work.people.add_district("Ndaliro", ZONE, 2150)
        phones = [
            work.people.phone_for(PhoneNumber(f"+25562123{number:04d}", "TZ"), now)
            for number, _ in enumerate(patterns)
        ]
        work.commit()
    with database.engine.begin() as connection:
        place = connection.execute(select(district.c.id)).scalar_one()
        for number, (text_day, pick_days) in enumerate(patterns, start=1):
            connection.execute(
                insert(farmer).values(
                    id=number,
                    name="Mwanakombowa",
                    language="sw" if number % 2 else "en",
                    district_id=place,
                    state="active",
                    added_at=now,
                )
            )
            connection.execute(
                insert(farmer_phone).values(
                    farmer_id=number, phone_id=phones[number - 1], role="own", preferred=True, since=now
                )
            )
            connection.execute(
                insert(plot).values(
                    farmer_id=number,
                    planted_on=PLANTED,
                    precision="exact",
                    plants=400,
                    zone=ZONE,
                    calendar_id=load_calendar().id,
                    live=True,
                    **day_columns(text_day, pick_days),
                )
            )


def play(url: str, patterns: list[tuple[int, frozenset[int]]]) -> None:
    """Play the season and judge it."""
    database = Database(url, SEAL)
    migrate(database.engine)
    settle(database, patterns)
    packs = load_packs()
    tools = Tools(
        programme=PROGRAMME,
        wording=Wording(load_catalogue()),
        packs=packs,
        offers=load_offers(packs),
        calendar=load_calendar(),
        ids=CountingIds(),
    )
    midnight = datetime(PLANTED.year, PLANTED.month, PLANTED.day, tzinfo=UTC) - timedelta(hours=2)
    for age in range(-70, END + 15):
        now = midnight + timedelta(days=age)
        plan_due(database, tools.calendar, now)
        merge_due(database, tools, now, chunk=len(patterns))
    with database.engine.connect() as connection:
        states = Counter(map(tuple, connection.execute(select(reminder.c.state, reminder.c.why))))
        texts = connection.execute(
            select(message.c.phone_id, message.c.queued_on, message.c.kind, message.c.parts)
        ).all()
    database.close()

    ends = {state for state, _ in states}
    reasons = {why for state, why in states if state == "dropped"}
    capped = [(one.phone_id, one.queued_on) for one in texts if one.kind in CAPPED_KINDS]
    busiest = Counter(
        (phone_id, day + timedelta(days=step)) for phone_id, day in capped for step in range(7)
    ).most_common(1)

    assert ends <= {"texted", "dropped"}
    assert reasons <= {Reason.ASKED_LATELY.value, Reason.ANSWERED.value}
    assert {one.parts for one in texts} == {1}
    assert Counter(capped).most_common(1)[0][1] == 1
    assert busiest[0][1] <= 3
    assert sum(states.values()) > 700 * len(patterns)


@pytest.mark.slow
def test_a_season_of_some_rhythms_loses_nothing(database_url: str) -> None:
    """Each due reminder is texted, or dropped because it was asked lately; never for the cap or for waiting."""
    play(database_url, FEW)


@pytest.mark.slow
def test_a_season_of_every_rhythm_loses_nothing(tmp_path: Path) -> None:
    """The same for every pair of text day and picking days, two or three a week.

    What is decided does not depend on the engine, so the long run is on one of them.
    """
    play(f"sqlite:///{tmp_path / 'season.db'}", PATTERNS)
