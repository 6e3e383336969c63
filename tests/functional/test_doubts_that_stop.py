"""Stories of texts in doubt whose phone says STOP: each ends once, in words, and its alert adds up."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from service.core.alert_states import AlertState
from service.core.alerts import Alert
from service.core.errors import Refused
from service.core.gateway import AnswerLost, Stage
from service.core.kinds import MessageState
from service.core.rights import Role
from service.core.staff import Officer
from service.db.work import Work
from service.use_cases import doubts
from tests.alert_room import AlertRoom, summed
from tests.postroom import Key, Postroom
from tests.village import Phone, Village

Decision = Callable[[Work, Officer, Key, datetime], None]
STOPPED = "not sent again: the phone has stopped"
BOSS = Officer(id=1, name="Asha Mlima", role=Role.ADMINISTRATOR, districts=None)


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of the village, before a network that does as it is told."""
    return Postroom(village)


@pytest.fixture
def room(village: Village) -> AlertRoom:
    """An officer's desk."""
    return AlertRoom(village)


def in_doubt(room: AlertRoom, postroom: Postroom, **given: Any) -> tuple[Alert, Phone]:  # noqa: ANN401 - the fields of an order
    """Send an alert to one phone and lose the answer."""
    phone = room.village.phone()
    phone.joins()
    alert = room.send(room.officer("Ketumali"), "Ketumali", **given)
    postroom.gateway.script.append(AnswerLost("no answer"))
    postroom.sender.drain()
    assert (1, 0) == (room.count(alert).in_doubt, room.count(alert).not_again)
    return alert, phone


def settle(postroom: Postroom, hours: float = 0.5) -> None:
    """Let the wait of a doubt pass, and the sender look at it."""
    postroom.wait(hours=hours)
    postroom.settle_doubts()
    postroom.sender.drain()


def key_of(village: Village) -> Key:
    """Return the key of the only alert text."""
    with village.database.look() as work:
        (line,) = work.doubts.lines(None, looked_at=True, limit=9)
    return line.key


@pytest.mark.parametrize(
    "given", [{}, {"words": {"en": "Meeting on Friday."}}], ids=["sent again by itself", "left to a person"]
)
def test_a_doubt_ends_with_stop(
    village: Village, postroom: Postroom, room: AlertRoom, given: dict[str, Any]
) -> None:
    """It is never sent again, waits for nobody, says why, and its alert ends with every phone in one figure."""
    alert, phone = in_doubt(room, postroom, **given)
    phone.says("stop")
    settle(postroom)
    room.tick()
    counted = room.count(alert)
    row = village.row("SELECT state, why FROM message WHERE alert_id IS NOT NULL")

    assert {"state": "in_doubt", "why": STOPPED} == row
    assert (1, 1, 1) == (counted.in_doubt, counted.not_again, counted.audience)
    assert counted.audience == summed(counted)
    assert AlertState.DONE is room.kept(alert).state
    assert 1 == sum("(Ketumali)" in text.text for text in postroom.gateway.sent)
    assert not [text for text in phone.texts if "(Ketumali)" in text]


def test_what_has_ended_waits_for_nobody(village: Village, postroom: Postroom, room: AlertRoom) -> None:
    """A closed doubt leaves the count of those to look at and stands among those looked at."""

    def counted() -> list[int]:
        with village.database.look() as work:
            return [work.doubts.count(None, looked_at=looked_at) for looked_at in (False, True)]

    _, phone = in_doubt(room, postroom)
    before = counted()
    phone.says("stop")
    settle(postroom)

    assert ([1, 0], [0, 1]) == (before, counted())


