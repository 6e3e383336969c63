"""What the database keeps of collections, and what it refuses."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

import pytest
from sqlalchemy.exc import IntegrityError

from flows.facts import FarmerState
from service.core.collecting import Delivery, Payment, WhyRejected
from service.core.rights import Role
from service.db.sealing import Seal
from service.db.work import Database

NOW: Final = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
TODAY: Final = date(2026, 11, 28)
FARMER: Final = 7
BROUGHT: Final = Delivery(
    id=1,
    collection_id=1,
    farmer_id=FARMER,
    day=TODAY,
    accepted_g=12_000,
    rejected_g=500,
    reason=WhyRejected.UNRIPE,
    words="",
    under_hold=False,
    price=2500,
    amount=30_000,
    currency="TZS",
    officer_id=1,
    at=NOW,
)
PAID: Final = Payment(
    id=1, farmer_id=FARMER, amount=30_000, currency="TZS", paid_on=TODAY, officer_id=1, at=NOW
)


@pytest.fixture
def store(migrated_url: str) -> Iterator[Database]:
    """A store with an officer, a farmer of a group, and the group's collection."""
    made = Database(migrated_url, Seal(sealing_key=b"s" * 32, index_key=b"i" * 32))
    with made.work() as work:
        work.people.add_district("Ketumali", "Africa/Dar_es_Salaam", 1900)
        district = work.people.districts()[0].id
        officer = work.staff.add_officer("Amina", Role.OFFICER, NOW)
        work.places.add_group(district, "Riverside")
        (group,) = work.places.groups(None)
        work.people.add_farmer(
            id=FARMER,
            name="Neema",
            language="en",
            district_id=district,
            state=FarmerState.ACTIVE,
            now=NOW,
            pending_until=None,
        )
        work.people.set_farmer(FARMER, group_id=group.id)
        work.collections.add(
            group_id=group.id,
            place="Store",
            weekdays=0b0001001,
            hour=10,
            first_on=TODAY,
            last_on=None,
            officer_id=officer.id,
            at=NOW,
        )
        work.commit()
    yield made
    made.close()


def test_a_collection_is_found_with_its_place_and_changed_days(store: Database) -> None:
    """The last word on a day holds, and taken back the weekdays hold again."""
    with store.work() as work:
        (one,) = work.collections.in_districts(None)
        monday = TODAY + timedelta(days=2)
        work.collections.change(one.id, monday, None, officer_id=1, at=NOW)
        work.collections.change(one.id, monday, monday + timedelta(days=1), officer_id=1, at=NOW)
        work.collections.change(one.id, monday + timedelta(days=3), None, officer_id=1, at=NOW)
        work.collections.keep_day(one.id, monday + timedelta(days=3))
        found = work.collections.get(one.id)

    assert found is not None
    assert ("Riverside", "Ketumali", frozenset({0, 3})) == (found.group, found.district, found.weekdays)
    assert {monday: monday + timedelta(days=1)} == found.changes
    with store.look() as work:
        assert [] == list(work.collections.in_districts(frozenset({99})))


def test_the_last_estimate_of_a_day_holds_until_it_is_taken_back(store: Database) -> None:
    """Nothing is overwritten."""
    with store.work() as work:
        for number, grams in ((1, 8000), (2, 12_000)):
            work.estimates.add(
                id=number, farmer_id=FARMER, for_day=TODAY, grams=grams, inbound_id=number, phone_id=3, at=NOW
            )
        both = work.estimates.of(FARMER, TODAY)
        last = work.estimates.last_saved(3, NOW)
        work.estimates.void(2, 9)
        first = work.estimates.of(FARMER, TODAY)
        other_day = work.estimates.of(FARMER, TODAY + timedelta(days=1))

    assert (12_000, 8000, None) == (both, first, other_day)
    assert last is not None
    assert (2, 12_000) == (last.id, last.grams)


def test_a_delivery_is_paid_once_and_owed_again_when_the_payment_is_taken_back(store: Database) -> None:
    """What is paid cannot be taken back before the payment is."""
    with store.work() as work:
        work.deliveries.add(BROUGHT)
        paid = work.deliveries.pay(PAID, [BROUGHT.id])
        again = work.deliveries.pay(replace(PAID, id=2), [BROUGHT.id])
        taken_back = work.deliveries.void(BROUGHT.id, 1, NOW)
        riverside = work.collections.in_districts(None)
        owed_while_paid = work.collection_lists.unpaid(riverside, FARMER)
        undone = work.deliveries.void_payment(1, 1, NOW)
        owed = work.collection_lists.unpaid(riverside, None)
        taken_back_then = work.deliveries.void(BROUGHT.id, 1, NOW)

    assert (1, 0, False, True, True) == (paid, again, taken_back, undone, taken_back_then)
    assert ((), (BROUGHT,)) == (owed_while_paid, owed)


def test_one_delivery_a_farmer_and_day_stands(store: Database) -> None:
    """Two clerks at once do not weigh the same fruit twice; one that was taken back makes room."""
    with store.work() as work:
        work.deliveries.add(BROUGHT)
        work.deliveries.void(BROUGHT.id, 1, NOW)
        work.deliveries.add(replace(BROUGHT, id=2))
        work.commit()
    with pytest.raises(IntegrityError), store.work() as work:
        work.deliveries.add(replace(BROUGHT, id=3))

    with store.look() as work:
        assert 2 == getattr(work.deliveries.of(1, TODAY, FARMER), "id", None)
        assert 2500 == work.deliveries.last_price(1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"under_hold": True},
        {"reason": None},
        {"accepted_g": -1},
    ],
    ids=["accepted under a hold", "rejected without a reason", "less than nothing"],
)
def test_the_database_itself_refuses(store: Database, wrong: dict[str, object]) -> None:
    """Whatever a page lets through: nothing is accepted under a hold, nothing rejected without a reason."""
    with pytest.raises(IntegrityError), store.work() as work:
        work.deliveries.add(replace(BROUGHT, **wrong))  # type: ignore[arg-type]
