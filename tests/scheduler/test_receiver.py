import threading
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

import pytest

from scheduler.receiver import Receiver
from service.core.gateway import Event, Unreachable
from service.gateways.simulator import SimulatorGateway
from tests.village import SERVICE_NUMBER, Village


@dataclass
class WatchedGateway:
    """A village's gateway with what is asked of it kept in order, and outages on demand."""

    inner: SimulatorGateway
    village: Village
    away: int = 0
    deaf: int = 0
    seen: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The name of the gateway behind it."""
        return self.inner.name

    def events(self, limit: int) -> Sequence[Event]:
        """Hand over what waits, or be away."""
        if self.away:
            self.away -= 1
            raise Unreachable("the gateway is away")
        return self.inner.events(limit)

    def acknowledge(self, event_ids: Iterable[str]) -> None:
        """Keep how many texts were stored by then, or be deaf."""
        stored = self.village.row("SELECT count(*) AS texts FROM inbound")["texts"]
        self.seen.append(f"acknowledged with {stored} stored")
        if self.deaf:
            self.deaf -= 1
            raise Unreachable("the gateway did not hear it")
        self.inner.acknowledge(event_ids)


@pytest.fixture
def watched(village: Village) -> WatchedGateway:
    """The village's gateway, watched."""
    return WatchedGateway(inner=village.gateway, village=village)


@pytest.fixture
def receiver(village: Village, watched: WatchedGateway) -> Receiver:
    """A receiver on the watched gateway."""
    return Receiver(village.database, village.tools, watched, village.clock)  # type: ignore[arg-type]  # sends nothing


def text_in(village: Village, source: str, words: str = "HELP") -> None:
    """Let a text wait at the gateway."""
    village.gateway.text_in(source=source, destination=SERVICE_NUMBER, text=words)


def stored(village: Village) -> list[tuple[object, object]]:
    """Return all texts that were stored, with where they stand."""
    return [
        (row["text"], row["state"]) for row in village.rows("SELECT text, state FROM inbound ORDER BY id")
    ]


def test_a_text_is_stored_before_it_is_acknowledged_and_read_after(
    village: Village, receiver: Receiver, watched: WatchedGateway
) -> None:
    """When the gateway may forget a text it is in the database, though nobody has read it."""
    text_in(village, village.phone().number)

    taken = receiver.take_in()
    before = stored(village)
    answered = receiver.answer_all()

    assert (1, 1) == (taken, answered)
    assert ["acknowledged with 1 stored"] == watched.seen
    assert ([("HELP", "stored")], [("HELP", "read")]) == (before, stored(village))


def test_what_the_gateway_hands_over_again_has_one_effect(
    village: Village, receiver: Receiver, watched: WatchedGateway
) -> None:
    """An acknowledgement that was not heard brings the text back; it is one row and one answer."""
    phone = village.phone()
    text_in(village, phone.number)
    watched.deaf = 1

    with pytest.raises(Unreachable):
        receiver.take_in()
    receiver.answer_all()
    receiver.take_in()
    receiver.answer_all()

    assert [("HELP", "read")] == stored(village)
    assert 1 == len(village.rows("SELECT id FROM message"))


@pytest.mark.parametrize(
    "source", ["ZARUVI", "15077", "+254203434343"], ids=["a name", "a short code", "fixed"]
)
def test_a_sender_that_cannot_be_texted_is_never_answered(
    village: Village, receiver: Receiver, source: str
) -> None:
    """It is acknowledged all the same, and the texts behind it are stored."""
    text_in(village, source)
    text_in(village, village.phone().number)

    assert 2 == receiver.take_in()
    assert 0 == receiver.take_in()
    assert [("HELP", "stored")] == stored(village)


