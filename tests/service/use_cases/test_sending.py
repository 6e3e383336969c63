from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo, available_timezones

import pytest

from flows.states import State
from service.core.alert_states import AlertState
from service.core.doubt_ports import NOT_AGAIN
from service.core.gateway import Accepted, AnswerLost, RefusalClass, Refused, Stage
from service.core.kinds import KINDS, MessageState
from service.core.model import Candidate
from service.use_cases import sending
from service.use_cases.hours import is_quiet, next_allowed, quiet_begins
from service.use_cases.judging import Verdict, may_leave
from tests.postroom import Key, Postroom
from tests.village import Village

NOON = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
QUARTER = timedelta(minutes=15)


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of a village nobody lives in yet."""
    return Postroom(village)


def candidate(**given: object) -> Candidate:
    """Return a reminder that may leave at noon, but for what is given."""
    values: dict[str, object] = {
        "queued_on": date(2026, 11, 25),
        "id": 1,
        "kind": "reminder",
        "phone_id": 1,
        "farmer_id": None,
        "destination": "+255621234567",
        "text": "Text",
        "zone": "Africa/Dar_es_Salaam",
        "tries": 0,
        "expires_at": NOON + timedelta(hours=48),
        "stopped": False,
        "choosing_stop": False,
        "opens": None,
    }
    return Candidate(**{**values, **given})  # type: ignore[arg-type]  # a table of values, typed where it is built


LEAVES = Verdict(leaves=True)
STOPPED = Verdict(state=MessageState.DROPPED, why="the phone has stopped")
GONE = Verdict(state=MessageState.DROPPED, why="the farmer has stopped")
TOO_LATE = Verdict(state=MessageState.EXPIRED_UNSENT, why="its time had passed before it could be sent")
NIGHT = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
MORNING = Verdict(later=datetime(2026, 11, 26, 4, 0, tzinfo=UTC), why="waits for the morning")
CHOOSING = Verdict(
    later=NOON + timedelta(hours=1), why="waits while the farmer chooses between undo and stop"
)
PAUSED = Verdict(later=NOON + timedelta(minutes=1), why="its alert is paused")
CALLED_OFF = Verdict(state=MessageState.CANCELLED, why="its alert was called off")

# An alert was asked half an hour ago: its answer is waited for during 48 hours.
ALERTED = {"alert_open_until": NOON + timedelta(hours=47, minutes=30)}
ANSWERING = Verdict(
    later=NOON + timedelta(hours=1, minutes=30), why="waits while the farmer answers an alert"
)

# What holds back which kind: the rules of the claim, row by row.
RULES = [
    ("reminder", NOON, {}, LEAVES),
    ("reminder", NIGHT, {}, MORNING),
    ("reminder", NOON, {"stopped": True}, STOPPED),
    ("reminder", NIGHT, {"stopped": True}, STOPPED),
    ("reminder", NOON, {"choosing_stop": True}, CHOOSING),
    *((kind, NOON, ALERTED, ANSWERING) for kind in ("reminder", "nudge", "invitation", "flowers_stay")),
    *(
        (kind, NOON, ALERTED, LEAVES)
        for kind in ("reply", "emergency", "alert", "urgent_alert", "further_alert")
    ),
    ("reminder", NOON, {"alert_open_until": NOON + timedelta(hours=46)}, LEAVES),
    ("flowers_stay", NIGHT, {}, MORNING),
    ("flowers_stay", NOON, {"stopped": True}, STOPPED),
    ("flowers_stay", NOON, {"choosing_stop": True}, CHOOSING),
    ("reply", NIGHT, {}, LEAVES),
    ("invitation", NIGHT, {"farmer_stopped": True}, GONE),
    ("reply", NOON, {"farmer_stopped": True}, LEAVES),
    ("reply", NOON, {"stopped": True}, LEAVES),
    ("reply", NOON, {"choosing_stop": True}, LEAVES),
    ("emergency", NIGHT, {}, LEAVES),
    ("emergency", NOON, {"stopped": True}, LEAVES),
    ("emergency", NOON, {"choosing_stop": True}, LEAVES),
    *((kind, NOON, {"expires_at": NOON}, TOO_LATE) for kind in KINDS),
    *((kind, NOON, {"expires_at": NOON + timedelta(seconds=1)}, LEAVES) for kind in KINDS),
    ("reply", NOON, {"expires_at": NOON, "stopped": True}, TOO_LATE),
    ("alert", NOON, {"alert_state": AlertState.SENDING}, LEAVES),
    ("alert", NOON, {"alert_state": AlertState.PAUSED}, PAUSED),
    ("alert", NIGHT, {"alert_state": AlertState.PAUSED, "expires_at": NOON + timedelta(hours=9)}, TOO_LATE),
    ("alert", NOON, {"alert_state": AlertState.PAUSED, "stopped": True}, STOPPED),
    ("alert", NIGHT, {"alert_state": AlertState.CALLED_OFF}, CALLED_OFF),
    ("alert", NOON, {"alert_state": AlertState.CALLED_OFF, "choosing_stop": True}, CALLED_OFF),
]


@pytest.mark.parametrize(("kind", "now", "given", "expected"), RULES)
def test_each_kind_is_held_back_by_its_own_rules(
    kind: str, now: datetime, given: dict[str, object], expected: Verdict
) -> None:
    """Stop list, the open choice, quiet hours and lateness hold back just the kinds they are meant for."""
    assert expected == may_leave(candidate(kind=kind, **given), now)


def test_every_zone_has_its_own_evening_and_morning() -> None:
    """A reminder leaves at 19:59 and 07:00 by the clock of its zone, and waits at 20:00 and 06:59."""
    times = {(19, 59): True, (20, 0): False, (6, 59): False, (7, 0): True}

    for zone in available_timezones():
        text = candidate(zone=zone, expires_at=datetime(2027, 6, 1, tzinfo=UTC))
        for (hour, minute), expected in times.items():
            now = datetime(2026, 11, 25, hour, minute, tzinfo=ZoneInfo(zone))
            assert expected is may_leave(text, now.astimezone(UTC)).leaves, (zone, hour, minute)


def changes(zone: ZoneInfo, year: int) -> Iterator[datetime]:
    """Name the local days of a year whose clock is changed, by the instant of their UTC noon."""
    noons = [datetime(year, 1, 1, 12, tzinfo=UTC) + timedelta(days=day) for day in range(366)]
    for before, after in pairwise(noons):
        if before.astimezone(zone).utcoffset() != after.astimezone(zone).utcoffset():
            yield before


def test_a_changed_clock_moves_the_morning_with_it() -> None:
    """On every day of 2027 on which any zone's clock is changed, the wait ends as quiet hours do."""
    seen = 0
    for name in sorted(available_timezones()):
        zone = ZoneInfo(name)
        for noon in changes(zone, 2027):
            seen += 1
            for step in range(4 * 26):
                instant = noon + step * QUARTER
                allowed = next_allowed(instant, name)
                between = range(int((allowed - instant) / QUARTER))
                assert not is_quiet(allowed, name), (name, instant)
                assert all(is_quiet(instant + each * QUARTER, name) for each in between), (name, instant)

    assert seen > 100


