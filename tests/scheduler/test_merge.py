"""A morning's texts: who gets one, when it leaves, how long it is of use and what it asks."""

from datetime import UTC, datetime, timedelta

import pytest

from scheduler.merge import merge_due
from scheduler.sweep import plan_due
from tests.village import Village

# A Wednesday, the text day of all who joined a week before; texts leave at seven, which is four by UTC.
NIGHT = datetime(2026, 12, 2, 0, 30, tzinfo=UTC)
SEVEN = datetime(2026, 12, 2, 4, 0, tzinfo=UTC)
EVENING = datetime(2026, 12, 2, 17, 0, tzinfo=UTC)


@pytest.fixture
def village(village: Village) -> Village:
    """A village of three farmers with a phone each, young plants and a list of jobs every Wednesday."""
    for name in ("Neema", "Asha", "Juma"):
        village.phone().joins(name=name, days_ago=60)
    return village


def morning(village: Village, now: datetime, **chunk: int) -> int:
    """Plan what is due by `now` and write its texts; return how many that made."""
    village.clock.set(now)
    plan_due(village.database, village.tools.calendar, now)
    return merge_due(village.database, village.tools, now, **chunk)


def written(village: Village, now: datetime) -> list[dict[str, object]]:
    """Return the texts of that day's merge, by phone."""
    return village.rows(
        "SELECT phone_id, text, not_before, expires_at, opens FROM message"
        " WHERE queued_on = :day AND inbound_id IS NULL ORDER BY phone_id",
        day=now.date(),
    )


def instant(value: object) -> datetime:
    """Return an instant as the database gives it to who asks past the service."""
    read = value if isinstance(value, datetime) else datetime.fromisoformat(str(value))
    return read if read.tzinfo else read.replace(tzinfo=UTC)


@pytest.mark.parametrize("chunk", [1, 2, 3, 500])
def test_each_phone_gets_its_text_however_small_the_chunks(village: Village, chunk: int) -> None:
    """The merge goes on after the last phone of a chunk, counts all texts, and is done once."""
    made = morning(village, NIGHT, chunk=chunk)
    again = morning(village, NIGHT, chunk=chunk)

    assert (3, 0) == (made, again)
    assert ["Neema", "Asha", "Juma"] == [str(row["text"]).split(",")[0] for row in written(village, NIGHT)]
    with village.database.look() as work:
        assert () == work.planning.unmerged()


def test_texts_written_in_the_night_leave_at_the_farmers_hour(village: Village) -> None:
    """All of them together: the sender's own pace spreads them."""
    morning(village, NIGHT)

    assert [SEVEN] * 3 == [instant(row["not_before"]) for row in written(village, NIGHT)]


def test_a_morning_that_is_long_past_is_made_up_for_bit_by_bit(village: Village) -> None:
    """After an outage texts are spread over two hours, each phone having its own minute."""
    noon = SEVEN + timedelta(hours=5)
    morning(village, noon)

    rows = written(village, noon)
    waits = [instant(row["not_before"]) - noon for row in rows]
    assert [timedelta(minutes=int(str(row["phone_id"])) % 120) for row in rows] == waits
    assert 3 == len(set(waits))


def test_who_lives_in_another_zone_is_texted_by_the_clock_of_that_zone(village: Village) -> None:
    """Both days are written at one moment: past seven in the village, before seven where Juma lives."""
    with village.database.engine.begin() as connection:
        connection.exec_driver_sql(
            "UPDATE plot SET zone = 'America/Lima' WHERE farmer_id = (SELECT max(id) FROM farmer)"
        )
    late = SEVEN + timedelta(hours=5)
    morning(village, late)

    assert ["Neema", "Asha", "Juma"] == [str(row["text"]).split(",")[0] for row in written(village, late)]
    # Seven in Lima is five hours behind UTC all year: IANA tz database, zone America/Lima.
    assert datetime(2026, 12, 2, 12, 0, tzinfo=UTC) == instant(written(village, late)[2]["not_before"])


def test_a_list_asks_for_a_number_and_its_jobs_are_numbered(village: Village) -> None:
    """Each plot's reminders keep the place their job has in the text."""
    morning(village, NIGHT)

    text = str(written(village, NIGHT)[0]["text"])
    places = village.rows(
        "SELECT r.place, r.task FROM reminder r JOIN plot p ON p.id = r.plot_id JOIN farmer f ON f.id = p.farmer_id"
        " WHERE f.name = 'Neema' AND r.message_day = :day ORDER BY r.place",
        day=NIGHT.date(),
    )
    assert [f"{number} " in text for number in range(1, len(places) + 1)] == [True] * len(places)
    assert list(range(1, len(places) + 1)) == [row["place"] for row in places]
    assert len(places) > 1


def test_a_text_ends_on_the_last_evening_its_jobs_are_of_use(village: Village) -> None:
    """A picking prompt is for its day alone, so it is not sent after eight that evening, and it asks for the kilos."""
    phone = village.phone()
    phone.joins(name="Pendo", days_ago=200)
    saturday = NIGHT + timedelta(days=3)
    morning(village, NIGHT)
    morning(village, saturday)

    (prompt,) = written(village, saturday)
    assert "Picking day" in str(prompt["text"])
    assert EVENING + timedelta(days=3) == instant(prompt["expires_at"])
    assert all(state in str(prompt["opens"]) for state in ("kilos", saturday.date().isoformat()))


def test_what_stands_outside_the_cap_goes_as_its_own_kind_and_takes_no_number(village: Village) -> None:
    """The flowers stay from day 120 on, here a text day: the list of that day begins with 1 all the same."""
    phone = village.phone()
    phone.joins(name="Pendo", days_ago=113)
    morning(village, NIGHT)

    told = village.rows(
        "SELECT m.kind, r.task, r.place FROM message m JOIN reminder r ON r.message_id = m.id"
        " JOIN farmer f ON f.id = m.farmer_id WHERE f.name = 'Pendo' AND m.queued_on = :day ORDER BY r.place",
        day=NIGHT.date(),
    )
    apart = [row for row in told if row["kind"] == "flowers_stay"]
    listed = [row for row in told if row["kind"] == "reminder"]
    assert [("flowers_stay", None)] == [(row["task"], row["place"]) for row in apart]
    assert list(range(1, len(listed) + 1)) == [row["place"] for row in listed]
    assert len(listed) > 1
    assert len(told) == len(apart) + len(listed)


def test_farmers_who_share_a_phone_share_its_texts_of_a_day(village: Village) -> None:
    """It is the phone that rings: both have jobs on this Wednesday, one list goes out and the other one waits."""
    phone = village.phone()
    for name in ("Pendo", "Tatu"):
        phone.joins(name=name)
    with village.database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE plot SET text_day = 2")
    made = morning(village, NIGHT)

    waiting = village.row(
        "SELECT count(DISTINCT f.id) AS farmers FROM reminder r JOIN plot p ON p.id = r.plot_id"
        " JOIN farmer f ON f.id = p.farmer_id WHERE f.name IN ('Pendo', 'Tatu') AND r.state = 'due'"
    )
    greeted = [str(row["text"]).split(",")[0] for row in written(village, NIGHT)]
    assert (4, 1) == (made, waiting["farmers"])
    assert ["Neema", "Asha", "Juma", "Pendo"] == greeted
