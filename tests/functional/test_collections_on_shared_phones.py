"""Stories of a phone of two farmers of whom one brings fruit to a collection."""

from datetime import date, timedelta

import pytest

from tests.riverside import SATURDAY, TUESDAY, Riverside, until
from tests.village import Phone, Village

HOW_MANY = "ow many kilos will you bring?"
FIRST = SATURDAY - timedelta(days=1)
# A Monday, three days after two farmers joined on one phone and were told their jobs.
CROWDED = TUESDAY - timedelta(days=1)
LAST = FIRST + timedelta(days=21)


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside, whose fruit is not collected yet."""
    return Riverside(village)


@pytest.fixture(params=["4", "5"], ids=["jobs-the-day-before", "jobs-on-the-evening"])
def shared(request: pytest.FixtureRequest, village: Village, group: Riverside) -> Phone:
    """A phone of Khamis, who has weekly jobs on Thursdays or Fridays, and of Neema of the group, whose plants bear."""
    phone = village.phone()
    phone.joins(name="Khamis", days_ago=77)
    for words in ("days", "1", request.param):
        phone.says(words)
    phone.joins(name="Neema", days_ago=200)
    with village.database.work() as work:
        work.people.set_farmer(group.farmer("Neema"), group_id=group.group_id)
        work.commit()
    group.is_collected()
    return phone


def what_became(village: Village, name: str) -> dict[date, tuple[object, object]]:
    """Return by the day it was due the end of each question about picking, and why."""
    found = village.rows(
        "SELECT r.due_on, r.state, r.why FROM reminder r JOIN plot p ON p.id = r.plot_id"
        " JOIN farmer f ON f.id = p.farmer_id WHERE f.name = :name AND r.task = 'picking'",
        name=name,
    )
    return {date.fromisoformat(str(row["due_on"])): (row["state"], row["why"]) for row in found}


def test_who_brings_fruit_is_asked_before_others_get_their_jobs(village: Village, shared: Phone) -> None:
    """Each evening but that of the week in which the phone joined twice, which says so; Khamis still gets jobs."""
    until(village, LAST, 20)
    asked = [one.at.date() for one in shared.received if HOW_MANY in one.text]
    lists = [one.at.date() for one in shared.received if one.text.startswith("Khamis, this week")]
    days = sorted({one.at.date() for one in shared.received if one.at.date() > FIRST})

    assert [day for day in evenings(FIRST, LAST) if day != CROWDED] == asked
    assert ("dropped", "this phone had all its texts of that week") == what_became(village, "Neema")[CROWDED]
    assert 1 <= len([day for day in lists if day > FIRST])
    assert 3 >= max(sum(first <= day < first + timedelta(days=7) for day in days) for first in days)


def test_what_is_not_asked_says_the_true_reason(village: Village, group: Riverside, shared: Phone) -> None:
    """The next on the phone is asked with the answer of the first; a day that is called off is no day."""
    with village.database.work() as work:
        work.people.set_farmer(group.farmer("Khamis"), group_id=group.group_id)
        work.commit()
    shared.joins(name="Asha", days_ago=210)
    with village.database.work() as work:
        work.people.set_farmer(group.farmer("Asha"), group_id=group.group_id)
        work.commit()
    group.amends()
    group.changes(CROWDED + timedelta(days=8))
    until(village, CROWDED + timedelta(days=10), 12)
    first, second = what_became(village, "Neema"), what_became(village, "Asha")

    assert ("texted", None) == first[CROWDED + timedelta(days=4)]
    assert (
        "dropped",
        "another farmer of this phone was asked first, whose answer asks this one too",
    ) == second[CROWDED + timedelta(days=4)]
    assert ("dropped", "no fruit is collected on the day after") == first[CROWDED + timedelta(days=7)]


def test_how_many_were_asked_is_known(village: Village, group: Riverside) -> None:
    """Neema alone, and not for the day that was called off, nor for one before the collection began."""
    phone = group.joins()
    group.is_collected()
    group.changes(TUESDAY)
    until(village, TUESDAY + timedelta(days=4), 12)
    phone.says("0")
    with village.database.look() as work:
        asked = work.days_told.asked([group.collection], FIRST - timedelta(days=3), LAST)

    days = (SATURDAY, TUESDAY + timedelta(days=4))
    assert {(group.collection_id, day): 1 for day in days} == asked


def evenings(first: date, last: date) -> list[date]:
    """Return the evenings before the Tuesdays and Saturdays from `first` to `last`."""
    days = [first + timedelta(days=step) for step in range((last - first).days + 1)]
    return [day for day in days if day.weekday() in {0, 4}]
