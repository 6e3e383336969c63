from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo, available_timezones

import pytest
from freezegun import freeze_time

from service.clock import HandClock, RealClock, ShiftedClock, local_day, local_instant

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def test_real_time_is_the_machines_in_utc() -> None:
    """Aware, in UTC, whatever the machine's own zone."""
    with freeze_time(NOON):
        assert NOON == RealClock().now()
        assert UTC is RealClock().now().tzinfo


def test_a_shifted_clock_asks_for_its_offset_each_time() -> None:
    """All processes that share the offset move together, the moment it is moved."""
    offsets = [timedelta(), timedelta(hours=30)]
    clock = ShiftedClock(HandClock(NOON), lambda: offsets.pop(0))

    assert [NOON, NOON + timedelta(hours=30)] == [clock.now(), clock.now()]


def test_a_clock_moved_by_hand_stays_where_it_is_put() -> None:
    """In UTC, whatever zone it was given."""
    clock = HandClock(datetime(2026, 11, 25, 15, 0, tzinfo=ZoneInfo("Africa/Dar_es_Salaam")))
    began = clock.now()
    moved = clock.advance(timedelta(minutes=5))
    clock.set(datetime(2026, 11, 26, 3, 0, tzinfo=ZoneInfo("Africa/Dar_es_Salaam")))

    assert (NOON, NOON + timedelta(minutes=5)) == (began, moved)
    assert datetime(2026, 11, 26, 0, 0, tzinfo=UTC) == clock.now()


@pytest.mark.parametrize(
    ("instant", "zone", "expected"),
    [
        (datetime(2026, 11, 25, 20, 30, tzinfo=UTC), "Africa/Dar_es_Salaam", date(2026, 11, 25)),
        (datetime(2026, 11, 25, 21, 30, tzinfo=UTC), "Africa/Dar_es_Salaam", date(2026, 11, 26)),
        (datetime(2026, 11, 25, 11, 0, tzinfo=UTC), "Pacific/Kiritimati", date(2026, 11, 26)),
        (datetime(2026, 11, 25, 11, 0, tzinfo=UTC), "Pacific/Pago_Pago", date(2026, 11, 25)),
    ],
    ids=["half past eleven", "half past midnight", "UTC+14", "UTC-11"],
)
def test_the_day_is_the_farmers_day(instant: datetime, zone: str, expected: date) -> None:
    """A text at half past midnight belongs to the new day where the farmer is, whatever UTC says."""
    assert expected == local_day(instant, zone)


def changed_days(zone: ZoneInfo) -> Iterator[tuple[date, timedelta]]:
    """Name the days of two years on which a zone's clock is changed, and by how much."""
    noons = [datetime(2026, 1, 1, 12, tzinfo=UTC) + timedelta(days=day) for day in range(731)]
    for before, after in pairwise(noons):
        change = (after.astimezone(zone).utcoffset() or timedelta()) - (
            before.astimezone(zone).utcoffset() or timedelta()
        )
        if change:
            yield after.astimezone(zone).date(), change


def test_every_hour_of_every_changed_day_is_found_in_every_zone() -> None:
    """On each day on which a zone's clock is changed (IANA tzdata): the hour, or as deep behind the gap."""
    gaps = 0
    for name in available_timezones():
        zone = ZoneInfo(name)
        for day, change in changed_days(zone):
            for hour in range(24):
                wanted = datetime.combine(day, time(hour))
                found = local_instant(day, hour, name).astimezone(zone).replace(tzinfo=None)
                if found != wanted:
                    gaps += 1
                    assert (found - wanted, found.date()) == (change, day), (name, wanted)

    assert gaps > 100


def test_midnight_that_does_not_exist_is_the_gaps_end() -> None:
    """Beirut turns from 00:00 to 01:00 on 28 March 2027 (IANA tzdata)."""
    instant = local_instant(date(2027, 3, 28), 0, "Asia/Beirut")

    assert datetime(2027, 3, 27, 22, 0, tzinfo=UTC) == instant
    assert time(1) == instant.astimezone(ZoneInfo("Asia/Beirut")).time()


def test_an_hour_that_comes_twice_is_the_first() -> None:
    """Paris has two o'clock twice on 31 October 2027 (IANA tzdata): the one in summer time is meant."""
    assert datetime(2027, 10, 31, 0, 0, tzinfo=UTC) == local_instant(date(2027, 10, 31), 2, "Europe/Paris")
