"""Stories of a clerk's phone at the scales: noted by the list's number, asked about, put right, and other phones."""

from datetime import timedelta
from typing import Final

import pytest

from service.core.phone import read_number
from service.core.rights import Role
from service.use_cases.collecting.paying import pay
from tests.riverside import SATURDAY, Riverside, until
from tests.village import Phone, Village

PRICE: Final = 2_500
HOW: Final = "Text SCALE, the number on the list"


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside."""
    return Riverside(village)


@pytest.fixture
def neema(village: Village, group: Riverside) -> Phone:
    """Neema, number 2 of the list behind Asha, who has said to bring 12 kg; a price is known; eleven on Saturday."""
    group.joins(name="Asha")
    phone = group.joins()
    group.is_collected()
    until(village, SATURDAY - timedelta(days=1), 18)
    phone.says("12")
    until(village, SATURDAY, 11)
    return phone


@pytest.fixture
def clerk(village: Village, group: Riverside, neema: Phone) -> Phone:
    """The phone of a clerk of Ketumali; the last delivery was Asha's, at 2,500."""
    phone = village.phone()
    with village.database.work() as work:
        made = work.staff.add_officer("Clerk Pili", Role.CLERK, village.clock.now())
        work.staff.set_districts(made.id, group.officer.districts or frozenset())
        work.staff.add_phone(
            made.id, work.people.phone_for(read_number(phone.number, "TZ"), village.clock.now())
        )
        work.commit()
    group.brings("Asha", 8_000, PRICE)
    return phone


def kept(village: Village) -> list[tuple[object, ...]]:
    """Return what stands of Neema's deliveries."""
    rows = village.rows(
        "SELECT accepted_g, rejected_g, reason, amount FROM delivery JOIN farmer ON farmer.id = farmer_id"
        " WHERE voided_at IS NULL AND name = 'Neema'"
    )
    return [tuple(row.values()) for row in rows]


def test_a_basket_is_noted_and_the_farmer_hears_later(village: Village, clerk: Phone, neema: Phone) -> None:
    """The clerk is answered with what was understood; ten minutes later the farmer is texted."""
    before = neema.texts
    answer = clerk.says("SCALE 2 11.5 0.5 mould")
    at_once = neema.texts
    village.clock.advance(timedelta(minutes=10))
    village.work_through()

    assert answer == (
        "2 Neema: 11.5 kg accepted, 0.5 kg not, TZS 28,750. The farmer hears in 10 minutes. "
        "If wrong text SCALE 2 again."
    )
    assert [(11_500, 500, "mould", 28_750)] == kept(village)
    assert before == at_once
    assert "11.5 kg accepted, 0.5 kg not (mould). You are owed TZS 28,750" in neema.last


@pytest.mark.parametrize(
    ("reply", "expected", "answer"),
    [
        ("1", [(120_000, 0, None, 300_000)], "2 Neema: 120 kg accepted"),
        ("yes", [(120_000, 0, None, 300_000)], "2 Neema: 120 kg accepted"),
        ("2", [], "Nothing was kept. Text SCALE 2 and the right kilos."),
        ("undo", [], "Nothing was kept."),
        ("hm", [], "Please reply 1 YES if the kilos are right or 2 NO."),
        ("scale 2 12", [(12_000, 0, None, 30_000)], "2 Neema: 12 kg accepted"),
    ],
)
def test_a_slip_is_asked_about(
    village: Village, clerk: Phone, reply: str, expected: list[tuple[object, ...]], answer: str
) -> None:
    """A nought too many beside the 12 kg that were announced: nothing is kept before the yes."""
    question = clerk.says("scale 2 120")
    before = kept(village)
    said = clerk.says(reply)

    assert question == (
        "2 Neema: 120 kg accepted, 0 kg not, and about 12 kg were expected. Is it right? 1 yes 2 no"
    )
    assert [] == before
    assert answer in said
    assert expected == kept(village)


def test_a_basket_is_put_right_and_taken_back(village: Village, clerk: Phone, neema: Phone) -> None:
    """Within the minutes the farmer hears of none of it."""
    before = neema.texts
    clerk.says("scale 2 11")
    clerk.says("scale 2 12")
    corrected = kept(village)
    answer = clerk.says("mizani 2 0")
    village.clock.advance(timedelta(minutes=30))
    village.work_through()

    assert [(12_000, 0, None, 30_000)] == corrected
    assert answer == "2 Neema: what was noted on Sat 28/11 is taken back."
    assert [] == kept(village)
    assert before == neema.texts


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("scale", HOW),
        ("scale 2 12 1", HOW),
        ("scale 9 12", "That did not work: The list of today has the numbers 1 to 2."),
    ],
)
def test_what_is_not_whole_is_told_how(village: Village, clerk: Phone, words: str, answer: str) -> None:
    """A reason belongs to fruit that is not accepted, and a number to the list."""
    assert answer in clerk.says(words)
    assert [] == kept(village)


def test_what_is_paid_stays(village: Village, group: Riverside, clerk: Phone) -> None:
    """As on the page."""
    clerk.says("scale 2 12")
    with village.database.work() as work:
        owed = work.collection_lists.unpaid([group.collection], None)
        pay(work, village.tools, group.deed, owed)
    refused = [clerk.says("scale 2 11"), clerk.says("scale 2 0")]

    assert all("paid already" in answer for answer in refused)
    assert [(12_000, 0, None, 30_000)] == kept(village)


def test_on_a_day_without_a_collection_nothing_is_kept(village: Village, clerk: Phone) -> None:
    """The next day."""
    until(village, SATURDAY + timedelta(days=1), 11)

    assert "No fruit of your groups is collected today." in clerk.says("scale 2 12")


def test_more_than_one_collection_a_day_is_for_the_page(
    village: Village, group: Riverside, clerk: Phone
) -> None:
    """A number of which list, nobody could say."""
    group.has_another("Hillside")

    assert "More than one of your groups is collected today" in clerk.says("scale 2 12")


def test_other_phones_can_do_none_of_it(village: Village, neema: Phone) -> None:
    """A farmer and a stranger are answered as for any words nobody knows."""
    answers = [neema.says("scale 2 12"), village.phone().says("mizani 2 12")]

    assert "did not understand" in answers[0]
    assert "reply 1 English" in answers[1]
    assert [] == village.rows("SELECT id FROM delivery")


def test_a_clerk_no_more_keeps_nothing(village: Village, clerk: Phone) -> None:
    """The yes comes after the phone was taken from the clerk."""
    clerk.says("scale 2 120")
    with village.database.engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM officer_phone")
    clerk.says("1")

    assert [] == kept(village)