@pytest.mark.parametrize(
    ("instant", "zone", "expected"),
    [
        # Paris turns from 02:00 to 03:00 on 28 March 2027 and from 03:00 to 02:00 on 31 October 2027 (IANA tzdata).
        (
            datetime(2027, 3, 27, 20, 0, tzinfo=UTC),
            "Europe/Paris",
            datetime(2027, 3, 28, 5, 0, tzinfo=UTC),
        ),
        (
            datetime(2027, 10, 30, 20, 0, tzinfo=UTC),
            "Europe/Paris",
            datetime(2027, 10, 31, 6, 0, tzinfo=UTC),
        ),
        # Lord Howe turns by half an hour (IANA tzdata).
        (
            datetime(2027, 10, 2, 10, 0, tzinfo=UTC),
            "Australia/Lord_Howe",
            datetime(2027, 10, 2, 20, 0, tzinfo=UTC),
        ),
        # Kathmandu lies 5:45 from UTC.
        (
            datetime(2027, 1, 1, 15, 0, tzinfo=UTC),
            "Asia/Kathmandu",
            datetime(2027, 1, 2, 1, 15, tzinfo=UTC),
        ),
    ],
    ids=["spring gap", "autumn fold", "half an hour", "three quarters"],
)
def test_the_morning_after_the_clock_was_changed(instant: datetime, zone: str, expected: datetime) -> None:
    """Seven o'clock is seven by the changed clock."""
    assert expected == next_allowed(instant, zone)
    assert expected.astimezone(ZoneInfo(zone)).hour == 7


