"""The budget: reserved before a text leaves, spent or given back by what became of it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from service.core.caps import Caps
from service.core.gateway import AnswerLost, NotSent, RefusalClass, Refused
from service.core.wire_ports import Purse
from service.use_cases import budget
from service.use_cases.budget import left, reserve, scopes_of
from tests.postroom import Postroom
from tests.village import Village

DAY = date(2026, 11, 25)
Answer = Exception | Refused | None


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of a village nobody lives in yet."""
    return Postroom(village)


def cap(postroom: Postroom, **caps: int) -> None:
    """Put caps on the budget."""
    village = postroom.village
    programme = replace(village.tools.programme, caps=Caps(**caps))
    village.tools = replace(village.tools, programme=programme)
    postroom.sender = postroom.new_sender()


def purse(postroom: Postroom, scope: str = "day", day: date = DAY) -> Purse:
    """Return what has gone from a purse."""
    with postroom.village.database.look() as work:
        return work.budget.purse(scope, day)


def test_a_text_is_paid_from_each_of_its_purses() -> None:
    """The day's purse stands first, so that all who pay wait for each other there."""
    assert ("day", "alert:7", "officer:3", "farmer:12") == scopes_of(alert_id=7, officer_id=3, farmer_id=12)
    assert ("day",) == scopes_of()


def test_parts_are_reserved_while_a_text_is_on_the_wire(postroom: Postroom) -> None:
    """Between the claim and the answer its parts can be had by nobody else."""
    postroom.put(parts=2, farmer_id=12)
    postroom.claim()

    assert Purse(reserved=2) == purse(postroom)
    assert Purse(reserved=2) == purse(postroom, "farmer:12")


ENDS: dict[str, tuple[Answer, Purse]] = {
    "accepted": (None, Purse(spent=2)),
    "in doubt": (AnswerLost("no answer"), Purse(spent=2)),
    "not sent": (NotSent("nobody there"), Purse()),
    "refused for good": (Refused(reason=RefusalClass.PERMANENT, code="no", detail="no"), Purse()),
    "refused for now": (Refused(reason=RefusalClass.TEMPORARY, code="no", detail="no"), Purse()),
    "too fast": (Refused(reason=RefusalClass.PACE, code="no", detail="no"), Purse()),
}


@pytest.mark.parametrize(("answer", "expected"), ENDS.values(), ids=ENDS.keys())
def test_parts_are_spent_when_the_text_may_have_left_and_given_back_when_not(
    postroom: Postroom, answer: Answer, expected: Purse
) -> None:
    """What became of the text decides what becomes of its parts, in every purse alike."""
    postroom.put(parts=2, farmer_id=12)
    postroom.gateway.script.append(answer)
    postroom.sender.drain()

    assert expected == purse(postroom)
    assert expected == purse(postroom, "farmer:12")


def test_a_text_sent_twice_is_paid_twice(postroom: Postroom) -> None:
    """A text in doubt may cost, and so may the text that is sent in its place."""
    postroom.put(parts=2)
    postroom.gateway.script.append(AnswerLost("no answer"))
    postroom.sender.drain()
    postroom.wait(minutes=10)
    postroom.settle_doubts()
    postroom.sender.drain()

    assert Purse(spent=4) == purse(postroom)


def test_what_was_reserved_when_the_process_died_counts_as_spent(postroom: Postroom) -> None:
    """After a crash those texts are in doubt: they may have cost."""
    postroom.put(parts=3)
    postroom.claim()
    postroom.new_sender().recover()

    assert Purse(spent=3) == purse(postroom)


def test_a_full_purse_holds_its_texts_back_and_loses_none(postroom: Postroom) -> None:
    """What is beyond the cap waits, says why, and leaves once the purse is filled again the next day."""
    cap(postroom, day=3)
    keys = [postroom.put(parts=2) for _ in range(2)]
    postroom.sender.drain()

    assert ["accepted", "due"] == [postroom.state(key) for key in keys]
    assert "waits: the budget is used up" == postroom.row(keys[1])["why"]

    postroom.wait(hours=24)
    postroom.sender.drain()

    assert ["accepted", "accepted"] == [postroom.state(key) for key in keys]


def test_a_purse_that_is_filled_meanwhile_pays_an_hour_later(postroom: Postroom) -> None:
    """Who raises a cap need not wait for the next day, and an empty purse is not asked all the time."""
    cap(postroom, day=0)
    key = postroom.put()
    postroom.sender.drain()
    cap(postroom, day=1)
    postroom.wait(minutes=59)
    postroom.sender.drain()
    early = postroom.state(key)
    postroom.wait(minutes=1)
    postroom.sender.drain()

    assert ("due", "accepted") == (early, postroom.state(key))


