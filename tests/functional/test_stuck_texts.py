"""Stories of texts that came to nothing by themselves and are tried once more by an officer."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from flows.catalogue import load_catalogue
from flows.wording import Wording
from scheduler.receiver import Receiver
from service.core.gateway import RefusalClass, Refused
from service.core.question_ports import Question
from service.core.rights import Role
from service.core.staff import Officer
from service.use_cases import questions, stuck
from tests.alert_room import AlertRoom
from tests.functional.test_rough_texts import StumblingCatalogue
from tests.postroom import Postroom
from tests.village import Phone, Village

BOSS = Officer(id=1, name="Asha Mlima", role=Role.ADMINISTRATOR, districts=None)
NEVER = Refused(reason=RefusalClass.PERMANENT, code="bad", detail="no such number")


def test_a_text_set_aside_is_answered_once_it_can_be_read(village: Village) -> None:
    """Whatever tripped us is mended, the officer presses the button, and the farmer's weight is kept once."""
    phone = village.phone()
    phone.joins(days_ago=200)
    catalogue = StumblingCatalogue(catalogue=load_catalogue(), broken="harvest_noted_first")
    broken = replace(village.tools, wording=Wording(catalogue))
    village.deliver(phone, "harvest 4", "poison")
    Receiver(village.database, broken, village.gateway, village.clock).answer_all()
    with village.database.work() as work:
        (line,) = work.stuck.unread(None, 9)
        stuck.read_again(work, BOSS, line.id, village.clock.now())
    village.work_through()

    assert "harvest 4" == line.text
    assert [{"grams": 4000}] == village.rows("SELECT grams FROM harvest")
    assert "4 kg" in phone.last


@pytest.fixture
def unreadable(village: Village) -> Phone:
    """The phone of a farmer in whose last text something trips us, three times."""
    phone = village.phone()
    phone.joins(days_ago=200)
    catalogue = StumblingCatalogue(catalogue=load_catalogue(), broken="harvest_noted_first")
    broken = replace(village.tools, wording=Wording(catalogue))
    village.deliver(phone, "harvest 4", "poison")
    Receiver(village.database, broken, village.gateway, village.clock).answer_all()
    return phone


def waiting(village: Village) -> list[Question]:
    """Return what stands on the officers' list."""
    with village.database.look() as work:
        return [*work.console.within(None).waiting(9).questions]


def test_a_text_we_cannot_read_goes_to_a_person(village: Village, unreadable: Phone) -> None:
    """It may be a cry for help: it stands on the list with the farmer's name, and is answered from there."""
    (question,) = waiting(village)
    now = village.clock.now()
    with village.database.work() as work:
        boss = AlertRoom(village).officer(role=Role.ADMINISTRATOR)
        questions.answer(
            work, village.tools, boss, question.code, "Text it again, please.", now=now, real_now=now
        )
    village.work_through()

    assert ("harvest 4", "unread", "Neema") == (question.text, question.urgency, question.farmer)
    assert "Text it again, please." in unreadable.last
    with village.database.look() as work:
        assert (0, []) == (work.stuck.count(None), waiting(village))


@pytest.mark.parametrize("deed", [stuck.read_again, stuck.look_at])
def test_what_is_done_about_it_elsewhere_takes_it_off_the_list(
    village: Village, unreadable: Phone, deed: Callable[..., None]
) -> None:
    """Tried again or marked as seen, nobody need look at it twice."""
    before = len(waiting(village))
    with village.database.work() as work:
        (line,) = work.stuck.unread(None, 9)
        deed(work, BOSS, line.id, village.clock.now())
    village.work_through()

    assert (1, []) == (before, waiting(village))
    assert ("4 kg" in unreadable.last) == (deed is stuck.read_again)


def test_a_text_that_failed_is_sent_once_the_gateway_takes_it(village: Village) -> None:
    """One more try a press: refused again it comes back to the list, taken it is sent."""
    room = Postroom(village)
    room.gateway.script.extend([NEVER, NEVER, None])
    key = room.put()
    seen: list[tuple[str, int]] = []
    for _ in range(2):
        room.sender.drain()
        with village.database.work() as work:
            seen.append((room.state(key), work.stuck.count(None)))
            stuck.send_again(work, BOSS, key, room.now)
    room.sender.drain()

    assert [("failed", 1), ("failed", 1)] == seen
    assert "accepted" == room.state(key)
    with village.database.work() as work, pytest.raises(stuck.NotStuck):
        stuck.see(work, BOSS, key, room.now)