def test_each_doubt_is_shown_with_its_own_farmer_and_alert(
    village: Village, postroom: Postroom, room: AlertRoom
) -> None:
    """Of two districts' texts in doubt, one of an alert called off, each officer sees their own and how it stands."""
    room.farmer("Neema")
    room.farmer("Juma", district="Ndaliro")
    near, far = room.officer("Ketumali"), room.officer("Ndaliro")
    over, _ = room.send(near, "Ketumali"), room.send(far, "Ndaliro")
    postroom.claim()
    postroom.sender.recover()
    room.call_off(near, over)

    with village.database.look() as work:
        shown = {
            one: [
                (line.farmer, line.district, line.alert_over)
                for looked_at in (False, True)
                for line in work.doubts.lines(one.districts, looked_at=looked_at, limit=9)
            ]
            for one in (near, far)
        }
        counted = [work.doubts.count(one.districts, looked_at=False) for one in (near, far)]
    postroom.wait(minutes=30)

    assert [1, 1] == counted
    assert 1 == postroom.settle_doubts(), "what was called off is not sent again"
    assert {near: [("Neema", "Ketumali", True)], far: [("Juma", "Ndaliro", False)]} == shown


def test_stop_while_its_second_try_waits(village: Village, postroom: Postroom, room: AlertRoom) -> None:
    """A doubt that is due again has been on the wire once: it is not counted as called off."""
    alert, phone = in_doubt(room, postroom)
    postroom.wait(minutes=3)
    postroom.settle_doubts()
    due = village.row("SELECT state FROM message WHERE alert_id IS NOT NULL")["state"]
    phone.says("stop")
    settle(postroom)

    assert ("due", "in_doubt") == (due, postroom.state(key_of(village)))
    assert (1, 0) == (room.count(alert).not_again, room.count(alert).cancelled)


def test_stop_that_overtakes_the_answer(village: Village, postroom: Postroom, room: AlertRoom) -> None:
    """The phone stops while its text is on the wire, and the answer is lost afterwards."""
    phone = village.phone()
    phone.joins()
    alert = room.send(room.officer("Ketumali"), "Ketumali", words={"en": "Meeting on Friday."})

    def stop(_text: object) -> AnswerLost:
        phone.says("stop")
        return AnswerLost("no answer")

    postroom.gateway.script.append(stop)
    postroom.sender.drain()
    settle(postroom)

    assert STOPPED == village.row("SELECT why FROM message WHERE alert_id IS NOT NULL")["why"]
    assert 1 == room.count(alert).not_again


def test_a_late_receipt_still_tells_the_truth(village: Village, postroom: Postroom, room: AlertRoom) -> None:
    """It had arrived after all: it is sent, delivered, and in doubt no more."""
    alert, phone = in_doubt(room, postroom)
    phone.says("stop")
    settle(postroom)
    reference = village.row(
        "SELECT reference FROM attempt JOIN message ON id = message_id WHERE alert_id IS NOT NULL"
    )["reference"]
    postroom.hear(Stage.DELIVERED, gateway_ref="network-x", our_ref=str(reference))
    counted = room.count(alert)

    assert (1, 1, 0, 0) == (counted.sent, counted.delivered, counted.in_doubt, counted.not_again)


def test_stop_alerts_closes_it_as_well(village: Village, postroom: Postroom, room: AlertRoom) -> None:
    """Whoever takes no more alerts is not sent one a second time."""
    alert, phone = in_doubt(room, postroom)
    phone.says("stop alerts")
    settle(postroom)

    why = village.row("SELECT why FROM message WHERE alert_id IS NOT NULL")["why"]
    assert "not sent again: the phone takes no more alerts" == why
    assert (1, 1) == (room.count(alert).in_doubt, room.count(alert).not_again)


@pytest.mark.parametrize("decision", [doubts.send_again, doubts.leave])
def test_no_button_opens_it_again(
    village: Village, postroom: Postroom, room: AlertRoom, decision: Decision
) -> None:
    """An old page's buttons are answered with why nothing is to be done."""
    _alert, phone = in_doubt(room, postroom)
    phone.says("stop")
    settle(postroom)

    with village.database.work() as work, pytest.raises(Refused, match=STOPPED):
        decision(work, BOSS, key_of(village), postroom.now)


def test_other_doubts_go_on(postroom: Postroom) -> None:
    """A phone that has said nothing is sent its text again, once its wait is over."""
    key = postroom.put()
    postroom.sender.drain()
    settle(postroom, hours=timedelta(minutes=11) / timedelta(hours=1))

    assert MessageState.ACCEPTED == postroom.state(key)
