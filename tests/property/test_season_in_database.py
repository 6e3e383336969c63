"""The farmer's whole season through the database: planned, merged and kept, at every age of a stand.

What is decided at which age, for every rhythm and all 1,095 days, is played without a database in `test_season.py`. Here
the same decisions pass through the statements of the sweep and of the merge. A day through a database costs the same for
few farmers as for hundreds, so stands of several ages live side by side and all ages pass within months.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
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
from service.agronomy.due import PlotDays, picking_text_day, season
from service.core.kinds import CAPPED_KINDS
from service.core.phone import PhoneNumber
from service.db.migrate import migrate
from service.db.tables.outbox import message
from service.db.tables.people import farmer, farmer_phone
from service.db.tables.plots import plot, reminder
from service.db.work import Database
from service.ids import CountingIds
from service.use_cases.planting import day_columns
from service.use_cases.tools import Programme, Tools
from tests.depth import times
from tests.village import SEAL, ZONE

# The first day that is played, a Monday as every planting day here is; the planting of the youngest is 70 days off.
FIRST = date(2025, 12, 22)
BEFORE_PLANTING = 70
AFTER_END = 15
CALENDAR = load_calendar()
# No job waits longer for its text, but for the order of plants, which has two months.
LONGEST_WAIT = timedelta(days=14)
PATTERNS = [
    (text_day, frozenset(pick_days))
    for text_day in range(7)
    for count in (2, 3)
    for pick_days in combinations(range(7), count)
]
# A stride that walks through all text days and leaves out no number of picking days.
FEW = PATTERNS[::29]
# As much of them as turning points need: every text day with every picking day, and every pace.
MANY = PATTERNS[:: times(1, each=9)]
PROGRAMME = Programme(
    name="Zaruvi Berry Programme",
    region="TZ",
    zone=ZONE,
    language="sw",
    emergency_number=None,
    compost_handfuls=2,
    gateway="simulator",
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Stand:
    """One farmer's stand.

    Attributes:
        text_day, pick_days: its rhythm.
        age: how many days after planting it is on the day on which its farmer is first heard of.
        heard: that day, counted from the first that is played.
    """

    text_day: int
    pick_days: frozenset[int]
    age: int
    heard: int = 0

    @property
    def planted_on(self) -> date:
        """The day it was planted."""
        return FIRST + timedelta(days=self.heard - self.age)


def settle(database: Database, stands: Iterable[tuple[int, Stand]], place: int) -> None:
    """Let one farmer with the longest name live behind each stand, under its number."""
    now = datetime(2025, 12, 1, tzinfo=UTC)
    for number, stand in stands:
        with database.work() as work:
            phone_id = work.people.phone_for(PhoneNumber(f"+2556212{number:05d}", "TZ"), now)
            work.commit()
        with database.engine.begin() as connection:
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
                    farmer_id=number, phone_id=phone_id, role="own", preferred=True, since=now
                )
            )
            connection.execute(
                insert(plot).values(
                    farmer_id=number,
                    planted_on=stand.planted_on,
                    precision="exact",
                    plants=400,
                    zone=ZONE,
                    calendar_id=CALENDAR.id,
                    live=True,
                    **day_columns(stand.text_day, stand.pick_days),
                )
            )


def play(url: str, stands: list[Stand], days: int) -> Database:
    """Play so many days of these stands."""
    database = Database(url, SEAL)
    migrate(database.engine)
    with database.work() as work:
        work.people.add_district("Ndaliro", ZONE, 2150)
        work.commit()
        (place,) = [one.id for one in work.people.districts()]
    packs = load_packs()
    tools = Tools(
        programme=PROGRAMME,
        wording=Wording(load_catalogue()),
        packs=packs,
        offers=load_offers(packs),
        calendar=CALENDAR,
        ids=CountingIds(),
    )
    midnight = datetime(FIRST.year, FIRST.month, FIRST.day, tzinfo=UTC) - timedelta(hours=2)
    for day in range(days):
        settle(database, [(number, one) for number, one in enumerate(stands, 1) if one.heard == day], place)
        now = midnight + timedelta(days=day)
        plan_due(database, tools.calendar, now)
        merge_due(database, tools, now, chunk=len(stands))
    return database


def expected(stand: Stand, last: date) -> int:
    """Return how many reminders the definition makes for a stand, from when it is heard of to the last day."""
    plot_days = PlotDays(
        planted_on=stand.planted_on,
        text_day=stand.text_day,
        picking_text_day=picking_text_day(stand.text_day, stand.pick_days),
        prompt_days=stand.pick_days,
    )
    return sum(1 for _ in season(CALENDAR, plot_days, FIRST + timedelta(days=stand.heard), last))


def judge(database: Database, stands: list[Stand], days: int) -> None:
    """Judge how those days were lived."""
    last = FIRST + timedelta(days=days - 1)
    kept = select(
        plot.c.farmer_id,
        plot.c.planted_on,
        reminder.c.task,
        reminder.c.due_on,
        reminder.c.state,
        reminder.c.why,
    )
    with database.engine.connect() as connection:
        reminders = connection.execute(kept.join(plot, plot.c.id == reminder.c.plot_id)).all()
        texts = connection.execute(
            select(message.c.phone_id, message.c.queued_on, message.c.kind, message.c.parts)
        ).all()
    database.close()

    reasons = {one.why for one in reminders if one.state == "dropped"}
    waiting = [one for one in reminders if one.state not in {"texted", "dropped"}]
    capped = [(one.phone_id, one.queued_on) for one in texts if one.kind in CAPPED_KINDS]
    busiest = Counter(
        (phone_id, day + timedelta(days=step)) for phone_id, day in capped for step in range(7)
    ).most_common(1)

    # Who is played to the end of the stand waits for nothing.
    assert [] == [one for one in waiting if one.planted_on + timedelta(days=END) < last]
    assert [] == [one for one in waiting if one.due_on + LONGEST_WAIT < last and one.task != "order_plants"]
    assert reasons <= {Reason.ASKED_LATELY.value, Reason.ANSWERED.value}
    assert {one.parts for one in texts} == {1}
    assert Counter(capped).most_common(1)[0][1] == 1
    assert busiest[0][1] <= 3
    made = Counter(one.farmer_id for one in reminders)
    assert {number: expected(stand, last) for number, stand in enumerate(stands, 1)} == made


@pytest.mark.slow
def test_a_season_of_some_rhythms_loses_nothing(database_url: str) -> None:
    """Each due reminder is texted, or dropped because it was asked lately; never for the cap or for waiting.

    For each rhythm eight stands, twenty weeks apart, together live through every age from before planting to after the
    end. Each begins sixty days before the younger one leaves off: longer than a text can count for a later one, but for
    the recount's.
    """
    apart, overlap = 140, 60
    ages = range(-BEFORE_PLANTING, END - overlap, apart)
    stands = [Stand(text_day=text, pick_days=picks, age=age) for age in ages for text, picks in FEW]
    days = apart + overlap

    assert ages[-1] + days == END + AFTER_END
    judge(play(database_url, stands, days), stands, days)


@pytest.mark.slow
def test_rhythms_are_taken_up_and_end_and_lose_nothing(tmp_path: Path) -> None:
    """The same for many pairs of text day and picking days, two or three a week, where the rhythm turns.

    It turns at planting, when the weekly jobs move to a picking day, when picking begins, and at the end
    (`service/agronomy/rhythm.py`). So each rhythm is played from before planting to eight weeks into picking, in which
    each pace of seven, fourteen and thirty days is met, and once more through the last five weeks. In between, nothing
    turns: there some rhythms are played above, and every one without a database. What is decided does not depend on the
    engine, so this run is on one of them.
    """
    picking, last_weeks = CALENDAR.picking_from + 56, 35
    days = BEFORE_PLANTING + picking
    heard = days - last_weeks - AFTER_END
    stands = [
        Stand(text_day=text, pick_days=picks, age=age, heard=since)
        for age, since in ((-BEFORE_PLANTING, 0), (END - last_weeks, heard))
        for text, picks in MANY
    ]

    judge(play(f"sqlite:///{tmp_path / 'season.db'}", stands, days), stands, days)
