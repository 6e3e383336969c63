"""Questions on the pages: whom to call, an answer by text with what it costs, and what was done."""

import re
from datetime import timedelta
from typing import Final

import pytest
from sqlalchemy import select

from flows.alarms import Harm
from service.core.rights import Role
from service.db.tables import outbox, speech, staff
from tests.stand_in_house import NUMBERS, Planter
from tests.web_desk import Desk

ASKED = "majani ya manjano baada ya mvua, nifanye nini?"


@pytest.fixture
def code(planter: Planter) -> str:
    """A question of a farmer in a village of Ndaliro; its code."""
    farmer, phone = planter.farmer("Asha Mwarobi", village_id=planter.village("Kilima"))
    return planter.question(phone, ASKED, ago=timedelta(hours=3), farmer_id=farmer)


def plain(page: str) -> str:
    """Return the words of a page's main part."""
    return " ".join(re.sub(r"<[^>]+>", " ", page.partition("<main")[2]).split())


def texts(desk: Desk) -> list[tuple[str, str]]:
    """Return the kind and words of all texts in the outbox."""
    with desk.house.database.engine.connect() as connection:
        found = connection.execute(select(outbox.message.c.kind, outbox.message.c.text))
        return [(row.kind, row.text) for row in found]


def test_today_says_who_asked_where_and_what_and_offers_what_can_be_done(desk: Desk, code: str) -> None:
    """Name, village, district, how long ago, the words, the language of the answer and three ways to act."""
    page = desk.text("/")
    words = plain(page)

    assert f"3 hours question {ASKED} Asha Mwarobi , Kilima, Ndaliro, phone …560" in words
    assert "Answer by text, in Swahili" in words
    for button in ("Show the number to call", "Send the answer", "I called", "Done"):
        assert f">{button}</button>" in page
    assert f'data-measured="/questions/{code}/measure"' in page


def test_an_answer_leaves_and_the_question_waits_no_more(desk: Desk, code: str) -> None:
    """The page then says who answered, in which words, and that Today has one thing less."""
    answer = desk.send(f"/questions/{code}/answer", do="send", words="Ondoa majani hayo asubuhi.")
    page = plain(desk.text(answer.location))

    assert (303, f"/questions/{code}") == (answer.status_code, answer.location)
    assert [("answer", "Officer Mlima, Zaruvi Berry Programme: Ondoa majani hayo asubuhi.")] == texts(desk)
    assert "It is answered and waits for nobody" in page
    assert "Officer Mlima answered by text Wed 25 Nov 06:41: “Ondoa majani hayo asubuhi.”" in page
    assert "(waits to be sent)" in page
    assert ASKED not in desk.text("/")


def test_words_are_counted_and_refused_before_anything_is_sent(desk: Desk, code: str) -> None:
    """The form's own button and the script's question tell the same: the whole text, parts, and what may not be said."""
    words = "Tumia 30 ml, ni salama ✓"
    live = desk.send(f"/questions/{code}/measure", words=words).text
    counted = desk.send(f"/questions/{code}/answer", do="measure", words=words).text
    refused = desk.send(f"/questions/{code}/answer", do="send", words=words)

    for page in (live, counted):
        assert "1 part, 63 of 70 used" in page
        assert "“30 ml” may not stand in it" in page
        assert "“salama” may not stand in it" in page
        assert "makes every part hold 70 characters" in page
    assert 400 == refused.status_code
    assert "may not say “30 ml”" in refused.text
    assert f">{words}</textarea>" in refused.text
    assert [] == texts(desk)


POISON: Final = {"intent": "emergency", "understood": {"harm": "poison"}, "language": "sw"}


def alarm(planter: Planter, **reading: object) -> str:
    """Let a child of Asha's have drunk something, in Swahili, whatever language the record has; return the code."""
    farmer, phone = planter.farmer("Asha Mwarobi", language="en")
    words, ago = "mtoto amekunywa dawa ya kuua wadudu", timedelta(minutes=8)
    text = planter.text_in(phone, words, ago=ago, farmer_id=farmer, **reading)
    return planter.question(
        phone, words, ago=ago, farmer_id=farmer, urgency="emergency", code="DAWA", inbound_id=text
    )


