"""The record of what officers did goes by real time, however far the demo's clock is ahead."""

import re
from datetime import timedelta

from sqlalchemy import update

from service.db.tables import speech
from tests.stand_in_house import NOW, REAL_NOW, Planter
from tests.web_desk import Desk


def test_deeds_stand_in_the_record_in_real_time(desk: Desk, planter: Planter) -> None:
    """A danger is left, an alert confirmed and called off, an unread text seen: months ahead, and told as of today."""
    _, phone = planter.farmer("Asha")
    unread = planter.text_in(phone, "vuna \u2603", ago=timedelta(hours=3))
    with desk.house.database.engine.begin() as connection:
        connection.execute(update(speech.inbound).values(state="corrupt", tries=3))
    desk.send(f"/dangers/{planter.danger()}/leave")
    desk.send(f"/doubts/unread/{unread}", do="seen")
    alert = desk.send(
        "/alerts/new",
        key="form-1",
        template="frost",
        district=str(planter.districts["Ndaliro"]),
        on="2026-11-25",
        figure="-1",
        useless_after="2026-11-25T18:00",
        do="keep",
    ).location
    digest = re.findall(r'name="digest" value="(\w+)"', desk.text(alert))[0]
    desk.send(f"{alert}/confirm", digest=digest)
    desk.send(f"{alert}/call_off", digest=digest)
    with desk.house.database.look() as work:
        times = {row.action: row.at for row in work.audit.rows()}

    assert timedelta(days=200) < NOW - REAL_NOW
    assert {"danger.left", "inbound.looked_at", "alert.confirm", "alert.call_off"} <= times.keys()
    assert {REAL_NOW} == set(times.values())
