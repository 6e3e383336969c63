import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import update

from scheduler.sender import Sender
from service.clock import RealClock
from service.core.gateway import (
    AnswerLost,
    Limits,
    NotSent,
    OutgoingText,
    RefusalClass,
    Refused,
    Stage,
)
from service.db.engine import transaction
from service.db.tables.people import phone
from service.db.work import Database, Work
from service.journal import FileJournal
from tests.postroom import Postroom, ScriptedGateway
from tests.village import SEAL, Village

TOO_FAST = Refused(reason=RefusalClass.PACE, code="too-fast", detail="slow down")
LINK_DOWN = Refused(reason=RefusalClass.LINK, code="not-bound", detail="not bound")
NEVER = Refused(reason=RefusalClass.PERMANENT, code="no-such-number", detail="no such number")


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of a village nobody lives in yet."""
    return Postroom(village)


class UnheardWork(Work):
    """A unit of work that commits, and whose database then cannot say so."""

    def commit(self) -> None:
        """Keep everything, and fail."""
        super().commit()
        raise ConnectionError("the database committed and could not say so")


class StumblingDatabase(Database):
    """A database whose next units of work fail: those `away` at once, one `unheard` after it has committed."""

    def __init__(self, like: Database) -> None:
        """Stand beside another database, on the same file or server."""
        super().__init__(like.engine.url.render_as_string(hide_password=False), SEAL)
        self.away = 0
        self.unheard = False

    @contextmanager
    def work(self) -> Iterator[Work]:
        """Open a unit of work, or fail."""
        if self.away:
            self.away -= 1
            raise ConnectionError("the database is away")
        if self.unheard:
            self.unheard = False
            with transaction(self.engine) as connection:
                yield UnheardWork(connection, SEAL, RealClock())
            return
        with super().work() as work:
            yield work


@pytest.fixture
def stumbling(postroom: Postroom) -> Iterator[StumblingDatabase]:
    """Put a sender on a database that fails when it is told to."""
    village = postroom.village
    database = StumblingDatabase(village.database)
    postroom.sender = Sender(
        database, village.tools, postroom.gateway, village.clock, window=8, per_second=1000
    )
    yield database
    database.close()


def test_all_that_is_due_is_sent_and_settled(postroom: Postroom) -> None:
    """More texts than a window go out in one drain, each once and with its own words."""
    keys = [postroom.put() for _ in range(20)]

    assert 20 == postroom.sender.drain()
    assert 0 == postroom.sender.drain()
    assert {f"Text number {number}." for number in range(1, 21)} == {
        text.text for text in postroom.gateway.sent
    }
    assert ["accepted"] * 20 == [postroom.state(key) for key in keys]
    assert [["accepted"]] * 20 == [postroom.outcomes(key) for key in keys]


def test_a_text_is_submitting_with_its_reference_before_a_byte_leaves(postroom: Postroom) -> None:
    """While the gateway has the text, another process already reads in the database that it may have left."""
    key = postroom.put()
    seen: list[tuple[str, object]] = []

    def look(text: OutgoingText) -> None:
        reference = postroom.village.row("SELECT reference FROM attempt")["reference"]
        seen.append((postroom.state(key), reference == text.our_ref))

    postroom.gateway.script.append(look)
    postroom.sender.drain()

    assert [("submitting", True)] == seen


def test_what_is_not_due_yet_waits(postroom: Postroom) -> None:
    """A text leaves at its moment and not before."""
    postroom.put(not_before=postroom.now + timedelta(minutes=5))

    assert 0 == postroom.sender.drain()
    postroom.wait(minutes=5)
    assert 1 == postroom.sender.drain()


def test_an_urgent_text_waits_for_one_window_at_most(postroom: Postroom) -> None:
    """A reply queued while reminders are being sent leaves with the next claim."""
    phone_id = postroom.phone()
    for _ in range(30):
        postroom.put(phone_id=phone_id)

    def reply(_text: OutgoingText) -> None:
        postroom.put(kind="reply", phone_id=phone_id, text="The reply.")

    postroom.gateway.script.append(reply)
    postroom.sender.drain()

    assert "The reply." in [text.text for text in postroom.gateway.sent[:9]]
    assert 31 == len(postroom.gateway.sent)


def test_a_stop_holds_from_the_next_claim_on(postroom: Postroom) -> None:
    """A phone that stops while its texts are being sent gets at most the window that was claimed before."""
    phone_id = postroom.phone()
    for _ in range(30):
        postroom.put(phone_id=phone_id)
    postroom.gateway.script.append(lambda _text: postroom.stop(phone_id))

    postroom.sender.drain()

    assert len(postroom.gateway.sent) <= 8
    assert {"accepted": 8, "dropped": 22} == postroom.states()


@pytest.mark.parametrize(("answer", "seconds"), [(TOO_FAST, 2), (LINK_DOWN, 30)], ids=["pace", "link"])
def test_the_route_rests_when_the_network_asks(postroom: Postroom, answer: Refused, seconds: int) -> None:
    """One refusal of the route holds back all texts for a while, and costs none of them a try."""
    keys = [postroom.put() for _ in range(10)]
    postroom.gateway.script.append(answer)

    postroom.sender.drain()
    postroom.sender.drain()
    sent_at_once = len(postroom.gateway.sent)
    postroom.wait(seconds=seconds)
    postroom.sender.drain()

    assert 1 == sent_at_once
    assert ["accepted"] * 10 == [postroom.state(key) for key in keys]
    assert [1] * 10 == [postroom.row(key)["tries"] for key in keys]


def test_a_clock_that_is_put_back_does_not_prolong_the_rest(postroom: Postroom) -> None:
    """Texts do not wait for an hour to come round again."""
    postroom.put()
    postroom.gateway.script.append(LINK_DOWN)
    postroom.sender.drain()
    postroom.wait(hours=-1)
    postroom.put(not_before=postroom.now)

    assert 1 == postroom.sender.drain()


def test_a_gateway_that_is_away_costs_nothing(postroom: Postroom) -> None:
    """What never left us is due again after a pause, with all its tries, and is in no doubt."""
    key = postroom.put()
    postroom.gateway.script.append(NotSent("no simulator on this port"))

    postroom.sender.drain()

    assert ("due", 0, 0, "no simulator on this port") == tuple(
        postroom.row(key)[name] for name in ("state", "tries", "doubts", "why")
    )
    assert ["not_sent"] == postroom.outcomes(key)
    postroom.wait(seconds=30)
    assert 1 == postroom.sender.drain()


def test_a_lost_answer_leaves_a_counted_doubt_and_is_sent_again(postroom: Postroom) -> None:
    """The text goes once more when its receipt has had ten minutes; the copy stays countable."""
    key = postroom.put()
    postroom.gateway.script.append(AnswerLost("nothing came back"))

    postroom.sender.drain()
    in_doubt = postroom.state(key)
    postroom.wait(minutes=10)
    postroom.settle_doubts()
    postroom.sender.drain()

    assert ("in_doubt", "accepted", 1) == (in_doubt, postroom.state(key), postroom.row(key)["doubts"])
    assert 1 == len({text.our_ref for text in postroom.gateway.sent})


def test_a_receipt_quicker_than_a_lost_answer_leaves_no_doubt(postroom: Postroom) -> None:
    """When the network has already told of a text, that its answer was lost matters no more."""
    key = postroom.put()

    def told_first(text: OutgoingText) -> AnswerLost:
        postroom.hear(Stage.DELIVERED, gateway_ref="network-1", our_ref=text.our_ref)
        return AnswerLost("nothing came back")

    postroom.gateway.script.append(told_first)
    postroom.sender.drain()

    assert ("delivered", 0) == (postroom.state(key), postroom.row(key)["doubts"])


def test_a_gateway_that_trips_puts_its_text_in_doubt_and_stops_no_other(postroom: Postroom) -> None:
    """Whatever a gateway stumbles over, the text may have left; those behind it go on."""
    keys = [postroom.put() for _ in range(3)]
    postroom.gateway.script.append(ZeroDivisionError("a fault of the adapter's own"))

    postroom.sender.drain()

    assert ["in_doubt", "accepted", "accepted"] == sorted(
        (postroom.state(key) for key in keys), key=["in_doubt", "accepted"].index
    )


def test_a_number_no_network_could_reach_fails_alone(postroom: Postroom) -> None:
    """What only a fault of our own could put into the database fails its own text and holds up nobody."""
    good, bad = postroom.put(), postroom.put(kind="reply")
    of_bad = phone.c.id == postroom.row(bad)["phone_id"]
    with postroom.village.database.engine.begin() as connection:
        connection.execute(update(phone).where(of_bad).values(sealed=SEAL.close("0621")))

    postroom.sender.drain()

    assert ("failed", "accepted") == (postroom.state(bad), postroom.state(good))
    assert "the destination is not in E.164 form" in str(postroom.row(bad)["why"])
    assert ["refused_permanent"] == postroom.outcomes(bad)


def test_the_last_moment_of_a_window_is_looked_at_on_the_way(postroom: Postroom) -> None:
    """Texts claimed at a minute to eight do not leave after eight because the one before them was slow."""
    village = postroom.village
    village.clock.set(datetime(2026, 11, 25, 16, 59, tzinfo=UTC))
    keys = [postroom.put() for _ in range(3)]
    postroom.gateway.script.append(lambda _text: postroom.wait(minutes=1))

    postroom.sender.drain()

    morning = [str(postroom.row(key)["not_before"])[:16] for key in keys if postroom.state(key) == "due"]
    assert 1 == len(postroom.gateway.sent)
    assert {"accepted": 1, "due": 2} == postroom.states()
    assert ["2026-11-26 04:00"] * 2 == morning
    assert [0, 0, 1] == sorted(postroom.row(key)["tries"] for key in keys)


def test_the_sender_keeps_to_the_slower_of_both_paces(postroom: Postroom) -> None:
    """Eleven texts at a hundred a second take a tenth of a second, whatever the gateway could do."""
    village = postroom.village
    sender = Sender(
        village.database, village.tools, postroom.gateway, village.clock, window=8, per_second=100
    )
    for _ in range(11):
        postroom.put()

    began = time.monotonic()
    sender.drain()

    assert time.monotonic() - began >= 0.099


def test_the_window_is_the_smaller_of_both(postroom: Postroom) -> None:
    """A gateway that allows two texts without an answer has two claimed at a time."""
    village = postroom.village
    gateway = ScriptedGateway(limits=Limits(per_second=1000.0, window=2))
    sender = Sender(village.database, village.tools, gateway, village.clock, window=8, per_second=1000)
    for _ in range(5):
        postroom.put()
    seen: list[int] = []
    gateway.script.extend([lambda _text: seen.append(postroom.states().get("submitting", 0))] * 5)

    sender.drain()

    assert [2, 1, 2, 1, 1] == seen


def test_a_claim_that_fails_is_made_again(postroom: Postroom, stumbling: StumblingDatabase) -> None:
    """Nothing was claimed and nothing is lost."""
    key = postroom.put()
    stumbling.away = 1

    with pytest.raises(ConnectionError):
        postroom.sender.drain()

    assert 1 == postroom.sender.drain()
    assert ("accepted", 0) == (postroom.state(key), postroom.row(key)["doubts"])


def test_a_claim_of_which_nobody_heard_is_in_doubt_and_counted(
    postroom: Postroom, stumbling: StumblingDatabase
) -> None:
    """A claim may be committed although the database could not say so: it does not stay submitting for ever."""
    key = postroom.put()
    stumbling.unheard = True

    with pytest.raises(ConnectionError):
        postroom.sender.drain()
    postroom.sender.drain()

    assert ("in_doubt", 1) == (postroom.state(key), postroom.row(key)["doubts"])
    assert [] == postroom.gateway.sent


def test_an_answer_written_down_unheard_is_written_down_again(
    postroom: Postroom, stumbling: StumblingDatabase
) -> None:
    """Keeping an answer twice is as keeping it once."""
    key = postroom.put()

    def go_deaf(_text: OutgoingText) -> None:
        stumbling.unheard = True

    postroom.gateway.script.append(go_deaf)
    with pytest.raises(ConnectionError):
        postroom.sender.drain()
    postroom.sender.drain()

    assert ("accepted", 1) == (postroom.state(key), len(postroom.gateway.sent))
    assert ["accepted"] == postroom.outcomes(key)


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        (None, "accepted"),
        (NEVER, "failed"),
        (NotSent("away"), "due"),
        (AnswerLost("nothing came back"), "in_doubt"),
    ],
    ids=["accepted", "refused", "not sent", "answer lost"],
)
def test_an_answer_the_database_would_not_take_is_kept_for_it(
    postroom: Postroom, stumbling: StumblingDatabase, answer: Exception | Refused | None, expected: str
) -> None:
    """The sender remembers what came of a text until it is written down; it neither asks nor sends twice."""
    keys = [postroom.put(kind="reply"), postroom.put(kind="reminder")]

    def fail_next(_text: OutgoingText) -> Exception | Refused | None:
        stumbling.away = 1
        return answer

    postroom.gateway.script.append(fail_next)
    with pytest.raises(ConnectionError):
        postroom.sender.drain()
    unheard = postroom.state(keys[0])
    postroom.sender.drain()

    assert ("submitting", expected) == (unheard, postroom.state(keys[0]))
    assert 1 == [text.text for text in postroom.gateway.sent].count("Text number 1.")
    postroom.wait(seconds=31)
    postroom.sender.drain()
    assert "accepted" == postroom.state(keys[1])


def until(condition: Callable[[], bool]) -> None:
    """Look again and again, for ten seconds at most, until something is so."""
    deadline = time.monotonic() + 10
    while not condition():
        assert time.monotonic() < deadline
        threading.Event().wait(0.02)


@contextmanager
def running(work: Callable[[], None], stop: Callable[[], None]) -> Iterator[threading.Thread]:
    """Run a part of the worker beside the test, and see it end."""
    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield thread
    finally:
        stop()
        thread.join(timeout=10)
        assert not thread.is_alive()


def test_a_stop_while_sending_gives_back_what_is_not_on_the_wire(postroom: Postroom) -> None:
    """The text on the wire is finished and settled; nothing is left submitting, nothing is in doubt."""
    for _ in range(20):
        postroom.put()
    on_the_wire, go_on = threading.Event(), threading.Event()

    def hold(_text: OutgoingText) -> None:
        on_the_wire.set()
        go_on.wait(10)

    postroom.gateway.script.append(hold)
    with running(postroom.sender.run, postroom.sender.stop):
        on_the_wire.wait(10)
        postroom.sender.stop()
        go_on.set()

    assert 1 == len(postroom.gateway.sent)
    assert {"accepted": 1, "due": 19} == postroom.states()
    assert {0, 1} == {row["tries"] for row in postroom.village.rows("SELECT tries FROM message")}


def test_a_stop_does_not_wait_for_the_pace(postroom: Postroom) -> None:
    """A route of one text a minute lets go at once when it is told to stop."""
    village = postroom.village
    sender = Sender(
        village.database, village.tools, postroom.gateway, village.clock, window=8, per_second=1 / 60
    )
    for _ in range(3):
        postroom.put()

    with running(sender.run, sender.stop):
        # Once the first text is settled the second waits for its minute.
        until(lambda: "accepted" in postroom.states())

    assert {"accepted": 1, "due": 2} == postroom.states()


def test_the_sender_outlives_a_bad_moment_of_the_database(
    postroom: Postroom, stumbling: StumblingDatabase
) -> None:
    """A database that is away for a moment delays texts and ends nothing."""
    postroom.put()
    sent = threading.Event()
    postroom.gateway.script.append(lambda _text: sent.set())
    stumbling.away = 2

    with running(postroom.sender.run, postroom.sender.stop):
        assert sent.wait(10)

    assert {"accepted": 1} == postroom.states()


def test_nothing_leaves_that_cannot_be_written_down_first(postroom: Postroom, tmp_path: Path) -> None:
    """A journal whose folder is in the way: the text is handed back and waits, and no byte of it left."""
    (tmp_path / "journal").write_text("in the way", encoding="utf-8")
    village = postroom.village
    sender = Sender(
        village.database,
        village.tools,
        postroom.gateway,
        village.clock,
        window=8,
        per_second=1000,
        journal=FileJournal(tmp_path / "journal"),
    )
    key = postroom.put()

    assert 0 == sender.drain()
    assert [] == postroom.gateway.sent
    assert "due" == postroom.state(key)
