"""The practice phone of a demo."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from service.bootstrap import PracticePhone
from service.core.gateway import AnswerLost, InboundText
from service.core.rights import Role
from service.gateways.simulator import SimulatorGateway
from service.gateways.simulator_network import SimulatedNetwork
from service.web.app import create_app
from tests.stand_in_house import NUMBERS, Planter, StandInHouse, say
from tests.web_desk import Desk

# Whose row it is, who is named, what stands beside it, and the text.
LINE = re.compile(r'<li class="(mine|got)"><p class="note"><b>(.*?)</b> (.*?)</p><p>(.*?)</p>')


@pytest.fixture
def door(house: StandInHouse) -> Desk:
    """A browser before pages of the house's own, which remember what its phones have just sent."""
    return Desk(house=house, app=create_app(house))


@pytest.fixture
def shelf(house: StandInHouse, planter: Planter) -> int:
    """Two phones on the shelf, one of which has texted before; return its row."""
    phone_id = planter.phone()
    house.phones.extend(
        (
            PracticePhone(slot=1, label="a newcomer's phone", number=NUMBERS[-1], phone_id=None),
            PracticePhone(slot=2, label="Asha", number=NUMBERS[0], phone_id=phone_id),
        )
    )
    return phone_id


def lines(desk: Desk, slot: int) -> list[tuple[str, str, str]]:
    """Return what stands on a phone's slip."""
    found = LINE.findall(" ".join(desk.text(f"/practice/{slot}/thread").split()))
    assert all(who == {"mine": "You", "got": "from 15077"}[side] for side, who, _, _ in found)
    return [(side, text, note) for side, _, note, text in found]


def test_shelf_shows_phones_by_slot(desk: Desk, shelf: int) -> None:
    """Phones are chosen by their place; of the number only the end is shown."""
    page = desk.text("/practice")

    assert ["/practice/1", "/practice/2"] == re.findall(r'href="(/practice/\d+)"', page)
    assert "…560" in page


def test_text_goes_to_the_service_and_shows_at_once(desk: Desk, house: StandInHouse, shelf: int) -> None:
    """What is typed reaches the network as this phone's text, and stands on the slip before it is stored."""
    response = desk.send("/practice/1", text="  JIUNGE  ")
    events = [one for one in house.network.events(10) if isinstance(one, InboundText)]

    assert (303, "/practice/1") == (response.status_code, response.location)
    assert [(NUMBERS[-1], "15077", "JIUNGE")] == [(one.source, one.destination, one.text) for one in events]
    assert [("mine", "JIUNGE", "Wed 25 Nov 06:41, 1 part, 6 of 160, on its way")] == lines(desk, 1)


def test_stored_text_is_no_longer_on_its_way(
    desk: Desk, house: StandInHouse, planter: Planter, shelf: int
) -> None:
    """Once the service has stored a text, it is shown from there, and once only."""
    desk.send("/practice/2", text="vuna 5")
    (event,) = house.network.events(10)
    assert isinstance(event, InboundText)
    stored = planter.text_in(shelf, "vuna 5", ago=timedelta(0))
    with house.database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE inbound SET ref = ? WHERE id = ?", (event.message_ref, stored))

    assert [("mine", "vuna 5", "Wed 25 Nov 06:41, 1 part, 6 of 160")] == lines(desk, 2)


def test_thread_has_both_sides_the_newest_last(
    desk: Desk, house: StandInHouse, planter: Planter, shelf: int
) -> None:
    """Texts of both sides stand in the order of time, and what each of ours costs is told."""
    planter.text_in(shelf, "older", ago=timedelta(minutes=5))
    planter.text_in(shelf, "vuna 5", ago=timedelta(0))
    say(house, 2, "Asante Asha! 5 kg.")
    say(house, 2, "é" * 161)

    assert [
        ("mine", "older", "Wed 25 Nov 06:36, 1 part, 5 of 160"),
        ("mine", "vuna 5", "Wed 25 Nov 06:41, 1 part, 6 of 160"),
        ("got", "Asante Asha! 5 kg.", "Wed 25 Nov 06:41, 1 part, 18 of 160"),
        ("got", "é" * 161, "Wed 25 Nov 06:41, 2 parts, 161 of 306"),
    ] == lines(desk, 2)


def test_phone_shows_its_last_texts_of_many(desk: Desk, house: StandInHouse, shelf: int) -> None:
    """A phone that received hundreds shows the last ones."""
    for number in range(250):
        say(house, 1, f"text {number}")
    shown = lines(desk, 1)

    assert 40 == len(shown)
    assert "text 249" == shown[-1][1]


def test_away_network_keeps_what_was_typed(desk: Desk, house: StandInHouse, shelf: int) -> None:
    """When the network is away the text was not sent, the page says so, and the text stays in the field."""
    house.network.unplug()
    response = desk.send("/practice/1", text="JOBS & more")

    assert 503 == response.status_code
    assert "the text was not sent" in response.text
    assert 'value="JOBS &amp; more"' in response.text
    assert "no network" in response.text


@pytest.mark.parametrize("text", ["", "   ", "\n"], ids=["empty", "spaces", "line"])
def test_empty_text_is_not_sent(text: str, desk: Desk, house: StandInHouse, shelf: int) -> None:
    """Nothing is sent when nothing was typed."""
    assert 303 == desk.send("/practice/1", text=text).status_code
    assert () == house.network.events(10)


def test_hostile_text_comes_out_inert(desk: Desk, house: StandInHouse, shelf: int) -> None:
    """What a phone sends or receives is shown as typed."""
    desk.send("/practice/1", text="<script>alert(1)</script>")
    say(house, 1, "<b onclick=x>hi</b>")
    page = desk.text("/practice/1")

    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert "&lt;b onclick=x&gt;hi&lt;/b&gt;" in page
    assert "<b onclick" not in page


def test_endless_form_is_refused(desk: Desk, house: StandInHouse, shelf: int) -> None:
    """A form longer than any text is refused before it is read."""
    assert 413 == desk.send("/practice/1", text="x" * 20_000).status_code
    assert () == house.network.events(10)


@pytest.mark.parametrize("path", ["/practice/3", "/practice/3/thread", "/practice/0"])
def test_phone_that_is_not_there(path: str, desk: Desk, shelf: int) -> None:
    """A slot without a phone is a plain missing page."""
    assert 404 == desk.get(path).status_code


def test_lost_answer_is_not_called_unsent(desk: Desk, house: StandInHouse, shelf: int) -> None:
    """When the network's answer is lost, the page says that nobody knows, and offers the text again."""

    class Forgetful(SimulatorGateway):
        """A network that takes a text and loses its answer."""

        def text_in(self, *, source: str, destination: str, text: str) -> str:
            """Take the text, and leave its sender without an answer."""
            raise AnswerLost("the line went dead")

    away = replace(house, network=Forgetful(SimulatedNetwork(ids=house.ids), clock=house.service_clock.now))
    forgetful = Desk(house=away, app=create_app(away))
    forgetful.sign_in("Officer Mto", role=Role.ADMINISTRATOR)
    response = forgetful.send("/practice/1", text="JOBS")

    assert 503 == response.status_code
    assert "nobody knows whether the text was sent" in response.text
    assert 'value="JOBS"' in response.text
