"""What the weather threatens becomes the draft of an alert, and only an officer sends it. On both engines."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Final

import pytest
from sqlalchemy import update

from service.agronomy.risk import Level
from service.core.alert_states import AlertState
from service.core.alerts import Alert
from service.core.danger_ports import Danger
from service.core.errors import Refused
from service.core.staff import Officer
from service.db.tables.alerts import alert
from service.db.tables.plots import plot
from service.use_cases.alerts.deciding import call_off
from service.use_cases.weather.judging import judge_once_a_day
from service.use_cases.weather.settling import NoDanger, leave, left_at_that, waiting, write_alert
from tests.alert_room import DISTRICT_IDS, AlertRoom
from tests.village import Phone, Village
from tests.weather_station import Station

# It is Wednesday 25 November, ten in the morning; Ketumali lies at 1,900 m.
NIGHT: Final = "day,tmin_c\n2026-11-26,{}\n"
HOUR: Final = timedelta(hours=1)


@pytest.fixture
def room(village: Village) -> AlertRoom:
    """An officer's desk over the village."""
    return AlertRoom(village)


@pytest.fixture
def station(village: Village) -> Station:
    """A station that sends forecasts for Ketumali."""
    return Station(village)


@pytest.fixture
def grows(village: Village) -> Callable[[str, int], Phone]:
    """Lets a farmer join whose plot lies at a height."""

    def joined(name: str, elevation_m: int) -> Phone:
        phone = village.phone()
        phone.joins(name=name, days_ago=200)
        (one,) = village.rows(
            "SELECT plot.id FROM plot JOIN farmer ON farmer.id = plot.farmer_id WHERE name = :name", name=name
        )
        with village.database.engine.begin() as connection:
            connection.execute(update(plot).where(plot.c.id == one["id"]).values(elevation_m=elevation_m))
        return phone

    return joined


def seen(room: AlertRoom, *districts: str) -> tuple[Danger, ...]:
    """Return the dangers that wait for whoever has these districts; without any, for all."""
    theirs = [DISTRICT_IDS[one] for one in districts] or None
    with room.village.database.look() as work:
        return waiting(work.dangers, theirs, room.village.tools, room.now)


def writes(room: AlertRoom, officer: Officer, danger: Danger) -> Alert:
    """Let an officer make the draft of a danger."""
    with room.village.database.work() as work:
        return write_alert(work, room.village.tools, officer, danger.id, now=room.now)


def leaves(room: AlertRoom, officer: Officer, danger: Danger) -> None:
    """Let an officer leave a danger at that."""
    with room.village.database.work() as work:
        leave(work, officer, danger.id, now=room.now)


def test_a_cold_night_is_forecast_and_the_high_plots_are_warned(
    room: AlertRoom, station: Station, grows: Callable[[str, int], Phone]
) -> None:
    """From the file to the phones: the officer reads the reason, confirms, and only those in the band get it."""
    low, high = grows("Neema", 1900), grows("Tatu", 2150)
    before = [*low.texts], [*high.texts]
    mlima = room.officer("Ketumali")
    taken = station.sends(NIGHT.format(3.4), issued_ago=HOUR)
    (danger,) = seen(room, "Ketumali")
    room.village.pass_hours(2)
    by_itself = low.texts != before[0] or high.texts != before[1]
    alert = writes(room, mlima, danger)
    room.confirm(mlima, alert)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert (1, False) == (taken.dangers, by_itself)
    assert danger.reason == (
        "Forecast of 25 Nov, 09:00: lowest 3.4 °C in the night of Wed 25 to Thu 26 Nov, 1.4 °C where plots lie highest, "
        "for plots from 2,000 m."
    )
    assert AlertState.DRAFT is alert.state
    assert (before[0], [*before[1], high.last]) == (low.texts, high.texts)
    assert high.last.startswith("Asha Mlima (Ketumali): cold likely from Wed 25/11 evening, 1 C.")
    assert () == seen(room)


def test_one_danger_a_night_however_often_it_comes(room: AlertRoom, station: Station) -> None:
    """Newer forecasts change it, lift it and bring it back; it stays the same one."""
    found = []
    for hours, degrees in ((5, 1.0), (4, 0.5), (3, 6.0), (2, 0.0)):
        station.sends(NIGHT.format(degrees), issued_ago=timedelta(hours=hours))
        found.append([(one.id, Level(one.level), one.figure) for one in seen(room)])
    number = found[0][0][0]

    assert [
        [(number, Level.WATCH, 1)],
        [(number, Level.WATCH, 0)],
        [],
        [(number, Level.HIGH, 0)],
    ] == found


