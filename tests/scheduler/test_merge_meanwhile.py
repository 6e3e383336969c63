"""What comes in while a morning's texts are decided, before they are kept: it is honoured, as if it had come before."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

import pytest

from flows.wording import Phrase
from scheduler.merge import merge_due
from scheduler.sweep import plan_due
from service.db.work import Database, Work
from tests.village import SEAL, Phone, Village

# A Wednesday, the text day of all who joined a week before; the merge runs at half past three in the village.
NIGHT = datetime(2026, 12, 2, 0, 30, tzinfo=UTC)


class Interrupted(Database):
    """A database on which something happens just before the first transaction that writes."""

    def __init__(self, url: str, deed: Callable[[], object]) -> None:
        """Open the database at `url`; `deed` is done once."""
        super().__init__(url, SEAL)
        self._deeds = [deed]

    @contextmanager
    def work(self) -> Iterator[Work]:
        """Open a unit of work that may write."""
        while self._deeds:
            self._deeds.pop()()
        with super().work() as work:
            yield work


@pytest.fixture
def phones(village: Village) -> list[Phone]:
    """Three farmers with a phone each, whose texts of the morning are about to be written."""
    made = [village.phone() for _ in range(3)]
    for phone, name in zip(made, ("Neema", "Asha", "Juma"), strict=True):
        phone.joins(name=name, days_ago=60)
    village.clock.set(NIGHT)
    plan_due(village.database, village.tools.calendar, NIGHT)
    return made


def merge_while(village: Village, deed: Callable[[], object]) -> int:
    """Write the morning's texts, with a deed between reading and writing; return how many that made."""
    url = village.database.engine.url.set(drivername=village.database.engine.dialect.name)
    database = Interrupted(url.render_as_string(hide_password=False), deed)
    try:
        return merge_due(database, village.tools, NIGHT)
    finally:
        database.close()


def hear(village: Village, phone: Phone, *texts: str) -> None:
    """Take texts in and act upon them, as the receiver does beside the merge."""
    for number, words in enumerate(texts):
        assert village.deliver(phone, words, f"meanwhile {number}")
        village.receiver.answer_all()


def greeted(village: Village) -> list[str]:
    """Return whom the morning's texts greet, by phone; one that was called off does not count."""
    rows = village.rows(
        "SELECT text FROM message WHERE queued_on = :day AND inbound_id IS NULL AND state = 'due' ORDER BY phone_id",
        day=NIGHT.date(),
    )
    return [str(row["text"]).split(",")[0] for row in rows]


def test_undisturbed_everyone_gets_a_text(village: Village, phones: list[Phone]) -> None:
    """What is read again is as it was, and so is what was decided."""
    made = merge_while(village, lambda: None)

    assert (3, ["Neema", "Asha", "Juma"]) == (made, greeted(village))


@pytest.mark.parametrize(
    "texts",
    [
        pytest.param(("STOP",), id="stop"),
        pytest.param(("PAUSE",), id="pause"),
        pytest.param(("WRONG NUMBER", "YES"), id="wrong-number"),
    ],
)
def test_a_farmer_who_wants_no_text_gets_none(
    village: Village, phones: list[Phone], texts: tuple[str, ...]
) -> None:
    """The others' texts are kept as they were decided."""
    made = merge_while(village, lambda: hear(village, phones[1], *texts))

    assert (2, ["Neema", "Juma"]) == (made, greeted(village))


def test_a_job_reported_as_done_is_not_asked_for(village: Village, phones: list[Phone]) -> None:
    """It stays answered, and the list that goes out names the others."""
    merge_while(village, lambda: hear(village, phones[0], "JOBS", "DONE 1"))

    # The week's and the one of the week before it, which is done with it.
    (done,) = village.rows(
        "SELECT task, state, message_id FROM reminder WHERE answer IS NOT NULL AND message_id IS NULL"
    )
    text = village.row(
        "SELECT m.text FROM message m JOIN farmer f ON f.id = m.farmer_id"
        " WHERE f.name = 'Neema' AND m.queued_on = :day AND m.kind = 'reminder'",
        day=NIGHT.date(),
    )["text"]
    label = village.tools.wording.write(Phrase(f"task.{done['task']}.label"), "en")
    assert ("answered", None) == (done["state"], done["message_id"])
    assert label not in str(text)


def test_who_was_texted_meanwhile_is_not_texted_again(village: Village, phones: list[Phone]) -> None:
    """Whoever planned a plot anew has written its text of the day already."""
    made = merge_while(village, lambda: merge_due(village.database, village.tools, NIGHT))

    assert (0, ["Neema", "Asha", "Juma"]) == (made, greeted(village))


def test_a_name_that_was_corrected_is_the_one_that_is_greeted(village: Village, phones: list[Phone]) -> None:
    """Words are decided with the rest."""

    def correct() -> None:
        with village.database.engine.begin() as connection:
            connection.exec_driver_sql("UPDATE farmer SET name = 'Salma' WHERE name = 'Asha'")

    made = merge_while(village, correct)

    assert (3, ["Neema", "Salma", "Juma"]) == (made, greeted(village))
