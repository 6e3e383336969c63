"""A form that meets an ended session: what was typed is there again after signing in, and nothing was done."""

from datetime import timedelta
from html import unescape

import pytest
from sqlalchemy import select
from werkzeug.test import TestResponse

from service.core.rights import Role
from service.db.tables.people import farmer
from service.db.tables.staff import kept_form
from service.use_cases.kept_forms import forget_forms
from service.web.refill import Refill
from tests.stand_in_house import StandInHouse, fill
from tests.web_desk import ORIGIN, Desk

TYPED = {
    "number": "0621 234 599",
    "name": "Rehema <b>",
    "language": "sw",
    "district": "",
    "plants": "250",
    "planted": "2026-05-20",
    "precision": "exact",
    "way": "text",
}


@pytest.fixture
def at_work(desk: Desk, house: StandInHouse) -> Desk:
    """An officer among farmers, who has opened a form half an hour ago."""
    fill(house)
    return desk


def send_too_late(desk: Desk, house: StandInHouse, page: str, path: str, **form: str) -> TestResponse:
    """Open a page, leave it for longer than a session lasts, and send its form."""
    token = desk.token()
    house.real_clock.advance(timedelta(minutes=31))
    headers = {"Origin": ORIGIN, "Referer": f"{ORIGIN}{page}"}
    return desk.client.post(path, data={**form, "token": token}, headers=headers)


def come_back(desk: Desk, house: StandInHouse, sent_to: str, name: str = "Officer Mlima") -> str:
    """Sign in on the page one was sent to, and return the page one comes to."""
    page = desk.text(sent_to)
    to = unescape(page.partition('name="to" value="')[2].partition('"')[0])
    _, code = house.officer_code(name, role=Role.ADMINISTRATOR)
    response = desk.send("/sign-in", token="", code=code, to=to)
    return desk.text(response.location)


def kept(house: StandInHouse) -> list[bytes]:
    """Return what is kept, as it lies in the database."""
    with house.database.engine.connect() as connection:
        return list(connection.execute(select(kept_form.c.sealed)).scalars())


def names(house: StandInHouse) -> list[str]:
    """Return the farmers there are."""
    with house.database.engine.connect() as connection:
        return [name for name in connection.execute(select(farmer.c.name)).scalars() if name]


def test_what_was_typed_is_back_after_signing_in(at_work: Desk, house: StandInHouse) -> None:
    """A new farmer typed for longer than a session lasts: the form is filled again, and nobody was added by itself."""
    district = str(house.district_of(fill_id(house)))
    sent = send_too_late(at_work, house, "/farmers/new", "/farmers/new", **{**TYPED, "district": district})
    signed_out = at_work.text(sent.location)
    page = come_back(at_work, house, sent.location)

    assert 303 == sent.status_code
    assert "nothing was sent" in signed_out
    assert "is back in the form" in page
    assert 'value="0621 234 599"' in page
    assert 'value="Rehema &lt;b&gt;"' in page
    assert f'value="{district}" selected' in page
    assert "Rehema <b>" not in names(house)


def fill_id(house: StandInHouse) -> int:
    """Return any farmer."""
    with house.database.engine.connect() as connection:
        return int(connection.execute(select(farmer.c.id).limit(1)).scalar_one())


def test_sending_the_filled_form_does_it_and_forgets_it(at_work: Desk, house: StandInHouse) -> None:
    """The officer presses the button again, as always; then nothing is kept any more."""
    district = str(house.district_of(fill_id(house)))
    typed = {**TYPED, "name": "Rehema", "district": district}
    sent = send_too_late(at_work, house, "/farmers/new", "/farmers/new", **typed)
    come_back(at_work, house, sent.location)
    was_kept = len(kept(house))
    headers = {"Origin": ORIGIN, "Referer": f"{ORIGIN}/farmers/new?kept=1"}
    at_work.client.post("/farmers/new", data={**typed, "token": at_work.token()}, headers=headers)

    assert (1, 0) == (was_kept, len(kept(house)))
    assert "Rehema" in names(house)
    assert "is back in the form" not in at_work.text("/farmers/new?kept=1")


