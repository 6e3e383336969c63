"""Stories of a planting date corrected while the farmer's text of the day lies written and has not left."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import insert, select

from service.db.tables.plots import plot
from service.use_cases.planting import correct_planting_date
from tests.village import ZONE, Phone, Village

CORRECTED = "the planting date was corrected"


@pytest.fixture
def neema(village: Village) -> Phone:
    """A farmer with one plot, in the night before her next text day, whose text is written."""
    phone = village.phone()
    phone.joins(days_ago=60)
    to_the_night(village)
    assert [("reminder", "due")] == texts(village)[-1:]
    return phone


def to_the_night(village: Village) -> None:
    """Go on to one in the night of the next text day, when its texts have been written."""
    village.pass_days(6)
    at(village, 1, days=1)


def at(village: Village, hour: int, *, days: int = 0) -> None:
    """Go on to an hour of today, or of a later day, and let the worker tick."""
    here = village.clock.now().astimezone(ZoneInfo(ZONE)) + timedelta(days=days)
    village.clock.set(datetime(here.year, here.month, here.day, hour, tzinfo=ZoneInfo(ZONE)))
    village.work_through()


def correct(village: Village, planted_on: date, *, place: int = 0) -> None:
    """Correct a plot's planting date as an officer does."""
    plot_id = village.rows("SELECT id FROM plot ORDER BY id")[place]["id"]
    assert isinstance(plot_id, int)
    with village.database.work() as work:
        correct_planting_date(
            work,
            village.tools,
            plot_id,
            planted_on,
            who="officer:1",
            on=village.today,
            now=village.clock.now(),
        )
        work.commit()


def texts(village: Village) -> list[tuple[object, object]]:
    """Return kind and state of all that was pushed, in the order it was written."""
    rows = village.rows("SELECT kind, state FROM message WHERE inbound_id IS NULL ORDER BY id")
    return [(row["kind"], row["state"]) for row in rows]


def jobs(village: Village, state: str) -> set[object]:
    """Return the tasks of the reminders in a state."""
    return {row["task"] for row in village.rows("SELECT task FROM reminder WHERE state = :s", s=state)}


def test_a_text_that_has_become_wrong_never_leaves(village: Village, neema: Phone) -> None:
    """It is called off with its jobs, and the day's text speaks of the new date's jobs, once."""
    before = len(neema.texts)
    wrong = village.row("SELECT text FROM message ORDER BY id DESC LIMIT 1")["text"]
    correct(village, village.today - timedelta(days=300))
    row = village.row("SELECT state, why FROM message ORDER BY id DESC LIMIT 1")
    left = village.rows(
        "SELECT task FROM reminder JOIN message ON queued_on = message_day AND message.id = message_id"
        " WHERE message.state = 'cancelled'"
    )
    at(village, 8)
    at(village, 12)

    assert {"state": "cancelled", "why": CORRECTED} == row
    assert [] == left
    assert 1 == len(neema.texts) - before
    assert wrong not in neema.texts
    assert "texted" in {row["state"] for row in village.rows("SELECT state FROM reminder WHERE revision = 1")}


def test_a_neighbours_jobs_do_not_keep_a_wrong_text(village: Village, neema: Phone) -> None:
    """Whether a text is about one plot alone depends on its own jobs, not on those of other farmers."""
    wrong = village.row("SELECT max(id) AS id FROM message WHERE inbound_id IS NULL")["id"]
    village.phone().joins(days_ago=90)
    correct(village, village.today - timedelta(days=300))
    row = village.row("SELECT state, why FROM message WHERE id = :id", id=wrong)

    assert neema.number
    assert {"state": "cancelled", "why": CORRECTED} == row


def test_a_correction_that_changes_no_job_still_texts_them(village: Village, neema: Phone) -> None:
    """The unsent text does not count as texted: by the least gap its jobs would have been lost."""
    before = len(neema.texts)
    correct(village, village.today - timedelta(days=68))
    village.work_through()
    at(village, 8)

    assert 1 == len(neema.texts) - before
    assert jobs(village, "texted") >= {"weeds"}


def test_taken_back_at_once_the_first_text_is_written_anew(village: Village, neema: Phone) -> None:
    """Two corrections in a row leave one text, that of the date that holds."""
    before = len(neema.texts)
    wanted = village.row("SELECT text FROM message ORDER BY id DESC LIMIT 1")["text"]
    planted_on = village.today - timedelta(days=67)
    correct(village, village.today - timedelta(days=300))
    village.work_through()
    correct(village, planted_on)
    village.work_through()
    at(village, 8)

    assert [wanted] == neema.texts[before:]


def test_what_has_left_is_not_repeated(village: Village, neema: Phone) -> None:
    """Corrected by a day after the text has gone, nothing of it is sent again that week."""
    at(village, 8)
    sent = len(neema.texts)
    correct(village, village.today - timedelta(days=68))
    at(village, 12)
    at(village, 8, days=1)

    assert sent == len(neema.texts)
    assert "cancelled" not in {state for _, state in texts(village)}


def test_a_text_in_doubt_counts_as_read(village: Village, neema: Phone) -> None:
    """One that has been on the wire and is to be sent again is left alone: what it says may have been heard."""
    with village.database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE message SET doubts = 1 WHERE state = 'due'")
    correct(village, village.today - timedelta(days=300))

    assert neema.number
    assert [("reminder", "due")] == texts(village)[-1:]


def test_a_text_about_another_plot_too_still_goes(village: Village, neema: Phone) -> None:
    """It is not all wrong: the other plot's jobs must not be lost."""
    with village.database.engine.begin() as connection:
        columns = [column for column in plot.c if column.name != "id"]
        connection.execute(insert(plot).from_select([one.name for one in columns], select(*columns)))
    village.pass_days(6)
    at(village, 1, days=1)
    before = len(neema.texts)
    correct(village, village.today - timedelta(days=300))
    at(village, 8)

    assert 1 == len(neema.texts) - before
    assert "cancelled" not in {state for _, state in texts(village)}
