"""What is known of a district's weather: which of several figures holds, and what taking a batch back leaves."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final

import pytest
from sqlalchemy.exc import IntegrityError

from service.core.weather_ports import DayWeather, HourWeather, ImportWay, NewBatch
from service.db.sealing import Seal
from service.db.work import Database

NOW: Final = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
TODAY: Final = date(2026, 11, 28)
EARLY: Final = NOW - timedelta(days=1)


@pytest.fixture
def store(migrated_url: str) -> Iterator[Database]:
    """A store with two districts."""
    made = Database(migrated_url, Seal(sealing_key=b"s" * 32, index_key=b"i" * 32))
    with made.work() as work:
        work.people.add_district("Ketumali", "Africa/Dar_es_Salaam", 1900)
        work.people.add_district("Ndaliro", "Africa/Dar_es_Salaam", 2100)
        work.commit()
    yield made
    made.close()


def district_of(store: Database, name: str = "Ketumali") -> int:
    """Return a district's id."""
    with store.look() as work:
        return next(one.id for one in work.people.districts() if one.name == name)


def keep(
    store: Database,
    *days: tuple[date, DayWeather],
    hours: tuple[tuple[datetime, HourWeather], ...] = (),
    district: str = "Ketumali",
) -> int:
    """Keep a batch; return its number."""
    new = NewBatch(
        district_id=district_of(store, district),
        at=NOW,
        officer_id=None,
        way=ImportWay.COMMAND,
        file_name="week.csv",
        days=dict(days),
        hours=dict(hours),
    )
    with store.work() as work:
        number = work.weather_batches.keep(new)
        work.commit()
    return number


def measured(**figures: Any) -> tuple[date, DayWeather]:  # noqa: ANN401 - figures of a day
    """Today as it was measured."""
    return TODAY, DayWeather(observed=True, **figures)


def forecast(issued_at: datetime, **figures: Any) -> tuple[date, DayWeather]:  # noqa: ANN401 - figures of a day
    """Today as it was forecast."""
    return TODAY, DayWeather(observed=False, issued_at=issued_at, **figures)


def today(store: Database) -> DayWeather | None:
    """Return what is known of today in Ketumali."""
    with store.look() as work:
        return work.weather.between(district_of(store), TODAY, TODAY).get(TODAY)


def test_a_day_is_what_was_kept(store: Database) -> None:
    """Every figure comes back as it went in, to the tenth of its unit; a missing one stays missing."""
    whole: dict[str, Any] = {
        "tmin_c": -1.4,
        "tmax_c": 24.3,
        "rain_mm": 12.7,
        "wind_m_s": 1.9,
        "ea_kpa": 1.23,
        "humidity_percent": 81.5,
        "radiation_mj_m2": 18.2,
    }
    keep(store, measured(**whole), (TODAY + timedelta(days=1), DayWeather(observed=True, rain_mm=0)))

    with store.look() as work:
        known = work.weather.between(district_of(store), TODAY - timedelta(days=9), TODAY + timedelta(days=9))
        elsewhere = work.weather.between(district_of(store, "Ndaliro"), TODAY, TODAY)
    assert [TODAY, TODAY + timedelta(days=1)] == list(known)
    assert DayWeather(observed=True, **whole) == known[TODAY]
    assert DayWeather(observed=True, rain_mm=0) == known[TODAY + timedelta(days=1)]
    assert {} == elsewhere


def test_the_newest_forecast_holds_whenever_it_came(store: Database) -> None:
    """A file that lay about and comes in late takes no place of a newer one."""
    keep(store, forecast(NOW, tmin_c=1.4))
    keep(store, forecast(EARLY, tmin_c=3.0))

    assert DayWeather(observed=False, issued_at=NOW, tmin_c=1.4) == today(store)


