"""Many made-up farmers, in bulk: each with a phone and a plot, planted evenly over three years."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy import Row, delete, insert, select, text, update

from service.agronomy.calendar import END
from service.clock import local_day
from service.core.model import HarvestState, ReminderState
from service.db.queries.by_plot import WAITING
from service.db.sealing import Seal
from service.db.tables.people import district, farmer, farmer_phone, phone
from service.db.tables.plots import harvest, plot, reminder, sweep
from service.db.work import Database
from service.demo_data import DISTRICTS, REGION, ZONE
from service.use_cases.planting import default_days

LANGUAGES: Final = ("sw", "en")
_BATCH: Final = 20_000
_FIRST_FRUIT: Final = 150
# A prime far from any length of a season or week, so that neighbours in the table are none in the calendar.
_STEP: Final = 7919
# The middle of the region's mobile numbers, for up to ten million phones.
_CALLED: Final = "+25562{:07d}"


def number_of(farmer_number: int) -> str:
    """Return the number of a made-up farmer's phone; the first farmer is 1."""
    return _CALLED.format(farmer_number)


def seed(database: Database, seal: Seal, farmers: int, calendar_id: str, now: datetime) -> None:
    """Fill a database with so many farmers, and let it take stock of itself."""
    with database.engine.connect() as connection:
        connection.execute(insert(district), [_district(at) for at in range(len(DISTRICTS))])
        for first in range(1, farmers + 1, _BATCH):
            numbers = range(first, min(first + _BATCH, farmers + 1))
            connection.execute(insert(phone), [_phone(number, seal, now) for number in numbers])
            connection.execute(insert(farmer), [_farmer(number, now) for number in numbers])
            connection.execute(insert(farmer_phone), [_link(number, now) for number in numbers])
            today = local_day(now, ZONE)
            connection.execute(insert(plot), [_plot(number, calendar_id, today) for number in numbers])
        connection.commit()
    if database.engine.dialect.name == "postgresql":
        # In use this happens by itself, within minutes of so many inserts.
        with database.engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
            connection.execute(text("VACUUM ANALYZE"))


def _district(at: int) -> dict[str, object]:
    name, elevation = DISTRICTS[at]
    return {"id": at + 1, "name": name, "zone": ZONE, "elevation_m": elevation}


def _phone(number: int, seal: Seal, now: datetime) -> dict[str, object]:
    e164 = number_of(number)
    return {
        "id": number,
        "sealed": seal.close(e164),
        "number_index": seal.index(e164),
        "last3": e164[-3:],
        "region": REGION,
        "added_at": now,
    }


def _farmer(number: int, now: datetime) -> dict[str, object]:
    return {
        "id": number,
        "name": f"Farmer {number}",
        "language": LANGUAGES[number % len(LANGUAGES)],
        "district_id": 1 + number % len(DISTRICTS),
        "state": "active",
        "added_at": now,
    }


def _link(number: int, now: datetime) -> dict[str, object]:
    return {"farmer_id": number, "phone_id": number, "role": "own", "preferred": True, "since": now}


def _plot(number: int, calendar_id: str, today: date) -> dict[str, object]:
    """Spread planting dates evenly over three years and text days over the week, in no order of either."""
    spread = number * _STEP
    return {
        "farmer_id": number,
        "planted_on": today - timedelta(days=spread % END),
        "precision": "exact",
        "plants": 400,
        "zone": ZONE,
        "calendar_id": calendar_id,
        "live": True,
        **default_days(today + timedelta(days=spread // END % 7)),
    }


def seed_weights(database: Database, now: datetime, days: int) -> int:
    """Let the farmers that `seed` made have told two weights a week for so many days; return how many weights.

    One farmer in five tells none, and each forgets one now and then; all by a rule, in no order of the table.
    """
    today = local_day(now, ZONE)
    found = 0
    with database.engine.connect() as connection:
        plots = connection.execute(
            select(plot.c.id, plot.c.farmer_id, plot.c.plants).where(
                plot.c.planted_on <= today - timedelta(days=_FIRST_FRUIT)
            )
        ).all()
        for first in range(0, len(plots), _BATCH // days):
            rows = [
                weight
                for one in plots[first : first + _BATCH // days]
                if one.id % 5
                for weight in _weights(one, today, days, now)
            ]
            connection.execute(insert(harvest), rows)
            found += len(rows)
        connection.commit()
    return found


def _weights(one: Row[int, int, int], today: date, days: int, now: datetime) -> Iterator[dict[str, object]]:
    weekdays = {one.id % 7, (one.id + 3) % 7}
    for back in range(days, 0, -1):
        day = today - timedelta(days=back)
        luck = one.id * _STEP + back
        if day.weekday() in weekdays and luck % 9:
            yield {
                "id": one.id * 1000 + back,
                "plot_id": one.id,
                "picked_on": day,
                # 2 to 4 g a plant and pick, in steps of 100 g, as a kitchen scale shows it.
                "grams": one.plants * (20 + luck % 21) // 1000 * 100,
                "state": HarvestState.COUNTED,
                "inbound_id": 0,
                "phone_id": one.farmer_id,
                "at": now - timedelta(days=back),
            }


def forget_sweeps(database: Database) -> None:
    """Forget that any day was planned; the reminders stay."""
    with database.engine.connect() as connection:
        connection.execute(delete(sweep))
        connection.commit()


def settle(database: Database) -> None:
    """Let all reminders have been texted or dropped, as the merge of a day leaves them."""
    with database.engine.begin() as connection:
        connection.execute(
            update(reminder).where(WAITING).values(state=ReminderState.DROPPED, why="measured")
        )