def test_a_danger_left_at_that_comes_back_only_if_it_grows(room: AlertRoom, station: Station) -> None:
    """A little colder is no news; by a level it is."""
    mlima = room.officer("Ketumali")
    station.sends(NIGHT.format(1.8), issued_ago=5 * HOUR)
    leaves(room, mlima, seen(room)[0])
    counts = []
    for hours, degrees in ((4, 1.0), (3, 6.0), (2, 1.2), (1, -0.2)):
        station.sends(NIGHT.format(degrees), issued_ago=hours * HOUR)
        counts.append(len(seen(room)))

    assert [0, 0, 0, 1] == counts
    assert ["danger.left"] == [
        row["action"]
        for row in station.village.rows("SELECT action FROM audit")
        if row["action"] != "weather.taken"
    ]


def test_two_officers_make_one_draft(room: AlertRoom, station: Station) -> None:
    """Whoever comes second finds the first one's; graver by a level it waits anew, for an alert of its own."""
    mlima, tulia = room.officer("Ketumali"), room.officer("Ketumali", "Ndaliro", name="Tulia Bondeni")
    station.sends(NIGHT.format(1.0), issued_ago=5 * HOUR)
    (danger,) = seen(room)
    first, second = writes(room, mlima, danger), writes(room, tulia, danger)
    station.sends(NIGHT.format(-3.0), issued_ago=HOUR)
    (graver,) = seen(room)
    third = writes(room, tulia, graver)

    assert (first.id, danger.id) == (second.id, graver.id)
    assert (True, -3) == (third.id != first.id, third.values["figure"])


def test_a_danger_waits_until_somebody_is_told(
    room: AlertRoom, station: Station, grows: Callable[[str, int], Phone]
) -> None:
    """With a draft it waits on; gone is it when texts have left, and what newer weather says changes that no more."""
    grows("Tatu", 2150)
    mlima = room.officer("Ketumali")
    station.sends(NIGHT.format(1.0), issued_ago=5 * HOUR)
    (danger,) = seen(room)
    alert = writes(room, mlima, danger)
    drafted = seen(room)
    room.confirm(mlima, alert)
    confirmed = seen(room)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()
    told = seen(room)
    station.sends(NIGHT.format(6.0), issued_ago=HOUR)
    station.sends(NIGHT.format(1.0), issued_ago=timedelta(minutes=5))

    assert [(AlertState.DRAFT, True)] == [(one.alert_state, one.written) for one in drafted]
    assert drafted[0].settled_by == f"Asha Mlima {mlima.id}"
    assert [(AlertState.SCHEDULED, True)] == [(one.alert_state, one.goes_by_itself) for one in confirmed]
    assert () == told == seen(room)


def test_a_draft_that_came_to_nothing_leaves_the_danger_there(room: AlertRoom, station: Station) -> None:
    """Thrown away or lapsed it stands as before, follows newer weather, and another draft can be made of it."""
    mlima = room.officer("Ketumali")
    station.sends(NIGHT.format(1.8), issued_ago=5 * HOUR)
    first = writes(room, mlima, seen(room)[0])
    with room.village.database.work() as work:
        call_off(work, mlima, first.id, room.now)
    (again,) = seen(room)
    station.sends(NIGHT.format(1.0), issued_ago=4 * HOUR)
    (newer,) = seen(room)
    second = writes(room, mlima, newer)
    with room.village.database.engine.begin() as connection:
        connection.execute(update(alert).where(alert.c.id == second.id).values(useless_after=room.now))
    room.village.work_through()
    (lapsed,) = seen(room)

    assert (False, 2, 1) == (again.written, again.figure, newer.figure)
    assert (AlertState.EXPIRED, False) == (lapsed.alert_state, lapsed.written)
    assert 3 == len({first.id, second.id, writes(room, mlima, lapsed).id})


def test_weather_that_turns_finds_its_draft_again(room: AlertRoom, station: Station) -> None:
    """A danger with an unsent draft is lifted like another; if it comes back, the draft serves it."""
    mlima = room.officer("Ketumali")
    station.sends(NIGHT.format(1.0), issued_ago=5 * HOUR)
    first = writes(room, mlima, seen(room)[0])
    station.sends(NIGHT.format(6.0), issued_ago=4 * HOUR)
    lifted = seen(room)
    station.sends(NIGHT.format(1.0), issued_ago=3 * HOUR)
    (back,) = seen(room)

    assert () == lifted
    assert (True, first.id) == (back.written, writes(room, mlima, back).id)


def test_a_danger_with_a_draft_can_be_left_at_that(room: AlertRoom, station: Station) -> None:
    """On purpose, with who and when; the draft stays a draft."""
    mlima = room.officer("Ketumali")
    station.sends(NIGHT.format(1.0), issued_ago=5 * HOUR)
    (danger,) = seen(room)
    writes(room, mlima, danger)
    leaves(room, mlima, danger)
    with room.village.database.look() as work:
        (left,) = left_at_that(work.dangers, None, room.village.tools, room.now)

    assert () == seen(room)
    assert (AlertState.DRAFT, f"Asha Mlima {mlima.id}", room.now) == (
        left.alert_state,
        left.settled_by,
        left.settled_at,
    )


