import shutil
import threading
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event

from service.core.alert_states import AlertState
from service.core.gateway import Accepted, Stage
from service.core.kinds import KINDS, NEVER_LEFT, RECEIPT_RANK, SENT, MessageState, Policy
from service.db.work import Database
from service.use_cases import resending, sending
from service.use_cases.receipts import higher
from tests.alert_room import AlertRoom
from tests.postroom import Postroom
from tests.village import SEAL, Village

NOON = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
FINAL = [
    Stage.DELIVERED,
    Stage.UNDELIVERABLE,
    Stage.EXPIRED,
    Stage.REJECTED,
    Stage.DELETED,
]


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of a village nobody lives in yet."""
    return Postroom(village)


def accept(postroom: Postroom, gateway_ref: str = "network-1") -> str:
    """Claim the one text there is and let the network accept it; return its reference."""
    (claimed,) = postroom.claim()
    with postroom.village.database.work() as work:
        answer = Accepted(gateway_ref=gateway_ref, parts=1)
        sending.settle(work, postroom.village.tools, claimed, answer, postroom.now)
    return claimed.our_ref


def test_one_event_makes_one_text(postroom: Postroom) -> None:
    """The same key queued again on the same day is the text that is there; on another day it is another."""
    phone = postroom.phone()
    same = {"kind": "reminder", "phone_id": phone, "idem_key": "reminder:7:mulch"}

    postroom.put_all([{**same, "text": "First."}])
    postroom.put_all([{**same, "text": "Second."}, {**same, "text": "Third."}])
    postroom.put_all([{**same, "queued_on": date(2026, 11, 26), "text": "Next day."}])

    rows = postroom.village.rows("SELECT text FROM message ORDER BY queued_on")
    assert ["First.", "Next day."] == [row["text"] for row in rows]


def test_queueing_nothing_is_no_trouble(postroom: Postroom) -> None:
    """A chunk of farmers may have no text at all."""
    assert [] == postroom.put_all([])


def test_a_text_is_queued_with_what_its_kind_says(postroom: Postroom) -> None:
    """Priority and policy are those of the table of kinds that is handed over, kept with each text."""
    phone = postroom.phone()
    careful = replace(KINDS["reminder"], policy=Policy.AT_MOST_ONCE, priority=2)
    text = postroom.message({"kind": "reminder", "phone_id": phone})

    with postroom.village.database.work() as work:
        work.outbox.queue([text], gateway="simulator", kinds={"reminder": careful}, at=postroom.now)
        work.commit()

    row = postroom.row((text.queued_on, text.id))
    assert ("at_most_once", 2, "due", 0, 0) == tuple(
        row[name] for name in ("policy", "priority", "state", "tries", "doubts")
    )


def test_a_text_to_be_sent_at_most_once_stays_in_doubt(postroom: Postroom) -> None:
    """Whatever time passes, it is left for a person to look at."""
    phone = postroom.phone()
    careful = replace(KINDS["reminder"], policy=Policy.AT_MOST_ONCE)
    text = postroom.message({"kind": "reminder", "phone_id": phone})
    with postroom.village.database.work() as work:
        work.outbox.queue([text], gateway="simulator", kinds={"reminder": careful}, at=postroom.now)
        work.commit()
    postroom.claim()
    postroom.sender.recover()

    postroom.wait(hours=3)

    assert 0 == postroom.settle_doubts()
    assert MessageState.IN_DOUBT == postroom.state((text.queued_on, text.id))


def test_a_receipt_raises_its_text_and_is_kept(postroom: Postroom) -> None:
    """By the network's reference or by ours, with the network's own word beside it."""
    key = postroom.put()
    our_ref = accept(postroom)

    postroom.hear(Stage.ENROUTE, gateway_ref="network-1")
    on_its_way = postroom.state(key)
    postroom.hear(Stage.DELIVERED, gateway_ref="unheard-of", our_ref=our_ref)

    rows = postroom.village.rows("SELECT stage, code, message_id FROM receipt ORDER BY stage")
    assert ("enroute", "delivered") == (on_its_way, postroom.state(key))
    assert [("delivered", "delivered", key[1]), ("enroute", "enroute", key[1])] == [
        (row["stage"], row["code"], row["message_id"]) for row in rows
    ]


def test_a_receipt_before_its_answer_waits_for_it(postroom: Postroom) -> None:
    """A receipt without our reference may overtake the answer; when that comes the text rises by both."""
    key = postroom.put()
    postroom.hear(Stage.DELIVERED, gateway_ref="network-1")
    parked = postroom.village.row("SELECT message_id FROM receipt")["message_id"]

    accept(postroom, "network-1")

    assert None is parked
    assert MessageState.DELIVERED == postroom.state(key)
    assert key[1] == postroom.village.row("SELECT message_id FROM receipt")["message_id"]


def test_the_same_receipt_again_changes_nothing(postroom: Postroom) -> None:
    """An event handed over twice is one row; two events that say the same are two rows and one state."""
    key = postroom.put()
    accept(postroom)

    for event_id in ("a", "a", "b"):
        postroom.hear(Stage.DELIVERED, gateway_ref="network-1", event_id=event_id)

    assert MessageState.DELIVERED == postroom.state(key)
    assert 2 == len(postroom.village.rows("SELECT event_id FROM receipt"))


def test_a_receipt_for_a_text_unheard_of_is_parked_and_harms_nothing(postroom: Postroom) -> None:
    """It is counted where it can be seen, and no text moves by it."""
    key = postroom.put()
    accept(postroom)

    postroom.hear(Stage.UNDELIVERABLE, gateway_ref="somebody-else's", our_ref="not-ours")

    assert MessageState.ACCEPTED == postroom.state(key)
    assert [None] == [row["message_id"] for row in postroom.village.rows("SELECT message_id FROM receipt")]


def test_a_receipt_settles_a_doubt(postroom: Postroom) -> None:
    """After a crash, a receipt with our reference says that the text had left: it is not sent again."""
    key = postroom.put()
    (claimed,) = postroom.claim()
    postroom.sender.recover()

    postroom.hear(Stage.DELIVERED, gateway_ref="network-1", our_ref=claimed.our_ref)
    postroom.wait(minutes=10)

    assert 0 == postroom.settle_doubts()
    assert ("delivered", 1) == (postroom.state(key), postroom.row(key)["doubts"])


def test_a_receipt_settles_a_doubt_that_was_about_to_be_sent_again(postroom: Postroom) -> None:
    """Until the second copy is claimed a late receipt still spares it."""
    postroom.put()
    (claimed,) = postroom.claim()
    postroom.sender.recover()
    postroom.wait(minutes=10)
    postroom.settle_doubts()

    postroom.hear(Stage.ENROUTE, gateway_ref="network-1", our_ref=claimed.our_ref)

    assert () == postroom.claim()


@pytest.mark.parametrize("order", list(permutations([Stage.ENROUTE, Stage.UNKNOWN, Stage.DELIVERED])))
def test_receipts_in_any_order_end_the_same(postroom: Postroom, order: tuple[Stage, ...]) -> None:
    """In the database as on paper: a text only rises."""
    key = postroom.put()
    accept(postroom)
    seen = []

    for stage in order:
        postroom.hear(stage, gateway_ref="network-1")
        seen.append(RECEIPT_RANK[postroom.state(key)])

    assert MessageState.DELIVERED == postroom.state(key)
    assert sorted(seen) == seen


@given(
    start=st.sampled_from(list(MessageState)),
    stages=st.lists(st.sampled_from(list(Stage)), max_size=8),
)
def test_a_text_never_falls(start: MessageState, stages: list[Stage]) -> None:
    """Early, late, twice and in any order: no receipt lowers a text, and a final word stays."""
    state = start
    for stage in stages:
        after = higher(state, MessageState(stage))
        assert RECEIPT_RANK.get(after, 0) >= RECEIPT_RANK.get(state, 0)
        if state in {stage.value for stage in FINAL}:
            assert after is state
        state = after

    if stages:
        # A text the network speaks of has left, whatever our books said.
        assert state not in NEVER_LEFT


@given(
    final=st.sampled_from(FINAL),
    others=st.lists(st.sampled_from([Stage.ACCEPTED, Stage.ENROUTE, Stage.UNKNOWN]), max_size=6),
    place=st.integers(min_value=0, max_value=6),
)
def test_one_final_word_decides_wherever_it_stands(final: Stage, others: list[Stage], place: int) -> None:
    """However receipts are shuffled, a text ends where the network finally says it did."""
    stages = [*others[:place], final, *others[place:]]
    state = MessageState.SUBMITTING
    for stage in stages:
        state = higher(state, MessageState(stage))

    assert MessageState(final) is state


def test_every_state_is_ranked_or_never_left() -> None:
    """The table of ranks and the list of what never left share out all states, and what was sent is ranked."""
    assert set(MessageState) == set(RECEIPT_RANK) | set(NEVER_LEFT)
    assert set() == set(RECEIPT_RANK) & set(NEVER_LEFT)
    assert set(SENT) <= set(RECEIPT_RANK)


def test_an_answer_and_its_receipt_that_cross_find_each_other(postroom: Postroom) -> None:
    """Two transactions at once, each too new for the other to read: whoever is second waits for the first."""
    key = postroom.put()
    (claimed,) = postroom.claim()
    village = postroom.village
    started = threading.Event()

    def settle() -> None:
        started.set()
        with village.database.work() as work:
            answer = Accepted(gateway_ref="network-1", parts=1)
            sending.settle(work, village.tools, claimed, answer, postroom.now)

    answering = threading.Thread(target=settle)
    with village.database.work() as work:
        event = postroom.progress(Stage.DELIVERED, gateway_ref="network-1")
        assert None is work.receipts.keep("simulator", event, postroom.now)
        answering.start()
        started.wait(5)
        # Long enough for the other side to go past us, if nothing held it.
        answering.join(0.3)
        work.commit()
    answering.join(10)

    assert MessageState.DELIVERED == postroom.state(key)


def test_a_stop_that_races_a_claim_lets_through_what_was_claimed_and_no_more(postroom: Postroom) -> None:
    """Thirty races: a claim that begins after the STOP is committed finds nothing for that phone."""
    village = postroom.village
    for _ in range(30):
        phone = postroom.phone_of("+255621234567")
        keys = [postroom.put(phone_id=phone) for _ in range(3)]
        together = threading.Barrier(2)
        claimed: list[int] = []

        def claim(together: threading.Barrier = together, claimed: list[int] = claimed) -> None:
            together.wait(5)
            claimed += [one.id for one in postroom.claim()]

        claiming = threading.Thread(target=claim)
        claiming.start()
        together.wait(5)
        with village.database.work() as work:
            work.people.stop(phone, postroom.now)
            work.outbox.cancel_pushed(phone, postroom.now)
            work.commit()
        after = postroom.claim()
        claiming.join(10)

        assert () == after
        states = {key[1]: postroom.state(key) for key in keys}
        assert set(claimed) == {number for number, state in states.items() if state == "submitting"}
        assert {"submitting", "cancelled", "dropped"} >= set(states.values())
        with village.database.work() as work:
            work.people.unstop(phone)
            work.commit()
        postroom.sender.recover()


def test_only_what_counts_to_the_cap_is_counted(postroom: Postroom) -> None:
    """Reminders that left or will leave count; replies do not, nor what never left, nor older days."""
    phone, other = postroom.phone(), postroom.phone()
    today, yesterday, old = date(2026, 11, 25), date(2026, 11, 24), date(2026, 11, 18)
    for day, kind in ((today, "reminder"), (yesterday, "reminder"), (old, "reminder"), (today, "reply")):
        postroom.put(phone_id=phone, queued_on=day, kind=kind)
    postroom.put(phone_id=phone, kind="flowers_stay")
    dropped = postroom.put(phone_id=other)
    with postroom.village.database.work() as work:
        work.outbox.set_state(dropped, MessageState.DROPPED, postroom.now)
        pushed = work.outbox.pushed_days([phone, other], old)

    assert {phone: [yesterday, today]} == {one: sorted(days) for one, days in pushed.items()}


def test_stopping_cancels_what_waits_to_be_pushed(postroom: Postroom) -> None:
    """Answers to the phone's own texts stay, other phones' texts stay, and what has left is history."""
    phone, other = postroom.phone(), postroom.phone()
    sent = postroom.put(phone_id=phone)
    accept(postroom)
    waiting = postroom.put(phone_id=phone, not_before=postroom.now + timedelta(hours=1))
    answer = postroom.put(phone_id=phone, kind="reply", inbound_id=5)
    others = postroom.put(phone_id=other)

    with postroom.village.database.work() as work:
        work.outbox.cancel_pushed(phone, postroom.now)
        work.commit()

    assert ["accepted", "cancelled", "due", "due"] == [
        postroom.state(key) for key in (sent, waiting, answer, others)
    ]


def test_what_waits_for_one_farmer_of_a_shared_phone_is_cancelled_alone(postroom: Postroom) -> None:
    """A farmer who is erased or rests takes nothing from another one who is texted there."""
    phone = postroom.phone()
    hers, his = (postroom.put(phone_id=phone, farmer_id=farmer_id) for farmer_id in (1, 2))

    with postroom.village.database.work() as work:
        work.outbox.cancel_pushed(phone, postroom.now, farmer_id=1, why="the farmer has paused")
        work.commit()

    assert ("cancelled", "the farmer has paused", "due") == (
        postroom.state(hers),
        postroom.row(hers)["why"],
        postroom.state(his),
    )


def test_what_is_not_committed_is_undone(postroom: Postroom) -> None:
    """A claim whose work is left without a commit leaves its texts due."""
    key = postroom.put()
    with postroom.village.database.work() as work:
        (found,) = work.claims.candidates(postroom.now, KINDS["reminder"].priority, 8)
        work.outbox.set_state(key, MessageState.SUBMITTING, postroom.now, more_tries=1)
        work.claims.begin(key, 1, "reference", "simulator", postroom.now)

    assert key == (found.queued_on, found.id)
    assert MessageState.DUE == postroom.state(key)
    assert [] == postroom.outcomes(key)


def test_a_text_is_claimed_with_how_its_own_alert_stands(postroom: Postroom) -> None:
    """Of two alerts, one paused, each text knows its own: what was on the wire as the other was paused goes on."""
    room = AlertRoom(postroom.village)
    officers = [room.officer(district) for district in ("Ketumali", "Ndaliro")]
    for number, district in enumerate(("Ketumali", "Ndaliro")):
        room.farmer(f"Neema {number}", district=district)
    going, paused = (
        room.send(officer, district)
        for officer, district in zip(officers, ("Ketumali", "Ndaliro"), strict=True)
    )
    claimed = postroom.claim()
    room.pause(officers[1], paused)
    with postroom.village.database.work() as work:
        sending.give_back(work, claimed, postroom.now)
        found = work.claims.candidates(postroom.now, KINDS["urgent_alert"].priority, 8)

    assert {
        (going.id, AlertState.SENDING, officers[0].id),
        (paused.id, AlertState.PAUSED, officers[1].id),
    } == {(one.alert_id, one.alert_state, one.officer_id) for one in found}


def test_a_number_never_shows_where_a_text_is_printed(postroom: Postroom) -> None:
    """What is claimed carries number and words, and shows neither in a log or a traceback."""
    key = postroom.put(text="Words for one person.")
    with postroom.village.database.look() as work:
        (candidate,) = work.claims.candidates(postroom.now, KINDS["reminder"].priority, 8)
    (claimed,) = postroom.claim()

    for one in (candidate, claimed):
        assert str(key[1]) in repr(one)
        assert "Words" not in repr(one)
        assert "255" not in repr(one).replace(claimed.reference, "")


def test_doubts_are_found_without_going_through_all_that_was_ever_sent(
    migrated_file: Path, tmp_path: Path
) -> None:
    """At every tick and at a start SQLite reads the few texts of its index of unsettled ones, and no table of all."""
    shutil.copy(migrated_file, tmp_path / "trussline.db")
    database = Database(f"sqlite:///{tmp_path / 'trussline.db'}", SEAL)
    asked: list[tuple[str, Any]] = []
    event.listen(
        database.engine,
        "before_cursor_execute",
        lambda _connection, _cursor, statement, values, *_: asked.append((statement, values)),
    )
    with database.work() as work:
        resending.recover(work, NOON)
        resending.settle_doubts(work, NOON)
    plans = []
    with database.engine.connect() as connection:
        for statement, values in [
            one for one in asked if "message.state" in one[0] or "message SET" in one[0]
        ]:
            plans += [row[3] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values)]
    database.close()

    assert 3 == len([step for step in plans if "ix_message_unsettled" in step])
    assert "SCAN message" not in plans
