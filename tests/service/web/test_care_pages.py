"""Buttons on a farmer's page: edit, another number, pause and stop, and what each says afterwards."""

import re

import pytest

from service.core.rights import Role
from tests.stand_in_house import Planter, StandInHouse
from tests.web_desk import Desk


@pytest.fixture
def asha(planter: Planter) -> str:
    """The path of Asha's page; her plot is in the midst of picking."""
    farmer, _ = planter.farmer("Asha")
    planter.plot(farmer)
    return f"/farmers/{farmer}"


def links(page: str) -> list[str]:
    """Return what the buttons at the top lead to, without the farmer."""
    top = page.partition('<div class="deeds pairs">')[2].partition("</div>")[0]
    return re.findall(r'(?:href|action)="/farmers/\d+/([\w/]+)"', top)


def told(page: str) -> str:
    """Return what the page says was kept."""
    return page.partition('role="status">')[2].partition("</p>")[0]


def test_pause_and_going_on(desk: Desk, asha: str) -> None:
    """The form offers two weeks; afterwards the page says until when, and offers to go on."""
    form = desk.text(f"{asha}/pause")
    paused = desk.text(desk.send(f"{asha}/pause", until="2026-12-09").location)
    on = desk.text(desk.send(f"{asha}/resume").location)

    assert 'value="2026-12-09"' in form
    assert "<strong>Paused until Wed 9 Dec.</strong>" in paused
    assert "no job is texted before that day" in told(paused)
    assert ["edit", "number", "resume", "stop"] == links(paused)
    assert "The pause is over" in told(on)
    assert ["edit", "number", "pause", "stop"] == links(on)


@pytest.mark.parametrize("until", ["", "soon", "2026-11-25", "2027-12-01"])
def test_a_day_that_is_none_is_told(until: str, desk: Desk, asha: str) -> None:
    """The form comes again with a sentence."""
    response = desk.send(f"{asha}/pause", until=until)

    assert 400 == response.status_code
    assert 'class="wrong"' in response.text


def test_stop_says_what_follows_and_can_be_taken_back(desk: Desk, asha: str) -> None:
    """Before the button stands what it does, and how everything is removed; afterwards it can be taken back."""
    form = desk.text(f"{asha}/stop")
    stopped = desk.text(desk.send(f"{asha}/stop").location)
    back = desk.text(desk.send(f"{asha}/stop/back").location)

    assert "Only on the farmer's own word" in form
    assert "RECORDS" in form
    assert "Has stopped all texts." in stopped
    assert "ended on their word, 25 November 2026, Officer Mlima" in stopped
    assert ["edit", "stop/back"] == links(stopped)
    assert "Taken back" in told(back)
    assert ["edit", "number", "pause", "stop"] == links(back)


def test_a_stop_of_their_own_is_not_taken_back(desk: Desk, planter: Planter) -> None:
    """No button is there, and by hand it is refused with a sentence."""
    farmer, _ = planter.farmer("Asha", state="stopped")
    page = desk.text(f"/farmers/{farmer}")
    response = desk.send(f"/farmers/{farmer}/stop/back")

    assert ["edit"] == links(page)
    assert 409 == response.status_code
    assert "by a text of their own: JOIN" in response.text


def test_who_has_not_said_yes_is_not_stopped(desk: Desk, planter: Planter) -> None:
    """No button is there; by hand the form comes again and says that their own answer decides."""
    farmer, _ = planter.farmer("Asha", state="pending")
    page = desk.text(f"/farmers/{farmer}")
    response = desk.send(f"/farmers/{farmer}/stop")

    assert "stop" not in links(page)
    assert 400 == response.status_code
    assert "has not said yes yet and gets no texts" in response.text
    assert "Only on the farmer's own word" in response.text


def test_edit_keeps_who_they_are(desk: Desk, planter: Planter, asha: str) -> None:
    """The form holds what is there; kept, the page shows it; sent once more from an older page it is refused."""
    village = planter.village("Upper Field", "Ketumali")
    form = desk.text(f"{asha}/edit")
    seen = re.findall(r'name="seen" value="([^"]+)"', form)[0]
    fields = {
        "seen": seen,
        "name": " Aisha  Mwarobi ",
        "language": "en",
        "district": str(planter.districts["Ketumali"]),
        "village": str(village),
    }
    page = desk.text(desk.send(f"{asha}/edit", **fields).location)
    again = desk.send(f"{asha}/edit", **fields).status_code
    late = desk.send(f"{asha}/edit", **{**fields, "name": "Amina"})

    assert 'value="Asha"' in form
    assert "<h1>Aisha Mwarobi</h1>" in page
    assert "Ketumali, Upper Field" in page
    assert "<dt>Language</dt><dd>English</dd>" in page
    assert "Kept" in told(page)
    assert (303, 400) == (again, late.status_code)
    assert "Somebody has changed this farmer meanwhile" in late.text
    assert 'value="Amina"' in late.text


