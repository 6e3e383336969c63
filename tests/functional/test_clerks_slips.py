"""A clerk's slips: asked about, put right before the farmer hears of them, and corrected by one text afterwards."""

from datetime import timedelta
from pathlib import Path
from typing import Final

import pytest

from service.core.rights import Role
from service.settings import given_settings
from tests.riverside import SATURDAY, Riverside, until
from tests.stand_in_house import StandInHouse
from tests.village import ZONE, Phone, Village
from tests.web_desk import Desk, app_of

FRIDAY: Final = SATURDAY - timedelta(days=1)


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside."""
    return Riverside(village)


@pytest.fixture
def neema(village: Village, group: Riverside) -> Phone:
    """Neema, who has said to bring 12 kg on Saturday; it is eleven on that day."""
    phone = group.joins()
    group.is_collected()
    until(village, FRIDAY, 18)
    phone.says("12")
    until(village, SATURDAY, 11)
    return phone


@pytest.fixture
def desk(village: Village, group: Riverside, tmp_path: Path) -> Desk:
    """A browser before the pages of the village, with a clerk of Ketumali signed in."""
    house = StandInHouse(
        settings=given_settings(demo=True, zone=ZONE, data_dir=tmp_path),
        database=village.database,
        service_clock=village.clock,
        ids=village.tools.ids,  # type: ignore[arg-type]
        network=village.gateway,
    )
    desk = Desk(house=house, app=app_of(house))
    desk.sign_in("Clerk Pili", role=Role.CLERK, districts=group.officer.districts or frozenset())
    return desk


def enters(desk: Desk, group: Riverside, **form: str) -> int:
    """Let the clerk enter what Neema brought, and return what the page answers."""
    at = f"/collections/{group.collection_id}/2026-11-28/{group.farmer('Neema')}"
    return desk.send(at, **{"price": "2500", **form}).status_code


def minutes_pass(village: Village, minutes: int) -> None:
    """Let so many minutes pass."""
    village.clock.advance(timedelta(minutes=minutes))
    village.work_through()


def kept(village: Village) -> list[object]:
    """Return the grams that stand."""
    rows = village.rows("SELECT accepted_g FROM delivery WHERE voided_at IS NULL")
    return [row["accepted_g"] for row in rows]


def test_a_nought_too_many_is_asked_about_and_nothing_is_lost(
    village: Village, group: Riverside, neema: Phone, desk: Desk
) -> None:
    """Both weights stand beside each other, what was typed stands in the form, and one button keeps it."""
    day = f"/collections/{group.collection_id}/2026-11-28"
    at = f"{day}/{group.farmer('Neema')}"
    asked = desk.send(at, accepted="120", price="2500")
    before = kept(village)
    # Another weight than the one that was asked about is asked about again.
    other = desk.send(at, accepted="130", price="2500", sure="120000+0")
    done = desk.send(at, accepted="120", price="2500", sure="120000+0")

    assert "120 kg from a farmer who announced 12 kg: is it right?" in asked.text
    assert 'value="120"' in asked.text
    assert 'name="sure" value="120000+0"' in asked.text
    assert [] == before
    assert "130 kg from a farmer who announced 12 kg" in other.text
    assert 303 == done.status_code
    assert [120_000] == kept(village)


def test_what_is_put_right_within_the_minutes_is_never_texted(
    village: Village, group: Riverside, neema: Phone, desk: Desk
) -> None:
    """The page says when the text leaves; the farmer hears once, of what is right."""
    day = f"/collections/{group.collection_id}/2026-11-28"
    before = neema.texts
    enters(desk, group, accepted="21.5")
    minutes_pass(village, 9)
    page = desk.text(day)
    enters(desk, group, accepted="12.5")
    minutes_pass(village, 9)
    still = neema.texts
    minutes_pass(village, 1)
    later = desk.text(day)

    assert "The text leaves at 11:10." in page
    assert before == still
    assert len(before) + 1 == len(neema.texts)
    assert neema.last == (
        "Neema, your fruit of Sat 28/11: 12.5 kg accepted at TZS 2,500 a kilo, you are owed TZS 31,250. "
        "If that is wrong tell your officer."
    )
    assert "The text has left." in later


def test_what_is_taken_back_within_the_minutes_is_never_texted(
    village: Village, group: Riverside, neema: Phone, desk: Desk
) -> None:
    """The wrong row was hit: its farmer hears nothing."""
    before = neema.texts
    enters(desk, group, accepted="12.5")
    desk.send(f"/collections/{group.collection_id}/2026-11-28/{group.farmer('Neema')}/back")
    minutes_pass(village, 30)

    assert before == neema.texts
    assert [] == kept(village)


def test_afterwards_one_text_corrects_what_was_heard(
    village: Village, group: Riverside, neema: Phone, desk: Desk
) -> None:
    """Several corrections are one text, and one that leads back to what was heard is none."""
    enters(desk, group, accepted="12.5")
    minutes_pass(village, 10)
    heard = neema.texts
    enters(desk, group, accepted="13")
    enters(desk, group, accepted="12.5")
    minutes_pass(village, 10)
    back_again = neema.texts
    enters(desk, group, accepted="13")
    enters(desk, group, accepted="10", rejected="2", reason="mould")
    minutes_pass(village, 10)

    assert heard == back_again
    assert len(heard) + 1 == len(neema.texts)
    assert neema.last == (
        "Neema, corrected for Sat 28/11: 10 kg accepted, 2 kg not (mould). You are owed TZS 25,000. "
        "If wrong tell your officer."
    )


def test_taken_back_afterwards_is_told_too(
    village: Village, group: Riverside, neema: Phone, desk: Desk
) -> None:
    """Who has heard of money hears that there is none."""
    enters(desk, group, accepted="12.5")
    minutes_pass(village, 10)
    desk.send(f"/collections/{group.collection_id}/2026-11-28/{group.farmer('Neema')}/back")
    minutes_pass(village, 10)

    assert "what was noted of your fruit of Sat 28/11 is taken back" in neema.last


def test_in_the_evening_the_page_says_that_the_text_waits_for_the_morning(
    village: Village, group: Riverside, neema: Phone, desk: Desk
) -> None:
    """No text of this leaves at night."""
    until(village, SATURDAY, 20)
    enters(desk, group, accepted="12.5")

    page = desk.text(f"/collections/{group.collection_id}/2026-11-28")

    assert "The text leaves at 07:00 on Sun 29 Nov." in page