@pytest.mark.parametrize("path", ["/", "/questions/DAWA", "/farmers/1"])
def test_an_alarm_says_why_and_whom_to_call(desk: Desk, planter: Planter, path: str) -> None:
    """The reason in the officer's language, the farmer's words as written, and the number one press away, unfolded."""
    alarm(planter, **POISON)
    with desk.house.database.engine.connect() as connection:
        farmer = connection.execute(select(speech.question.c.farmer_id)).scalar_one()
    page = desk.text(path if path != "/farmers/1" else f"/farmers/{farmer}")
    unfolded = re.sub(r"<details.*?</details>", "", page.partition('class="alarm"')[2], flags=re.DOTALL)

    assert (
        "Words of poisoning: somebody may have swallowed, breathed in or touched something harmful. Written in Swahili:"
        in page
    )
    assert '<p class="said" lang="sw">mtoto amekunywa dawa ya kuua wadudu</p>' in page
    assert 'action="/questions/DAWA/number"' in unfolded
    assert 1 == page.count('action="/questions/DAWA/number"')


def test_each_kind_of_harm_is_told_in_words(desk: Desk, planter: Planter) -> None:
    """An officer who calls back knows before the first word what may have happened."""
    for harm in Harm:
        farmer, phone = planter.farmer("Asha Mwarobi", language="en")
        read = {"intent": "emergency", "understood": {"harm": harm.value}, "language": "en"}
        text = planter.text_in(phone, "help", ago=timedelta(minutes=8), farmer_id=farmer, **read)
        planter.question(
            phone,
            "help",
            ago=timedelta(minutes=8),
            farmer_id=farmer,
            urgency="emergency",
            code=f"X{harm.value.upper()}",
            inbound_id=text,
        )
    said = {harm: desk.text(f"/questions/X{harm.value.upper()}") for harm in Harm}
    told = {
        Harm.POISON: "Words of poisoning",
        Harm.FIRE: "Words of fire",
        Harm.SHOCK: "Words of an electric shock",
        Harm.SNAKE: "Words of a snake bite",
        Harm.INJURY: "Words of a wound or of blood",
        Harm.BURNS: "Words of burns",
        Harm.HEAT: "Words of fainting or of too much sun",
        Harm.UNCLEAR: "the text does not tell clearly how",
    }

    assert told.keys() == said.keys()
    assert [] == [harm for harm, words in told.items() if words not in said[harm]]


def test_an_alarm_is_answered_in_the_language_of_its_words(desk: Desk, planter: Planter) -> None:
    """Whoever holds the phone wrote Swahili: the box asks for that, whatever the record says; so the text leaves."""
    code = alarm(planter, **POISON)
    page = plain(desk.text("/"))
    desk.send(f"/questions/{code}/answer", do="send", words="Nenda hospitali sasa.")
    with desk.house.database.engine.connect() as connection:
        left = connection.execute(select(outbox.message.c.language)).scalars().all()

    assert "Answer by text, in Swahili" in page
    assert "This text was written in Swahili. Their record says English." in page
    assert ["sw"] == left


def test_a_question_is_answered_in_the_language_of_the_record(
    desk: Desk, planter: Planter, code: str
) -> None:
    """A stranger's, who has none, in that of the words; without words of a language in the programme's."""
    for name, language in (("NENO", "sw"), ("NAMBA", None)):
        phone = planter.phone()
        text = planter.text_in(phone, name, ago=timedelta(hours=1), intent="words", language=language)
        planter.question(phone, name, ago=timedelta(hours=1), code=name, inbound_id=text)
    pages = {one: plain(desk.text(f"/questions/{one}")) for one in (code, "NENO", "NAMBA")}

    assert "Answer by text, in Swahili The farmer reads Swahili." in pages[code]
    assert "This text was written in Swahili." in pages["NENO"]
    assert "in English" in pages["NAMBA"]
    assert "Nobody knows what they read: it is the language of the programme." in pages["NAMBA"]