def test_another_districts_danger_is_not_there(room: AlertRoom, station: Station) -> None:
    """Neither in the list nor by its number."""
    elsewhere = room.officer("Ndaliro")
    station.sends(NIGHT.format(1.0), issued_ago=HOUR)
    (danger,) = seen(room, "Ketumali")

    assert () == seen(room, "Ndaliro")
    with pytest.raises(NoDanger):
        writes(room, elsewhere, danger)
    with pytest.raises(NoDanger):
        leaves(room, elsewhere, danger)


def test_a_forecast_taken_back_threatens_nobody(room: AlertRoom, station: Station) -> None:
    """The danger goes with the file that it came from."""
    wrong = station.sends(NIGHT.format(-9), issued_ago=HOUR)
    before = len(seen(room))
    station.takes_back(wrong)

    assert (1, 0) == (before, len(seen(room)))


def test_a_wet_day_is_only_watched_and_says_it_is_rough(room: AlertRoom, station: Station) -> None:
    """Without hours mould is reckoned from the day, never above watch; heavy rain has its text, mould has none."""
    mlima = room.officer("Ketumali")
    station.sends("day,tmin_c,tmax_c,rain_mm\n2026-11-26,15,24,61.6\n", issued_ago=HOUR)
    there = {one.hazard: one for one in seen(room)}
    alert = writes(room, mlima, there["heavy_rain"])

    assert {"heavy_rain": Level.HIGH, "grey_mould": Level.WATCH} == {
        hazard: Level(one.level) for hazard, one in there.items() if hazard != "anthracnose"
    }
    assert there["grey_mould"].reason == (
        "Forecast of 25 Nov, 09:00: a wet 26 Nov at 20 °C. "
        "Reckoned roughly from the day as a whole, since its hours are not known."
    )
    assert ("rain", 62, "2026-11-26") == (alert.template, alert.values["figure"], alert.values["on"])
    with pytest.raises(Refused, match="There is no prepared text"):
        writes(room, mlima, there["grey_mould"])


def test_hours_say_more_than_a_day(room: AlertRoom, station: Station) -> None:
    """A spell of thirteen wet hours over midnight is high and told as hours, on the day it ends, and on no other."""
    wet = [f"2026-11-26T{hour:02d}:00" for hour in range(20, 24)]
    wet += [f"2026-11-27T{hour:02d}:00" for hour in range(9)]
    hours = [f"2026-11-{day}T{hour:02d}:00" for day in (26, 27, 28) for hour in range(24)]
    lines = "".join(f"{hour},20,{60 if hour in wet else 0}\n" for hour in hours)
    station.sends(f"hour,air_c,wet_minutes\n{lines}", issued_ago=HOUR)
    mould = [one for one in seen(room) if one.hazard == "grey_mould"]

    assert [(date(2026, 11, 27), Level.HIGH)] == [(one.day, Level(one.level)) for one in mould]
    assert mould[0].reason == (
        "Forecast of 25 Nov, 09:00: leaves wet for 13 hours one after the other at 15 to 25 °C, up to 27 Nov."
    )


def test_a_cold_night_shows_in_hours_alone(room: AlertRoom, station: Station) -> None:
    """A machine that tells no lowest temperature of the day is heard all the same; so is its rain."""
    hours = "".join(f"2026-11-26T{hour:02d}:00,{abs(hour - 5) - 0.6:.1f},3\n" for hour in range(24))
    station.sends(f"hour,air_c,rain_mm\n{hours}", issued_ago=HOUR)
    there = {one.hazard: one for one in seen(room)}

    assert there["frost"].reason.startswith("Forecast of 25 Nov, 09:00: lowest -0.6 °C in the night")
    assert there["heavy_rain"].reason == "Forecast of 25 Nov, 09:00: 72 mm of rain on 26 Nov."


def test_a_night_far_off_is_judged_when_it_comes_near(room: AlertRoom, station: Station) -> None:
    """No new file is needed: once a day all districts are judged, and a second time that day nothing happens."""
    station.sends("day,tmin_c\n2026-11-30,0\n", issued_ago=HOUR)
    at_first = len(seen(room))
    opened = []
    for _ in range(3):
        with station.village.database.work() as work:
            opened.append(judge_once_a_day(work, station.village.tools, room.now))
        with station.village.database.work() as work:
            opened.append(judge_once_a_day(work, station.village.tools, room.now))
        station.village.clock.advance(timedelta(days=1))

    assert (0, [0, 0, 0, 0, 1, 0]) == (at_first, opened)


def test_a_night_that_is_over_waits_for_nobody(room: AlertRoom, station: Station) -> None:
    """It stands until eight in the morning, though the night has gone by when the day begins."""
    station.sends(NIGHT.format(0), issued_ago=HOUR)
    counts = []
    for hours in (20, 1, 2):
        station.village.clock.advance(timedelta(hours=hours))
        with station.village.database.work() as work:
            judge_once_a_day(work, station.village.tools, room.now)
        counts.append(len(seen(room)))

    assert [1, 1, 0] == counts
