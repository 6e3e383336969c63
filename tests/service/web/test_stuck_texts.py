"""Texts that could not be read or sent: an officer sees them in words, and what can be done about each."""

from datetime import timedelta

import pytest
from sqlalchemy import update

from service.core.rights import Role
from service.db.tables import outbox, speech
from tests.stand_in_house import Planter
from tests.web_desk import Desk


@pytest.fixture
def stuck(desk: Desk, planter: Planter) -> dict[str, str]:
    """A text of a farmer in Ndaliro that cannot be read, and one to her that failed; their paths."""
    farmer, phone = planter.farmer("Asha Mwarobi")
    unread = planter.text_in(phone, "vuna \u2603 12", ago=timedelta(hours=3))
    stranger = planter.text_in(planter.phone(), "hodi hodi", ago=timedelta(hours=1))
    day, failed = planter.text_out(
        phone, "Kesho chuma.", ago=timedelta(hours=2), farmer_id=farmer, state="failed", why="no such number"
    )
    with desk.house.database.engine.begin() as connection:
        connection.execute(
            update(speech.inbound)
            .where(speech.inbound.c.id.in_([unread, stranger]))
            .values(state="corrupt", tries=3)
        )
    return {"unread": f"/doubts/unread/{unread}", "failed": f"/doubts/failed/{day.isoformat()}/{failed}"}


def states(desk: Desk) -> tuple[list[tuple[str, int]], list[str]]:
    """Return where the texts that came in stand, with their tries, and where those of ours do."""
    with desk.house.database.engine.connect() as connection:
        came = connection.execute(speech.inbound.select().order_by(speech.inbound.c.id)).all()
        went = connection.execute(outbox.message.select().order_by(outbox.message.c.id)).all()
    return [(row.state, row.tries) for row in came], [row.state for row in went]


def test_both_stand_on_the_page_in_words(desk: Desk, stuck: dict[str, str]) -> None:
    """Today and the alerts lead there; the page has the words, the gateway's reason and the buttons."""
    page = desk.text("/doubts")

    assert stuck
    assert "1 text</b> <span>could not be sent" in desk.text("/")
    assert "3 texts</strong> could not be read or sent" in desk.text("/alerts")
    for words in (
        "vuna \u2603 12",
        "hodi hodi",
        "Kesho chuma.",
        "it was told: no such number",
        "Mark as seen",
    ):
        assert words in page


@pytest.mark.parametrize("which", ["unread", "failed"])
def test_seen_is_seen(desk: Desk, stuck: dict[str, str], which: str) -> None:
    """It leaves the list, nothing else happens, and pressed again it is not there."""
    answers = [desk.send(stuck[which], do="seen").status_code for _ in range(2)]
    page = desk.text("/doubts")

    assert [303, 404] == answers
    assert (which == "failed", which == "unread") == ("vuna" in page, "Kesho chuma." in page)
    assert ["failed"] == states(desk)[1]
    assert ("stored", 3) not in states(desk)[0]


def test_tried_again_they_are_as_new(desk: Desk, stuck: dict[str, str]) -> None:
    """One waits to be read with three tries, the other to be sent; both leave the list, and the record says who."""
    answers = [desk.send(path, do="again").status_code for path in stuck.values()]
    with desk.house.database.look() as work:
        actions = {row.action for row in work.audit.rows()}

    assert [303, 303] == answers
    assert ([("stored", 0), ("corrupt", 3)], ["due"]) == states(desk)
    assert {"inbound.read_again", "message.tried_again"} <= actions


def test_what_is_of_no_more_use_is_only_seen(desk: Desk, stuck: dict[str, str]) -> None:
    """A text whose time has passed is not sent, and the refusal says what to do."""
    desk.house.service_clock.advance(timedelta(days=3))
    answer = desk.send(stuck["failed"], do="again")

    assert 400 == answer.status_code
    assert "Its time has passed: it is of no more use to the farmer. Mark it as seen." in answer.text


@pytest.mark.parametrize(
    "path", ["/doubts/failed/tomorrow/1", "/doubts/failed/2026-11-25/99", "/doubts/unread/99"]
)
def test_what_is_not_there(desk: Desk, path: str) -> None:
    """An odd address is no fault of ours."""
    assert 404 == desk.send(path, do="seen").status_code


def test_an_unknown_button_does_nothing(desk: Desk, stuck: dict[str, str]) -> None:
    """Only what stands on the page can be pressed."""
    assert 400 == desk.send(stuck["unread"], do="burn").status_code


def test_strangers_texts_are_for_who_has_all_districts(
    desk: Desk, stuck: dict[str, str], planter: Planter
) -> None:
    """An officer sees those of farmers in their own districts, and no other."""
    desk.sign_in("Grace", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    own = desk.text("/doubts")
    desk.sign_in("Juma", role=Role.OFFICER, districts=frozenset({planter.districts["Zaruvi"]}))
    other = desk.text("/doubts")

    assert stuck
    assert (True, True, False) == ("vuna" in own, "Kesho chuma." in own, "hodi hodi" in own)
    assert (False, False, False) == ("vuna" in other, "Kesho chuma." in other, "hodi hodi" in other)
