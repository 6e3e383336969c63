"""A cold night by its hours: by sunset while there is daylight to cover in, later at once and without a risk.

Ketumali's sun sets at about half past six on 25 November (see tests/service/agronomy/test_sunset.py).
"""

from datetime import UTC, datetime, timedelta
from typing import Final

import pytest

from service.core.alert_states import AlertState
from service.core.alerts import Alert
from service.core.errors import Refused
from service.use_cases.alerts.previewing import Preview
from tests.alert_room import AlertRoom
from tests.village import Village

BY_SUNSET: Final = "Cover plants by sunset: sacks, dry grass."
NOW: Final = "cold likely tonight, -1 C. Cover plants now: sacks, dry grass, but risk nothing."


@pytest.fixture
def room(village: Village) -> AlertRoom:
    """An officer's desk over the village, at ten in the morning."""
    return AlertRoom(village)


def english(alert: Alert) -> str:
    """Return what farmers read in English."""
    return next(text.text for text in alert.texts if text.language == "en")


@pytest.mark.parametrize(
    ("later", "words"),
    [
        pytest.param({"hours": 7}, BY_SUNSET, id="at five, by sunset"),
        pytest.param({"hours": 7, "minutes": 40}, NOW, id="under an hour before sunset"),
        pytest.param({"hours": 13}, NOW, id="at eleven"),
        pytest.param({"hours": 16}, NOW, id="at two in the night"),
    ],
)
def test_the_text_goes_by_the_hour_left(room: AlertRoom, later: dict[str, int], words: str) -> None:
    """The night of the 25th is told of in the evening and after midnight."""
    evening = room.village.today
    room.farmer("Asha")
    mlima = room.officer("Ketumali")
    room.village.clock.advance(timedelta(**later))
    alert = room.draft(mlima, room.order("Ketumali", on=evening))

    assert words in english(alert)


def test_the_night_after_next_is_not_late(room: AlertRoom) -> None:
    """At eleven in the evening tomorrow's cold can still be met by sunset."""
    mlima = room.officer("Ketumali")
    room.village.clock.advance(timedelta(hours=13))
    tomorrow = room.village.today + timedelta(days=1)
    alert = room.draft(mlima, room.order("Ketumali", on=tomorrow, useless_after=room.now + timedelta(days=2)))

    assert BY_SUNSET in english(alert)


def test_a_draft_that_the_sun_overtook_is_written_anew_and_read_first(room: AlertRoom) -> None:
    """Confirmed too late it does not leave; it is in other words then, and those can be sent."""
    asha = room.farmer("Asha")
    mlima = room.officer("Ketumali")
    alert = room.draft(mlima, room.order("Ketumali", useless_after=room.now + timedelta(hours=20)))
    room.village.clock.advance(timedelta(hours=9))
    stale = room.preview(alert).stale
    with pytest.raises(Refused, match="It now says to cover at once: read it below"):
        room.confirm(mlima, alert)
    with room.village.database.look() as work:
        anew = work.alerts.the(alert.id)
    fresh = room.preview(anew).stale
    room.confirm(mlima, anew)
    room.village.clock.advance(timedelta(minutes=2))
    room.village.work_through()

    assert (True, False) == (stale, fresh)
    assert AlertState.DRAFT is anew.state
    assert asha.last.startswith("Asha Mlima")
    assert NOW in asha.last
    assert ["alert.frost_now"] == [
        row["text_id"] for row in room.village.rows("SELECT text_id FROM message WHERE alert_id IS NOT NULL")
    ]


def test_a_paused_alert_does_not_go_on_after_sunset(room: AlertRoom) -> None:
    """The rest would be told to cover by a sunset that is over."""
    room.farmer("Asha")
    mlima = room.officer("Ketumali")
    alert = room.draft(mlima, room.order("Ketumali", useless_after=room.now + timedelta(hours=20)))
    room.confirm(mlima, alert)
    room.village.clock.advance(timedelta(minutes=2))
    room.tick()
    room.pause(mlima, alert)
    room.village.clock.advance(timedelta(hours=9))

    with pytest.raises(Refused, match=r"says to cover by sunset\. Write one like it"):
        room.resume(mlima, alert)


def test_who_cannot_be_reached_before_the_cold_is_told(room: AlertRoom) -> None:
    """By sunset or, when it is late, before people sleep: at five all are, at ten in the evening nobody."""
    room.farmer("Asha")
    mlima = room.officer("Ketumali")
    evening, previews = room.village.today, list[Preview]()
    for hours in (7, 2, 3):
        room.village.clock.advance(timedelta(hours=hours))
        order = room.order("Ketumali", on=evening, useless_after=room.now + timedelta(hours=10))
        previews.append(room.preview(room.draft(mlima, order)))

    assert [(1, 1), (1, 1), (0, 1)] == [(one.by_night, one.in_time) for one in previews]
    assert [False, True, True] == [one.night is not None and one.night.late for one in previews]


def test_the_text_tells_which_night_whenever_it_is_read(room: AlertRoom) -> None:
    """Read at ten to one on Thursday, it is of the evening to come, and not of the night that is."""
    asha, juma = room.farmer("Asha"), room.farmer("Juma", language="sw")
    mlima = room.officer("Ketumali")
    room.village.clock.advance(timedelta(hours=14, minutes=48))
    night = room.village.today
    room.send(mlima, "Ketumali", on=night, useless_after=room.now + timedelta(hours=24))
    room.village.work_through()

    assert "cold likely from Thu 26/11 evening, -1 C." in asha.last
    assert "huenda baridi kuanzia jioni Alh 26/11, -1 C." in juma.last


def test_a_danger_that_leaves_time_waits_for_the_morning_if_the_officer_wants(room: AlertRoom) -> None:
    """At ten to one for the coming evening it leaves at seven, or at once; for a danger of that day there is no choice.

    Nobody is woken by what they can only do by daylight.
    """
    asha = room.farmer("Asha")
    mlima = room.officer("Ketumali")
    by_day = room.preview(room.draft(mlima, room.order("Ketumali")))
    room.village.clock.advance(timedelta(hours=14, minutes=48))
    today = room.village.today
    rain = room.order(
        "Ketumali", template="rain", figure=40, on=today, useless_after=room.now + timedelta(hours=18)
    )
    soon = room.preview(room.draft(mlima, rain))
    night = room.order("Ketumali", on=today, useless_after=room.now + timedelta(hours=24))
    alert = room.draft(mlima, night)
    shown = room.preview(alert)
    kept = room.confirm(mlima, alert, in_the_morning=True)
    room.village.clock.advance(timedelta(minutes=5))
    room.village.work_through()
    in_the_night = list(asha.texts)
    room.village.clock.set(shown.morning or room.now)
    room.village.work_through()

    assert (None, None) == (by_day.morning, soon.morning)
    assert shown.morning == kept.send_at == datetime(2026, 11, 26, 4, 0, tzinfo=UTC)
    assert [] == in_the_night
    assert "cold likely from Thu 26/11 evening" in asha.last
