"""Whatever officers and the network do in the middle of an alert, its figures add up to its audience."""

import shutil
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.sender import Sender
from service.core.alert_states import ENDED, IllegalMove
from service.core.alerts import Alert
from service.core.gateway import AnswerLost, NotSent, RefusalClass, Refused
from service.core.rights import Role
from service.core.staff import Officer
from tests.alert_room import AlertRoom, summed
from tests.depth import times
from tests.postroom import ScriptedGateway
from tests.village import build_village

FARMERS = 24
WINDOW = 8
BOSS = Officer(id=9001, name="Asha Mlima", role=Role.ADMINISTRATOR, districts=None)
STOPPED_DOUBTS = """
    SELECT count(*) AS texts FROM message JOIN phone ON phone.id = message.phone_id
    WHERE state = 'in_doubt' AND number_index IN (SELECT number_index FROM stop_list)
"""
ANSWERS: dict[str, object] = {
    "accepted": None,
    "lost": AnswerLost("no answer"),
    "not sent": NotSent("no line"),
    "wait": Refused(reason=RefusalClass.PACE, code="slow", detail="slow down"),
    "later": Refused(reason=RefusalClass.TEMPORARY, code="full", detail="the phone is full"),
    "never": Refused(reason=RefusalClass.PERMANENT, code="bad", detail="no such number"),
}


def stop_the_last(room: AlertRoom, _who: Officer, _alert: Alert) -> None:
    """Let the phone that comes last stop, as its STOP would."""
    phone_id = room.village.row("SELECT phone_id FROM alert_recipient ORDER BY turn DESC LIMIT 1")["phone_id"]
    assert isinstance(phone_id, int)
    with room.village.database.work() as work:
        work.people.stop(phone_id, room.now)
        work.commit()


DEEDS: dict[str, Callable[[AlertRoom, Officer, Alert], object]] = {
    "pause": lambda room, who, alert: room.pause(who, alert),
    "resume": lambda room, who, alert: room.resume(who, alert),
    "call_off": lambda room, who, alert: room.call_off(who, alert),
    "stop": stop_the_last,
    "tick": lambda room, _who, _alert: room.tick(chunk=5),
}


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database in which an alert to all farmers is about to become messages."""
    file = tmp_path_factory.mktemp("begun") / "trussline.db"
    room = AlertRoom(build_village(f"sqlite:///{file}"))
    for number in range(FARMERS):
        room.farmer(f"Neema {number}")
    boss = room.officer(role=Role.ADMINISTRATOR)
    room.confirm(boss, room.draft(boss, room.order("Ketumali")))
    room.village.database.close()
    return file


def opened(file: Path) -> tuple[AlertRoom, Alert]:
    """Open a copy of that database, two minutes later."""
    room = AlertRoom(build_village(f"sqlite:///{file}"))
    room.village.clock.advance(timedelta(minutes=2))
    with room.village.database.look() as work:
        alert = work.alerts.look(int(str(room.village.row("SELECT id FROM alert")["id"])))
    assert alert is not None
    return room, alert


def sender_over(room: AlertRoom, gateway: ScriptedGateway) -> Sender:
    """Return a sender before a gateway that does as it is told."""
    village = room.village
    return Sender(village.database, village.tools, gateway, village.clock, window=WINDOW, per_second=1e6)


@settings(max_examples=times(25, each=10), deadline=None)
@given(
    answers=st.lists(st.sampled_from(sorted(ANSWERS)), max_size=40),
    deeds=st.dictionaries(st.integers(0, 39), st.sampled_from(sorted(DEEDS)), max_size=6),
)
def test_each_phone_stands_in_exactly_one_figure(
    begun: Path, answers: list[str], deeds: dict[int, str]
) -> None:
    """While each text is on the wire, and after the alert has ended: the sum is the audience."""
    with TemporaryDirectory() as folder:
        file = Path(shutil.copy(begun, folder))
        room, alert = opened(file)
        sums: list[int] = []
        gateway = ScriptedGateway()

        def answer(number: int) -> object:
            # A button of an old page is refused, and nothing has happened.
            with suppress(IllegalMove):
                DEEDS[deeds.get(number, "tick")](room, BOSS, alert)
            sums.append(summed(room.count(alert)))
            return ANSWERS[answers[number]] if number < len(answers) else None

        for number in range(400):
            gateway.script.append(lambda _text, number=number: answer(number))
        sender = sender_over(room, gateway)
        for _ in range(12):
            room.tick(chunk=5)
            sender.drain()
            room.village.clock.advance(timedelta(minutes=45))
        room.tick()

        assert {FARMERS} >= set(sums)
        assert FARMERS == summed(room.count(alert)) == room.count(alert).audience
        assert 0 == room.count(alert).waiting
        # Whoever has stopped meanwhile leaves no doubt behind that could still be sent again.
        stopped = room.village.row(STOPPED_DOUBTS)["texts"]
        assert room.count(alert).in_doubt >= room.count(alert).not_again >= int(str(stopped))
        assert room.kept(alert).state in ENDED
        room.village.database.close()


@pytest.mark.parametrize("after", [1, 3, 8, 9, 23])
def test_a_cancel_in_the_middle_stops_within_one_claim(begun: Path, tmp_path: Path, after: int) -> None:
    """At most a window of texts, those on the wire or claimed, still leaves; all others are called off."""
    room, alert = opened(Path(shutil.copy(begun, tmp_path)))
    room.tick()
    gateway = ScriptedGateway()
    gateway.script.extend([None] * (after - 1))
    gateway.script.append(lambda _text: room.call_off(BOSS, alert))

    sender_over(room, gateway).drain()

    counted = room.count(alert)
    assert after <= counted.sent < after + WINDOW
    assert FARMERS == counted.sent + counted.cancelled
    room.village.database.close()


@pytest.mark.parametrize("after", [1, 8, 13])
def test_a_pause_in_the_middle_stops_within_one_claim(begun: Path, tmp_path: Path, after: int) -> None:
    """And resumed, all the rest leaves, in turn."""
    room, alert = opened(Path(shutil.copy(begun, tmp_path)))
    room.tick()
    gateway = ScriptedGateway()
    gateway.script.extend([None] * (after - 1))
    gateway.script.append(lambda _text: room.pause(BOSS, alert))
    sender = sender_over(room, gateway)

    sender.drain()
    held = room.count(alert)
    room.resume(BOSS, alert)
    sender.drain()

    assert after <= held.sent < after + WINDOW
    assert FARMERS == held.sent + held.waiting
    assert FARMERS == room.count(alert).sent == len({text.destination for text in gateway.sent})
    room.village.database.close()
