"""How long an alert to a hundred thousand phones takes; printed, with the machine's own pace, not judged."""

import resource
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import TypeVar

import pytest
from sqlalchemy import insert

from service.core.rights import Role
from service.db.tables import people, plots
from service.ids import Ids
from tests.alert_room import AlertRoom
from tests.depth import times
from tests.village import START, ZONE, build_village

pytestmark = pytest.mark.slow

PHONES = times(100_000, each=20_000)
BATCH = 10_000
Found = TypeVar("Found")


def fill(room: AlertRoom) -> None:
    """Add farmers with a phone and a plot each, in four districts and two languages."""
    today = room.village.today
    with room.village.database.engine.begin() as connection:
        for first in range(1, PHONES, BATCH):
            ids = range(first, first + BATCH)
            connection.execute(
                insert(people.phone),
                [
                    {
                        "id": one,
                        "sealed": b"x",
                        "number_index": one.to_bytes(8, "big"),
                        "last3": "000",
                        "region": "TZ",
                        "added_at": START,
                    }
                    for one in ids
                ],
            )
            connection.execute(
                insert(people.farmer),
                [
                    {
                        "id": one,
                        "name": f"Farmer {one}",
                        "language": ("en", "sw")[one % 2],
                        "district_id": 1 + one % 4,
                        "state": "active",
                        "added_at": START,
                        "lead": one % 50 == 0,
                    }
                    for one in ids
                ],
            )
            connection.execute(
                insert(people.farmer_phone),
                [
                    {"farmer_id": one, "phone_id": one, "role": "own", "preferred": True, "since": START}
                    for one in ids
                ],
            )
            connection.execute(
                insert(plots.plot),
                [
                    {
                        "id": one,
                        "farmer_id": one,
                        "planted_on": today - timedelta(days=one % 900),
                        "precision": "exact",
                        "plants": 100,
                        "elevation_m": 1000 + one % 1500,
                        "zone": ZONE,
                        "calendar_id": "none",
                        "text_day": 1,
                        "picking_text_day": 1,
                        "pick_days": 1,
                        "prompt_days": 1,
                        "live": True,
                    }
                    for one in ids
                ],
            )


def test_an_alert_to_a_hundred_thousand(tmp_path: Path) -> None:
    """Written down, made into messages, paused and called off set by set, in memory that does not grow with them."""
    room = AlertRoom(build_village(f"sqlite:///{tmp_path / 'trussline.db'}"))
    # Ids as in production: the counting ones would hide what their gaps cost.
    room.village.tools = replace(room.village.tools, ids=Ids())
    fill(room)
    boss = room.officer(role=Role.ADMINISTRATOR)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

    def timed(name: str, deed: Callable[[], Found]) -> Found:
        began = time.perf_counter()
        found = deed()
        print(f"{name}: {time.perf_counter() - began:.2f} s")  # noqa: T201 - a measure is there to be read
        return found

    everywhere = ("Zaruvi", "Ketumali", "Ndaliro", "Shumbeka")
    draft = timed("draft", lambda: room.draft(boss, room.order(*everywhere)))
    preview = timed("preview", lambda: room.preview(draft))
    alert = timed("confirm, recipients written down", lambda: room.confirm(boss, draft))
    room.village.clock.advance(timedelta(minutes=2))
    made = timed("expand into messages", room.tick)
    sending = timed("count", lambda: room.count(alert))
    timed("pause", lambda: room.pause(boss, alert))
    timed("resume", lambda: room.resume(boss, alert))
    timed("cancel", lambda: room.call_off(boss, alert))
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    print(f"memory: +{grown:.0f} MB")  # noqa: T201 - as above

    rows = room.village.row(
        "SELECT count(*) AS rows, count(DISTINCT phone_id) AS phones, count(DISTINCT id) AS ids FROM message"
    )
    assert PHONES == preview.reach.phones == made == sending.waiting
    assert {"rows": PHONES, "phones": PHONES, "ids": PHONES} == rows
    assert PHONES == room.count(alert).cancelled
    # The goal for 50,000 recipients is 100 MB; this is no matter of the machine's pace.
    assert grown < 100
    room.village.database.close()