def test_the_network_may_not_deliver_in_quiet_hours(postroom: Postroom) -> None:
    """A pushed text's validity ends at eight in the evening; what may leave at any hour has all its time."""
    postroom.put(kind="reminder")
    postroom.put(kind="reply")
    evening = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)

    claimed = {one.kind: one.valid_until for one in postroom.claim()}

    assert {"reminder": evening, "reply": postroom.now + timedelta(minutes=15)} == claimed
    assert evening == quiet_begins(postroom.now, "Africa/Dar_es_Salaam")


def test_more_urgent_texts_leave_first(postroom: Postroom) -> None:
    """The claim takes texts by priority, whatever the order they were queued in."""
    for kind in ("reminder", "flowers_stay", "reply", "emergency"):
        postroom.put(kind=kind)

    assert ["emergency", "reply", "flowers_stay", "reminder"] == [one.kind for one in postroom.claim()]


def test_an_emergency_passes_ten_thousand_reminders(postroom: Postroom) -> None:
    """However long the queue, the next claim takes what is urgent, and takes no more than it asked for."""
    phone = postroom.phone()
    earlier = postroom.now - timedelta(hours=1)
    postroom.put_all({"kind": "reminder", "phone_id": phone, "not_before": earlier} for _ in range(10_000))
    urgent = postroom.put(kind="emergency", phone_id=phone)
    reply = postroom.put(kind="reply", phone_id=phone)

    claimed = postroom.claim(8)

    assert [urgent[1], reply[1]] == [one.id for one in claimed[:2]]
    assert 8 == len(claimed)


def test_texts_that_must_wait_leave_room_for_those_behind_them(postroom: Postroom) -> None:
    """Texts of stopped phones at the head of the queue do not keep others from the same claim."""
    stopped = postroom.phone()
    for _ in range(20):
        postroom.put(phone_id=stopped, not_before=postroom.now - timedelta(hours=1))
    postroom.stop(stopped)
    behind = postroom.put()

    assert [behind[1]] == [one.id for one in postroom.claim()]
    assert {"dropped": 20, "submitting": 1} == postroom.states()


def test_a_night_of_texts_is_moved_aside_a_part_at_a_time(postroom: Postroom) -> None:
    """No claim holds the database for a queue of any length; the next one goes on where it ended."""
    stopped = postroom.phone()
    earlier = postroom.now - timedelta(hours=1)
    postroom.put_all({"kind": "reminder", "phone_id": stopped, "not_before": earlier} for _ in range(250))
    postroom.stop(stopped)
    behind = postroom.put()

    first, after_first = postroom.claim(), postroom.states()
    second = postroom.claim()

    assert ((), {"dropped": 200, "due": 51}) == (first, after_first)
    assert [behind[1]] == [one.id for one in second]


def test_stop_between_queue_and_claim_holds(postroom: Postroom) -> None:
    """A phone that stopped after its reminder was queued does not get it; the answer to STOP it gets."""
    phone = postroom.phone()
    reminder = postroom.put(phone_id=phone)
    answer = postroom.put(kind="reply", phone_id=phone)

    postroom.stop(phone)

    assert [answer[1]] == [one.id for one in postroom.claim()]
    assert ("dropped", "the phone has stopped") == (
        postroom.state(reminder),
        postroom.row(reminder)["why"],
    )