def test_a_text_that_trips_us_is_set_aside_after_three_tries(village: Village, receiver: Receiver) -> None:
    """The texts behind it are answered at once, and it is tried three times and no more."""
    poisoned, other = village.phone(), village.phone()
    poisoned.says("HELP")
    poisoned.says("JOIN")
    with village.database.engine.begin() as connection:
        # Only a fault of our own could bring this about.
        connection.exec_driver_sql("UPDATE conversation SET state = 'no such state'")
    text_in(village, poisoned.number, "Asha")
    text_in(village, other.number)

    receiver.take_in()
    receiver.answer_all()

    rows = village.rows("SELECT text, state, tries FROM inbound ORDER BY id")[-2:]
    assert [("Asha", "corrupt", 3), ("HELP", "read", 0)] == [
        (row["text"], row["state"], row["tries"]) for row in rows
    ]


def test_a_text_that_is_gone_is_passed_over(village: Village, receiver: Receiver) -> None:
    """What another hand took away between listing and reading is no trouble."""
    receiver._answer(12345)

    assert [] == stored(village)


def test_joining_brings_the_first_jobs_at_once(village: Village, receiver: Receiver) -> None:
    """A farmer who says yes is planned and texted today, without waiting for the next sweep."""
    phone = village.phone()
    planted = f"{village.today - timedelta(days=60):%d/%m/%Y}"
    text_in(village, phone.number, f"JOIN Neema 400 {planted} Ketumali")
    receiver.take_in()
    receiver.answer_all()
    text_in(village, phone.number, "YES")
    receiver.take_in()
    before = village.rows("SELECT task FROM reminder")

    receiver.answer_all()

    kinds = [row["kind"] for row in village.rows("SELECT kind FROM message")]
    assert [] == before
    assert village.rows("SELECT task FROM reminder")
    assert "reminder" in kinds


def test_being_caught_up_is_known_only_when_nothing_waited(
    village: Village, receiver: Receiver, watched: WatchedGateway
) -> None:
    """Until the gateway has said that nothing waits, a receipt may still be there."""
    states = [receiver.caught_up]
    text_in(village, village.phone().number)
    receiver.take_in()
    states.append(receiver.caught_up)
    receiver.take_in()
    states.append(receiver.caught_up)
    watched.away = 1
    receiver.catch_up()
    states.append(receiver.caught_up)
    text_in(village, village.phone().number)
    receiver.catch_up()
    states.append(receiver.caught_up)

    assert [False, False, True, False, True] == states


@pytest.fixture
def running(receiver: Receiver) -> Iterator[Receiver]:
    """The receiver as a thread of the worker, seen to its end."""
    thread = threading.Thread(target=receiver.run)
    thread.start()
    yield receiver
    receiver.stop()
    thread.join(10)
    assert not thread.is_alive()


def wait_for_answer(village: Village) -> None:
    """Wait until a stored text has been read, ten seconds at most."""
    for _ in range(500):
        if ("HELP", "read") in stored(village):
            return
        threading.Event().wait(0.02)
    raise AssertionError("the text was never answered")


def test_the_receiver_outlives_an_outage(
    village: Village, watched: WatchedGateway, running: Receiver
) -> None:
    """A gateway that is away, or does not hear, is asked again."""
    watched.away, watched.deaf = 1, 1
    text_in(village, village.phone().number)

    wait_for_answer(village)


def test_what_is_stored_is_answered_while_the_gateway_is_away(
    village: Village, watched: WatchedGateway, receiver: Receiver
) -> None:
    """A text that was taken in before an outage does not wait for its end."""
    text_in(village, village.phone().number)
    receiver.take_in()
    watched.away = 1

    assert 1 == receiver._take_turn()
    assert [("HELP", "read")] == stored(village)


class TrippingDatabase:
    """A database that is away whenever it is asked."""

    def __getattr__(self, name: str) -> object:
        """Be away."""
        raise ConnectionError("the database is away")


def test_a_bad_moment_of_the_database_ends_nothing(village: Village, watched: WatchedGateway) -> None:
    """Neither taking in nor answering trips the thread; the text waits at the gateway."""
    database = TrippingDatabase()
    receiver = Receiver(database, village.tools, watched, village.clock)  # type: ignore[arg-type]  # that is the point
    text_in(village, village.phone().number)

    assert 0 == receiver._take_turn()
    assert 1 == len(watched.events(10))