def test_the_number_is_shown_on_purpose_only(desk: Desk, code: str) -> None:
    """It stands behind a button, as a link to call (RFC 3966), and that it was shown is kept."""
    before = desk.text(f"/questions/{code}") + desk.text("/")
    page = desk.send(f"/questions/{code}/number").text
    with desk.house.database.look() as work:
        kept = [(row.action, row.officer_id) for row in work.audit.rows()]

    assert NUMBERS[0] not in before
    assert f'href="tel:{NUMBERS[0]}">Call +255 621 234 560</a>' in page
    assert [("number.shown", 1)] == kept[-1:]
    assert 405 == desk.get(f"/questions/{code}/number").status_code


@pytest.mark.parametrize(("do", "told"), [("called", "called"), ("done", "saw to it")])
def test_closing_and_opening_again(desk: Desk, code: str, do: str, told: str) -> None:
    """Who closed it and the note are told here and on the farmer's page; opened again, it is back on Today."""
    desk.send(f"/questions/{code}/close", do=do, note="Amepona.")
    with desk.house.database.engine.connect() as connection:
        farmer = connection.execute(select(speech.question.c.farmer_id)).scalar_one()
    there = plain(desk.text(f"/farmers/{farmer}"))
    gone = ASKED not in desk.text("/")
    again = desk.send(f"/questions/{code}/open")

    assert f"Officer Mlima {told} Wed 25 Nov 06:41: Amepona." in there
    assert "Questions that were answered or closed: 1" in there
    assert gone
    assert 303 == again.status_code
    assert ASKED in desk.text("/")
    assert "taken back by Officer Mlima" in plain(desk.text(f"/questions/{code}"))
    assert [] == texts(desk)


def test_whoever_comes_second_is_told(desk: Desk, code: str) -> None:
    """The second press names who was quicker, with what they did below."""
    desk.send(f"/questions/{code}/close", do="called")
    answer = desk.send(f"/questions/{code}/answer", do="send", words="Maji kidogo.")

    assert 409 == answer.status_code
    assert "Officer Mlima was quicker" in answer.text
    assert [] == texts(desk)


def test_a_phone_that_said_stop_is_only_called(desk: Desk, code: str) -> None:
    """No field for a text is offered, and the page says why."""
    with desk.house.database.work() as work:
        found = work.questions.find(None, code)
        assert found is not None
        work.people.stop(found.phone_id, desk.house.service_clock.now())
        work.commit()
    page = desk.text(f"/questions/{code}")

    assert "has said STOP" in page
    assert "<textarea" not in page
    assert "Show the number to call" in page


def test_a_wrong_button_or_code_does_nothing(desk: Desk, code: str) -> None:
    """A button nobody offered is a mistake, and a code nobody has is not there."""
    assert 400 == desk.send(f"/questions/{code}/close", do="burn").status_code
    assert 404 == desk.send("/questions/NONE/close", do="done").status_code
    assert 404 == desk.get("/questions/NONE").status_code
    assert 400 == desk.send(f"/questions/{code}/close", do="done", note="a" * 301).status_code
    assert ASKED in desk.text("/")


def test_an_officer_acts_in_their_name(desk: Desk, code: str, planter: Planter) -> None:
    """Texts and record name whoever is signed in."""
    officer = Desk(house=desk.house, app=desk.app)
    officer.sign_in("Juma Kesho", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    officer.send(f"/questions/{code}/answer", do="send", words="Nakuja leo.")
    with desk.house.database.engine.connect() as connection:
        named = select(staff.officer.c.name).join(
            speech.answer, speech.answer.c.officer_id == staff.officer.c.id
        )
        assert ["Juma Kesho"] == list(connection.execute(named).scalars())

    assert "Juma Kesho, Zaruvi" in texts(desk)[0][1]