def test_a_choice_between_undo_and_stop_holds_back_what_is_pushed(postroom: Postroom) -> None:
    """While the farmer's CANCEL has not been answered nothing is pushed; an hour later it is looked at again."""
    from_village = postroom.village.phone()
    from_village.joins()
    from_village.says("CANCEL")
    phone_id = int(str(postroom.village.row("SELECT phone_id FROM conversation")["phone_id"]))
    key = postroom.put(phone_id=phone_id)

    assert () == postroom.claim()

    assert MessageState.DUE == postroom.state(key)
    postroom.wait(hours=49)
    # The choice has lapsed, but so has the text.
    assert () == postroom.claim()
    assert MessageState.EXPIRED_UNSENT == postroom.state(key)


def test_a_text_past_its_use_is_never_sent(postroom: Postroom) -> None:
    """What could not leave in time ends unsent, with the reason."""
    key = postroom.put(kind="reply")
    postroom.wait(minutes=15)

    assert 0 == postroom.sender.drain()
    assert ("expired_unsent", "its time had passed before it could be sent") == (
        postroom.state(key),
        postroom.row(key)["why"],
    )


def test_a_question_opens_as_its_text_leaves(postroom: Postroom) -> None:
    """A digit answers the text the phone has got, so its question opens at the claim and not before."""
    phone = postroom.phone()
    key = postroom.put(phone_id=phone, opens={"state": "scout", "data": {"job": "x"}})
    database = postroom.village.database

    with database.look() as work:
        before = work.talks.open_on(phone, postroom.now)
    postroom.claim()
    with database.look() as work:
        after = work.talks.open_on(phone, postroom.now)
        later = work.talks.open_on(phone, postroom.now + timedelta(hours=48))
    asked_by = postroom.village.row("SELECT asked_by FROM conversation")["asked_by"]

    assert (State.IDLE, State.SCOUT, State.IDLE) == (before.state, after.state, later.state)
    assert {"job": "x"} == after.data
    assert f"message:{key[0]}:{key[1]}" == asked_by


def test_a_question_without_data_opens_too(postroom: Postroom) -> None:
    """A list of jobs asks for a number and needs nothing kept."""
    phone = postroom.phone()
    postroom.put(phone_id=phone, opens={"state": "jobs", "data": None})

    postroom.claim()

    with postroom.village.database.look() as work:
        assert {} == work.talks.open_on(phone, postroom.now).data


def refused(reason: RefusalClass) -> Refused:
    """Return a refusal."""
    return Refused(reason=reason, code="code", detail="because")


def test_a_temporary_refusal_is_tried_five_times_ever_later(postroom: Postroom) -> None:
    """The pauses double from half a minute, with up to a quarter more; after the fifth try the text has failed."""
    key = postroom.put()
    for pause in (30, 60, 120, 240):
        (claimed,) = postroom.claim()
        with postroom.village.database.work() as work:
            sending.settle(
                work, postroom.village.tools, claimed, refused(RefusalClass.TEMPORARY), postroom.now
            )
        postroom.wait(seconds=pause - 1)
        assert () == postroom.claim()
        postroom.wait(seconds=1 + pause / 4)
    (claimed,) = postroom.claim()
    with postroom.village.database.work() as work:
        sending.settle(work, postroom.village.tools, claimed, refused(RefusalClass.TEMPORARY), postroom.now)

    assert ("failed", 5, "because") == tuple(postroom.row(key)[name] for name in ("state", "tries", "why"))
    assert ["refused_temporary"] * 5 == postroom.outcomes(key)


def test_texts_refused_together_do_not_all_come_back_together(postroom: Postroom) -> None:
    """Of eight texts no two wait equally long, and none longer than a quarter more than half a minute."""
    keys = [postroom.put() for _ in range(8)]
    for claimed in postroom.claim():
        with postroom.village.database.work() as work:
            sending.settle(
                work, postroom.village.tools, claimed, refused(RefusalClass.TEMPORARY), postroom.now
            )

    hours = {str(postroom.row(key)["not_before"]) for key in keys}
    postroom.wait(seconds=37.5)

    assert 8 == len(hours)
    assert 8 == len(postroom.claim())