def test_only_the_same_officer_sees_it(at_work: Desk, house: StandInHouse) -> None:
    """Whoever signs in under another name on the same computer gets the empty form."""
    sent = send_too_late(at_work, house, "/farmers/new", "/farmers/new", **TYPED)
    page = come_back(at_work, house, sent.location, name="Officer Mto")

    assert "0621 234 599" not in page
    assert "is back in the form" not in page


def test_it_is_kept_sealed_and_for_an_hour(at_work: Desk, house: StandInHouse) -> None:
    """The database shows nothing of it; after an hour it is neither shown nor kept."""
    sent = send_too_late(at_work, house, "/farmers/new", "/farmers/new", **TYPED)
    sealed = kept(house)
    house.real_clock.advance(timedelta(minutes=61))
    page = come_back(at_work, house, sent.location)
    with house.database.work() as work:
        gone = forget_forms(work, house.real_clock.now())

    assert 1 == gone == len(sealed)
    assert b"Rehema" not in sealed[0]
    assert "0621 234 599" not in page
    assert [] == kept(house)


@pytest.mark.parametrize("forged", ["", "A" * 88], ids=["no token", "another token"])
def test_a_form_without_the_sessions_token_is_not_kept(
    forged: str, at_work: Desk, house: StandInHouse
) -> None:
    """Only a form that really came from that session is kept."""
    house.real_clock.advance(timedelta(minutes=31))
    sent = at_work.send("/farmers/new", token=forged, **TYPED)

    assert 401 == sent.status_code
    assert [] == kept(house)


def test_a_session_that_was_signed_out_keeps_nothing(at_work: Desk, house: StandInHouse) -> None:
    """Who has signed out in another window has left: nothing is kept in their name."""
    token = at_work.token()
    cookie = at_work.client.get_cookie("trussline")
    at_work.send("/sign-out")
    assert cookie is not None
    at_work.client.set_cookie("trussline", cookie.value)
    sent = at_work.send("/farmers/new", token=token, **TYPED)

    assert 401 == sent.status_code
    assert [] == kept(house)


def test_passwords_are_never_kept(at_work: Desk, house: StandInHouse) -> None:
    """The forms of the account and of signing in are not kept."""
    words = {"password": "a long one of many words"}
    sent = send_too_late(at_work, house, "/account/password", "/account/password", **words)

    assert 401 == sent.status_code
    assert [] == kept(house)


def test_words_of_an_alert_and_ticks_come_back(at_work: Desk, house: StandInHouse) -> None:
    """Text fields, ticks and choices inside folded parts: as they were left, and unfolded where something is chosen."""
    typed = {
        "key": "abc",
        "template": "",
        "words_en": 'Tools & "nets"\nin the store',
        "words_sw": "",
        "asks": "yes",
        "language": "sw",
        "send_at": "",
        "useless_after": "2026-11-26T18:00",
        "do": "keep",
    }
    sent = send_too_late(at_work, house, "/alerts/new?template=", "/alerts/new", **typed)
    page = come_back(at_work, house, sent.location)

    assert "Tools &amp; &quot;nets&quot;\nin the store</textarea>" in page
    assert 'name="asks" value="yes" checked' in page
    assert 'name="urgent" value="yes">' in page
    assert 'name="language" value="sw" checked' in page
    assert "<details open>\n<summary>Only some of their farmers" in page


def test_a_form_that_is_not_on_the_page_is_told_in_words(at_work: Desk, house: StandInHouse) -> None:
    """A step that has no page of its own: what was typed is listed, so that it can be typed again."""
    sent = send_too_late(at_work, house, "/farmers", "/questions/Q999/answer", words="Water at dawn")
    page = come_back(at_work, house, sent.location)

    assert "the form is not on this page" in page
    assert "words: Water at dawn" in page


def test_a_page_without_the_form_is_copied_to_the_letter(at_work: Desk) -> None:
    """Filling changes nothing but the fields: every page comes out as it went in."""
    pages = [
        at_work.text(path) for path in ("/", "/farmers", "/farmers/new", "/alerts/new", "/weather", "/report")
    ]

    assert pages == [Refill("/nowhere", "/here", (), frozenset()).page(page) for page in pages]