def test_a_new_name_that_texts_cannot_write_is_said_first(desk: Desk, planter: Planter, asha: str) -> None:
    """Once, and only where the name changes; sent again it is kept."""
    form = desk.text(f"{asha}/edit")
    fields = {
        "seen": form.partition('name="seen" value="')[2].partition('"')[0],
        "name": "Aša",
        "language": "sw",
        "district": str(planter.districts["Ndaliro"]),
    }
    first = desk.send(f"{asha}/edit", **fields)
    kept = desk.send(f"{asha}/edit", **fields, written="Aša")
    seen = desk.text(f"{asha}/edit").partition('name="seen" value="')[2].partition('"')[0]
    other = desk.send(f"{asha}/edit", **{**fields, "seen": seen, "language": "en"})

    assert (400, 303, 303) == (first.status_code, kept.status_code, other.status_code)
    assert "“š” would double the cost of each text that names it, so texts will say “Asa”" in first.text


def test_another_number_is_asked_and_taken_back(desk: Desk, asha: str, house: StandInHouse) -> None:
    """The page says that it was asked, shows its last digits, and offers to take it back."""
    asked = desk.text(desk.send(f"{asha}/number", number="0621 234 577").location)
    with house.database.engine.connect() as connection:
        texts = connection.exec_driver_sql("SELECT kind, state FROM message").all()
    back = desk.text(desk.send(f"{asha}/number/back").location)

    assert "The new number has been asked" in told(asked)
    assert "<dt>New number</dt><dd>ending …577, asked Wed 25 Nov, no answer yet</dd>" in asked
    assert "ending …560" in asked
    assert [("invitation", "due")] == [tuple(row) for row in texts]
    assert "number/back" in links(asked)
    assert "…577" not in back


def test_old_number_that_is_gone_is_left(desk: Desk, asha: str) -> None:
    """Where the old number is lost nothing goes there, and the page says that no text reaches them."""
    page = desk.text(desk.send(f"{asha}/number", number="0621 234 577", gone="yes").location)

    assert "nothing goes to the old one any more" in told(page)
    assert "None: no text reaches them." in page


def test_known_number_is_stopped_at(desk: Desk, planter: Planter, asha: str) -> None:
    """Another farmer's number is shown with who has it; the officer can go on, or change what was typed."""
    planter.farmer("Juma")
    stopped = desk.send(f"{asha}/number", number="0621 234 561")
    back = desk.send(f"{asha}/number", number="0621 234 561", back="yes")
    shared = desk.send(f"{asha}/number", number="0621 234 561", sharing="yes")

    assert 409 == stopped.status_code
    assert "It is Juma: open their page" in stopped.text
    assert f'action="{asha}/number"' in stopped.text
    assert (200, True) == (back.status_code, 'value="0621 234 561"' in back.text)
    assert 303 == shared.status_code


@pytest.mark.parametrize("number", ["", "12", "0621 234 560"])
def test_number_that_cannot_be_is_told(number: str, desk: Desk, asha: str) -> None:
    """What is no number, and what is theirs already, is told in a sentence."""
    response = desk.send(f"{asha}/number", number=number)

    assert 400 == response.status_code
    assert 'class="wrong"' in response.text


def test_only_own_districts_are_offered(desk: Desk, house: StandInHouse, planter: Planter, asha: str) -> None:
    """An officer of one district is offered no other, and cannot move the farmer there by hand."""
    other = Desk(house=house, app=desk.app)
    other.sign_in("Grace", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    form = other.text(f"{asha}/edit")
    seen = re.findall(r'name="seen" value="([^"]+)"', form)[0]
    there = str(planter.districts["Zaruvi"])
    moved = other.send(f"{asha}/edit", seen=seen, name="Asha", language="sw", district=there)

    assert ["Ndaliro"] == re.findall(r'<option value="\d+"[^>]*>([^<]+)</option>', form)
    assert 400 == moved.status_code
    assert "one of your own districts" in moved.text