@pytest.mark.parametrize(
    ("reason", "seconds"), [(RefusalClass.PACE, 2), (RefusalClass.LINK, 30)], ids=["pace", "link"]
)
def test_a_refusal_the_text_is_not_at_fault_for_burns_no_try(
    postroom: Postroom, reason: RefusalClass, seconds: int
) -> None:
    """However often the network asks to slow down or the link is down, the text keeps its five tries."""
    key = postroom.put()
    for _ in range(7):
        (claimed,) = postroom.claim()
        with postroom.village.database.work() as work:
            sending.settle(work, postroom.village.tools, claimed, refused(reason), postroom.now)
        postroom.wait(seconds=seconds - 1)
        assert () == postroom.claim()
        postroom.wait(seconds=1)

    assert ("due", 0) == (postroom.state(key), postroom.row(key)["tries"])


def test_a_permanent_refusal_ends_it(postroom: Postroom) -> None:
    """A text refused for good has failed, with the network's word kept for a person."""
    key = postroom.put()
    (claimed,) = postroom.claim()

    with postroom.village.database.work() as work:
        sending.settle(work, postroom.village.tools, claimed, refused(RefusalClass.PERMANENT), postroom.now)

    assert ("failed", "because") == (postroom.state(key), postroom.row(key)["why"])
    assert ["refused_permanent"] == postroom.outcomes(key)
    assert "code" == postroom.village.row("SELECT code FROM attempt")["code"]


def test_what_may_have_left_before_is_not_called_failed(postroom: Postroom) -> None:
    """The first try left and no answer came; the second is refused for good: it stays in doubt, for a person."""
    key = postroom.put()
    (first,) = postroom.claim()
    with postroom.village.database.work() as work:
        sending.answer_lost(work, first, postroom.now)
    postroom.wait(minutes=10)
    postroom.settle_doubts()
    (second,) = postroom.claim()

    with postroom.village.database.work() as work:
        sending.settle(work, postroom.village.tools, second, refused(RefusalClass.PERMANENT), postroom.now)

    assert ("in_doubt", f"{NOT_AGAIN}because") == (postroom.state(key), postroom.row(key)["why"])


def test_each_try_tells_the_network_the_same_reference(postroom: Postroom) -> None:
    """A network that knows a reference again can see that it has the text already."""
    postroom.put()
    (first,) = postroom.claim()
    with postroom.village.database.work() as work:
        sending.answer_lost(work, first, postroom.now)
    postroom.wait(minutes=10)
    postroom.settle_doubts()
    (second,) = postroom.claim()

    numbers = postroom.village.rows("SELECT number FROM attempt ORDER BY number")
    assert first.our_ref == second.our_ref
    assert first.reference != second.reference
    assert (1, 2) == (first.tries, second.tries)
    assert [1, 2] == [row["number"] for row in numbers]


def test_a_crash_puts_what_was_submitting_in_doubt(postroom: Postroom) -> None:
    """After a start nobody knows whether a claimed text left: it is in doubt, and counted as that."""
    keys = [postroom.put(), postroom.put()]
    postroom.claim()

    recovered = postroom.new_sender().recover()

    assert 2 == recovered
    assert [("in_doubt", 1)] * 2 == [(postroom.state(key), postroom.row(key)["doubts"]) for key in keys]
    assert [["answer_lost"]] * 2 == [postroom.outcomes(key) for key in keys]
    assert 0 == postroom.new_sender().recover()


@pytest.mark.parametrize("kind", ["emergency", "reply", "flowers_stay"])
def test_a_text_in_doubt_is_sent_again_when_its_receipt_has_had_time(postroom: Postroom, kind: str) -> None:
    """A kind that is sent at least once waits `resend_after` for the receipt, and not a moment less."""
    key = postroom.put(kind=kind)
    postroom.claim()
    postroom.sender.recover()
    postroom.wait(seconds=KINDS[kind].resend_after.total_seconds() - 1)

    early = postroom.settle_doubts()
    postroom.wait(seconds=1)

    assert (0, 1) == (early, postroom.settle_doubts())
    assert [key[1]] == [one.id for one in postroom.claim()]
    assert 0 == postroom.settle_doubts()