def test_a_cap_lowered_below_what_has_gone_leaves_nothing(postroom: Postroom) -> None:
    """What was spent is not owed: nothing is left, and not less than nothing."""
    postroom.put(parts=3)
    postroom.sender.drain()

    with postroom.village.database.look() as work:
        assert [0, 0, 1] == [left(work, "day", DAY, Caps(day=most)) for most in (2, 3, 4)]


def test_a_text_that_waits_beyond_its_use_is_never_sent(postroom: Postroom) -> None:
    """A purse that stays empty ends a text at its hour, not an hour later."""
    cap(postroom, day=0)
    key = postroom.put(expires_at=postroom.now + timedelta(minutes=20))
    postroom.sender.drain()
    postroom.wait(minutes=20)
    postroom.sender.drain()

    assert "expired_unsent" == postroom.state(key)
    assert [] == postroom.gateway.sent


@pytest.mark.parametrize("kind", ["reply", "emergency"])
def test_answers_are_not_paid_from_the_budget(postroom: Postroom, kind: str) -> None:
    """Who asks is answered, and an emergency always, however empty the purses are."""
    cap(postroom, day=0, farmer=0)
    key = postroom.put(kind=kind)
    postroom.sender.drain()

    assert "accepted" == postroom.state(key)
    assert Purse() == purse(postroom)


def test_a_purse_that_cannot_pay_leaves_the_others_untouched(postroom: Postroom) -> None:
    """All pay or none does."""
    with postroom.village.database.work() as work:
        paid = reserve(work, scopes_of(farmer_id=1), DAY, 3, Caps(day=10, farmer=2))
        work.commit()

    assert not paid
    assert Purse() == purse(postroom)


def test_an_alerts_purse_lasts_and_a_days_does_not(postroom: Postroom) -> None:
    """An alert over midnight keeps to one cap; the day's begins anew."""
    caps = Caps(day=5, alert=8)
    with postroom.village.database.work() as work:
        for later in range(2):
            assert reserve(work, scopes_of(alert_id=7), DAY + timedelta(days=later), 3, caps)
            budget.spend(work, scopes_of(alert_id=7), DAY + timedelta(days=later), 3)
        work.commit()
        tomorrow = DAY + timedelta(days=1)

        assert (2, 2) == (left(work, "day", tomorrow, caps), left(work, "alert:7", tomorrow, caps))
        assert left(work, "farmer:1", tomorrow, caps) is None
        assert not reserve(work, scopes_of(alert_id=7), DAY + timedelta(days=9), 3, caps)


@pytest.mark.parametrize("kind", ["alert", "urgent_alert"])
def test_a_phone_gets_one_alert_a_day(postroom: Postroom, kind: str) -> None:
    """The second waits for the next local day's first allowed hour; another phone is not held up by it."""
    phone = postroom.phone()
    late = postroom.now + timedelta(hours=48)
    first, second = (postroom.put(kind=kind, phone_id=phone, expires_at=late) for _ in range(2))
    other = postroom.put(kind=kind, expires_at=late)
    postroom.sender.drain()

    assert ["accepted", "due", "accepted"] == [postroom.state(key) for key in (first, second, other)]
    assert "waits for tomorrow: one alert a day" == postroom.row(second)["why"]

    postroom.wait(hours=20)
    postroom.sender.drain()
    assert "due" == postroom.state(second)
    postroom.wait(hours=1)
    postroom.sender.drain()
    assert "accepted" == postroom.state(second)


def test_an_alert_at_the_stroke_of_midnight_is_that_days(postroom: Postroom) -> None:
    """The local day begins with its first instant, and a phone that got its alert then gets no second."""
    phone = postroom.phone()
    late = postroom.now + timedelta(hours=48)
    postroom.wait(hours=14)
    first, second = (postroom.put(kind="urgent_alert", phone_id=phone, expires_at=late) for _ in range(2))
    postroom.sender.drain()
    postroom.wait(hours=12)
    postroom.sender.drain()

    assert ["accepted", "due"] == [postroom.state(key) for key in (first, second)]


def test_an_alert_that_did_not_leave_takes_nobodys_place(postroom: Postroom) -> None:
    """A refused alert does not count as the day's one."""
    phone = postroom.phone()
    postroom.gateway.script.append(Refused(reason=RefusalClass.PERMANENT, code="no", detail="no"))
    first = postroom.put(kind="alert", phone_id=phone)
    postroom.sender.drain()
    second = postroom.put(kind="alert", phone_id=phone)
    postroom.sender.drain()

    assert ["failed", "accepted"] == [postroom.state(key) for key in (first, second)]
