"""The edges of collection days: the last day, the next day, and what was entered, paid or changed a moment ago."""

from datetime import timedelta

import pytest

from service.core.collecting import Delivery
from service.core.errors import Refused
from service.use_cases.collecting.delivering import take_back
from service.use_cases.collecting.paying import pay, take_payment_back
from tests.riverside import SATURDAY, TUESDAY, Riverside, until
from tests.village import Phone, Village

MONDAY = TUESDAY - timedelta(days=1)
HOW_MANY = "ow many kilos will you bring?"


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside, whose fruit is not collected yet."""
    return Riverside(village)


@pytest.fixture
def neema(group: Riverside) -> Phone:
    """A farmer of the group whose plants bear, collected on Tuesdays and Saturdays from Saturday on."""
    phone = group.joins()
    group.is_collected()
    return phone


def delivered(group: Riverside) -> Delivery:
    """Return what Neema brought on Saturday."""
    with group.village.database.look() as work:
        found = work.deliveries.of(group.collection_id, SATURDAY, group.farmer("Neema"))
    assert found is not None
    return found


def test_a_last_day_that_is_called_off_promises_no_other(group: Riverside) -> None:
    """Nobody waits for a day that is not planned."""
    phone = group.joins()
    group.is_collected(last_on=SATURDAY)
    until(group.village, SATURDAY - timedelta(days=1), 12)
    group.changes(SATURDAY)
    until(group.village, SATURDAY, 9)

    (told,) = [words for words in phone.texts if "no fruit is collected on Sat 28/11" in words]
    assert told.endswith("We text you when there is a collection again.")


def test_after_the_last_day_there_is_nothing_to_announce(group: Riverside) -> None:
    """An estimate needs a day it is for."""
    phone = group.joins()
    group.is_collected(last_on=SATURDAY)
    until(group.village, SATURDAY, 12)
    phone.says("estimate 12")

    assert [] == group.village.rows("SELECT id FROM estimate")


def test_days_set_on_the_day_before_are_asked_about_the_same_evening(group: Riverside) -> None:
    """The plots follow at once, and the planner of the night has not known of it."""
    phone = group.joins()
    until(group.village, MONDAY, 9)
    group.is_collected(first_on=TUESDAY)
    until(group.village, MONDAY, 19)

    assert any(HOW_MANY in words for words in phone.texts)


def test_nothing_is_changed_of_a_day_that_has_passed(group: Riverside, neema: Phone) -> None:
    """And a day that was never changed is kept as it is, without a text."""
    before = len(neema.texts)
    group.keeps(SATURDAY)
    until(group.village, SATURDAY + timedelta(days=1), 9)
    with pytest.raises(Refused, match="That day has passed"):
        group.keeps(SATURDAY)

    assert not [words for words in neema.texts[before:] if "as planned" in words]


def test_what_is_entered_twice_is_kept_once(group: Riverside, neema: Phone) -> None:
    """Two presses of a button are one basket, of which one text tells."""
    until(group.village, SATURDAY, 12)
    group.brings("Neema", 9_000, 250_000)
    group.brings("Neema", 9_000, 250_000)
    group.village.pass_hours(1)

    assert 1 == len(group.village.rows("SELECT id FROM delivery"))
    assert 1 == sum("9 kg" in words for words in neema.texts)


def test_a_basket_is_worth_less_than_a_house(group: Riverside, neema: Phone) -> None:
    """A price with three noughts too many is told before it is kept."""
    assert neema.texts
    until(group.village, SATURDAY, 12)
    with pytest.raises(Refused, match="more than one farmer brings"):
        group.brings("Neema", 9_000, 10**11)

    assert [] == group.village.rows("SELECT id FROM delivery")


def test_what_is_paid_is_neither_paid_nor_taken_back_again(group: Riverside, neema: Phone) -> None:
    """Two who pay from one list pay once, and a payment that is taken back twice is owed once."""
    assert neema.texts
    village = group.village
    until(village, SATURDAY, 12)
    group.brings("Neema", 9_000, 250_000)
    owed = delivered(group)
    with village.database.work() as work:
        paid = pay(work, village.tools, group.deed, [owed])
    with village.database.work() as work, pytest.raises(Refused, match="Somebody has paid some of it"):
        pay(work, village.tools, group.deed, [owed])
    with village.database.work() as work, pytest.raises(Refused, match="take the payment back first"):
        take_back(work, village.tools, group.deed, group.collection, delivered(group))
    with pytest.raises(Refused, match="take the payment back first"):
        group.brings("Neema", 8_000, 250_000)
    with village.database.look() as work:
        payment = work.deliveries.payment(delivered(group).payment_id or 0)
    assert payment is not None
    for _ in range(2):
        with village.database.work() as work:
            take_payment_back(work, group.deed, payment)

    assert 1 == paid
    assert delivered(group).payment_id is None
    assert 1 == len(village.rows("SELECT id FROM audit WHERE action = 'payment.taken_back'"))