def test_a_text_in_doubt_past_its_use_stays_for_a_person(postroom: Postroom) -> None:
    """What is of no more use is not sent again; it stays visible as in doubt."""
    key = postroom.put(kind="reply")
    postroom.claim()
    postroom.sender.recover()
    postroom.wait(minutes=15)

    assert 0 == postroom.settle_doubts()
    assert MessageState.IN_DOUBT == postroom.state(key)


def test_a_text_is_in_doubt_five_times_at_most(postroom: Postroom) -> None:
    """A network that never answers gets no sixth copy."""
    key = postroom.put(expires_at=postroom.now + timedelta(hours=5))
    for _ in range(5):
        (claimed,) = postroom.claim()
        with postroom.village.database.work() as work:
            sending.answer_lost(work, claimed, postroom.now)
        postroom.wait(minutes=10)
        postroom.settle_doubts()

    assert () == postroom.claim()
    assert ("in_doubt", 5, 5, "no answer came") == tuple(
        postroom.row(key)[name] for name in ("state", "tries", "doubts", "why")
    )


def _stops(postroom: Postroom, key: Key) -> None:
    postroom.stop(postroom.row(key)["phone_id"])


def _waits_too_long(postroom: Postroom, _key: Key) -> None:
    postroom.wait(hours=48)


@pytest.mark.parametrize(
    ("meanwhile", "why"),
    [
        pytest.param(_stops, "the phone has stopped", id="stop"),
        pytest.param(_waits_too_long, "its time had passed before it could be sent", id="too late"),
    ],
)
def test_a_second_try_that_may_not_leave_ends_in_doubt(
    postroom: Postroom, meanwhile: Callable[[Postroom, Key], None], why: str
) -> None:
    """Its first try may have arrived: it is not counted among those that never left, and says why it ended."""
    key = postroom.put()
    postroom.claim()
    postroom.sender.recover()
    postroom.wait(minutes=10)
    postroom.settle_doubts()
    again = postroom.state(key)
    meanwhile(postroom, key)

    assert ("due", ()) == (again, postroom.claim())
    assert ("in_doubt", f"not sent again: {why}") == (postroom.state(key), postroom.row(key)["why"])
    assert ["answer_lost"] == postroom.outcomes(key)


@pytest.mark.parametrize(
    "heard",
    [
        refused(RefusalClass.PERMANENT),
        refused(RefusalClass.TEMPORARY),
        refused(RefusalClass.LINK),
        AnswerLost("no answer"),
        Accepted(gateway_ref="network-2", parts=1),
    ],
    ids=["failed", "later", "link", "lost", "accepted"],
)
def test_an_earlier_try_that_turns_out_delivered_is_not_undone(
    postroom: Postroom, heard: Accepted | Refused | AnswerLost
) -> None:
    """A receipt of the first try may come while the second is on the wire: its word is the last."""
    key = postroom.put()
    (first,) = postroom.claim()
    postroom.sender.recover()
    postroom.wait(minutes=10)
    postroom.settle_doubts()
    (second,) = postroom.claim()
    postroom.hear(Stage.DELIVERED, gateway_ref="network-1", our_ref=first.our_ref)

    with postroom.village.database.work() as work:
        if isinstance(heard, AnswerLost):
            sending.answer_lost(work, second, postroom.now)
        else:
            sending.settle(work, postroom.village.tools, second, heard, postroom.now)

    assert MessageState.DELIVERED == postroom.state(key)
    assert None not in postroom.outcomes(key)


def test_what_never_left_us_uses_up_no_try(postroom: Postroom) -> None:
    """Handed back or kept by a dead line ever so often, a text has all its tries before it."""
    key = postroom.put()
    for _ in range(3):
        with postroom.village.database.work() as work:
            claimed = sending.claim(work, postroom.village.tools, postroom.now, 8)
            sending.give_back(work, claimed, postroom.now)
        (again,) = postroom.claim()
        with postroom.village.database.work() as work:
            sending.not_sent(work, again, postroom.now, why="no line")
        postroom.wait(seconds=30)

    assert (0, "due", "no line") == tuple(postroom.row(key)[name] for name in ("tries", "state", "why"))
    assert ["not_sent"] * 6 == postroom.outcomes(key)
