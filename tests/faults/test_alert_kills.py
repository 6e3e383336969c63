"""Killed while an alert becomes messages, the worker finds its place again: each phone once, none left out."""

from datetime import timedelta

import pytest

from service.core.rights import Role
from tests.alert_room import AlertRoom
from tests.depth import times
from tests.faults.stage import SIGKILL, ForkServer
from tests.village import build_village

pytestmark = pytest.mark.slow

FARMERS = 60
CHUNK = 7
# Before each statement of the first chunks, then here and there up to the last; for each change before every third.
KILLS = (*range(1, 25), *range(30, 110, 5))[:: times(1, each=3)]


def test_killed_while_recipients_become_messages(forks: ForkServer, database_url: str) -> None:
    """Killed at many different statements it goes on where whole chunks end; then all have exactly one message."""
    room = AlertRoom(build_village(database_url))
    for number in range(FARMERS):
        room.farmer(f"Neema {number}")
    boss = room.officer(role=Role.ADMINISTRATOR)
    alert = room.confirm(boss, room.draft(boss, room.order("Ketumali")))
    begins = (room.now + timedelta(minutes=2)).isoformat()
    room.village.database.close()

    killed = [
        forks.live(
            way="expand_and_die",
            database=database_url,
            now=begins,
            die_before=number,
            chunk=CHUNK,
        )
        for number in KILLS
    ]
    died = killed.count(SIGKILL)
    assert 0 == forks.live(way="expand_and_die", database=database_url, now=begins, die_before=0, chunk=CHUNK)

    found = room.village.row(
        "SELECT count(*) AS rows, count(DISTINCT m.phone_id) AS phones, count(DISTINCT m.id) AS ids "
        "FROM message m JOIN alert_recipient r ON r.alert_id = m.alert_id AND r.phone_id = m.phone_id "
        "AND r.message_id = m.id AND r.message_day = m.queued_on"
    )
    assert {"rows": FARMERS, "phones": FARMERS, "ids": FARMERS} == found
    assert (FARMERS, FARMERS) == (room.count(alert).audience, room.count(alert).waiting)
    # A kill that comes after the work is done would prove nothing.
    assert died >= times(FARMERS // CHUNK, each=FARMERS // CHUNK // 3)
    room.village.database.close()