def test_what_was_measured_holds_before_what_was_forecast(store: Database) -> None:
    """Whatever came first; and of two measurements the one that came in last."""
    keep(store, measured(rain_mm=4.0))
    keep(store, forecast(NOW, rain_mm=20.0))
    keep(store, measured(rain_mm=5.5))

    assert DayWeather(observed=True, rain_mm=5.5) == today(store)


def test_a_rain_gauge_stands_beside_a_forecast(store: Database) -> None:
    """Each figure is chosen by itself; such a day is not called measured."""
    keep(store, forecast(NOW, tmin_c=9.0, tmax_c=21.0, rain_mm=20.0))
    keep(store, measured(rain_mm=5.5))

    expected = DayWeather(observed=False, issued_at=NOW, tmin_c=9.0, tmax_c=21.0, rain_mm=5.5)
    assert expected == today(store)


def test_temperatures_and_vapour_come_from_one_row(store: Database) -> None:
    """Mixed, the lowest could lie above the highest: the best row that has both gives all three."""
    keep(store, forecast(NOW, tmin_c=9.0, tmax_c=21.0, ea_kpa=1.1))
    keep(store, measured(tmin_c=22.0))

    expected = DayWeather(observed=False, issued_at=NOW, tmin_c=9.0, tmax_c=21.0, ea_kpa=1.1)
    assert expected == today(store)


def test_a_batch_taken_back_leaves_what_was_there(store: Database) -> None:
    """What it had replaced holds again, once; taking it back a second time does nothing."""
    keep(store, measured(rain_mm=4.0))
    wrong = keep(store, measured(rain_mm=400.0))
    with store.work() as work:
        answers = [work.weather_batches.undo(wrong, None, NOW) for _ in range(2)]
        work.commit()

    assert [True, False] == answers
    assert DayWeather(observed=True, rain_mm=4.0) == today(store)


def test_hours_are_kept_and_chosen_alike(store: Database) -> None:
    """From the first moment on and before the last, each figure by itself."""
    hour = datetime(2026, 11, 28, 3, 0, tzinfo=UTC)
    told = HourWeather(observed=False, issued_at=EARLY, air_c=15.2, rain_mm=0.3, humidity_percent=96.0)
    keep(
        store,
        hours=((hour, told), (hour + timedelta(hours=1), HourWeather(observed=True, wet_minutes=60))),
    )
    keep(store, hours=((hour, HourWeather(observed=True, wet_minutes=20)),))

    with store.look() as work:
        known = work.weather.hours(district_of(store), hour, hour + timedelta(hours=1))
    both = HourWeather(
        observed=False, issued_at=EARLY, air_c=15.2, rain_mm=0.3, humidity_percent=96.0, wet_minutes=20
    )
    assert {hour: both} == known


def test_batches_are_listed_by_district(store: Database) -> None:
    """The last one first, with how much it held and whether it stands."""
    first = keep(store, measured(rain_mm=1.0))
    second = keep(store, measured(rain_mm=2.0), district="Ndaliro")
    with store.work() as work:
        work.weather_batches.undo(first, None, NOW)
        listed = work.weather_batches.latest(None, 9)
        here = work.weather_batches.latest([district_of(store)], 9)
        one = work.weather_batches.find(first)

    assert [(second, "Ndaliro", None), (first, "Ketumali", NOW)] == [
        (batch.id, batch.district, batch.undone_at) for batch in listed
    ]
    assert (one,) == here


@pytest.mark.parametrize(
    "day",
    [
        pytest.param(DayWeather(observed=True), id="says nothing"),
        pytest.param(DayWeather(observed=False, rain_mm=1.0), id="a forecast nobody issued"),
        pytest.param(DayWeather(observed=True, issued_at=NOW, rain_mm=1.0), id="measured and issued"),
    ],
)
def test_the_database_refuses_what_says_nothing(store: Database, day: DayWeather) -> None:
    """A slip in the program does not become a row."""
    with pytest.raises(IntegrityError):
        keep(store, (TODAY, day))
