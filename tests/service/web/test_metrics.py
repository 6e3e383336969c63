"""The figures for Prometheus, read with its own parser (prometheus_client.parser)."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from service import ids
from service.core.question_ports import QuestionState
from service.db.tables import outbox
from service.use_cases.holding import HoldReason, begin_hold
from service.web.app import create_app
from tests.stand_in_house import NOW, REAL_NOW, TODAY, Planter, StandInHouse, make_house
from tests.web_desk import Desk


def figures(desk: Desk) -> dict[str, float]:
    """Return all figures, by name and label."""
    found = {}
    for family in text_string_to_metric_families(desk.text("/metrics")):
        for sample in family.samples:
            label = "".join(f"{{{value}}}" for value in sample.labels.values())
            found[sample.name.removeprefix("trussline_") + label] = sample.value
    return found


def reference(house: StandInHouse, ago: timedelta) -> str:
    """Return a reference as it was made some time ago: it begins with its milliseconds."""
    word = f"{int((house.real_clock.now() - ago).timestamp() * 1000):012x}"
    return f"{word[:8]}-{word[8:]}{ids.Ids().reference()[13:]}"


def test_an_empty_service_has_its_figures_too(door: Desk) -> None:
    """What waits for nothing is nothing old; a share of nothing is not told."""
    found = figures(door)

    assert 0 == found["queue_age_seconds{0}"] == found["doubt_texts"] == found["unread_age_seconds"]
    assert 20_000 == found["budget_parts{cap}"]
    assert {"receipts_ratio", "throttled_ratio", "submit_seconds{0.5}", "worker_seen_age_seconds"}.isdisjoint(
        found
    )


def test_what_waits_is_counted_and_how_long(door: Desk, house: StandInHouse, planter: Planter) -> None:
    """Texts due by priority, texts in doubt, texts unread."""
    phone = planter.phone()
    planter.text_out(phone, "due", ago=timedelta(minutes=20), state="due")
    planter.text_out(phone, "due too", ago=timedelta(minutes=5), state="due")
    planter.text_out(phone, "doubtful", ago=timedelta(minutes=7), state="in_doubt")
    planter.text_in(phone, "hello", ago=timedelta(seconds=90))
    found = figures(door)

    assert (2, 1200) == (found["queue_texts{1}"], found["queue_age_seconds{1}"])
    assert (1, 420) == (found["doubt_texts"], found["doubt_age_seconds"])
    assert (1, 90) == (found["unread_texts"], found["unread_age_seconds"])
    assert (2, 1, 0) == tuple(found[f"texts{{{state}}}"] for state in ("due", "in_doubt", "delivered"))


def test_who_waits_for_a_person_is_counted_by_urgency(
    door: Desk, house: StandInHouse, planter: Planter
) -> None:
    """What is answered or closed waits no more."""
    phone = planter.phone()
    for minutes, urgency in ((9, "emergency"), (4, "emergency"), (50, "ordinary")):
        planter.question(phone, "hello", ago=timedelta(minutes=minutes), urgency=urgency)
    planter.question(phone, "closed", ago=timedelta(days=9), code="DONE1")
    with house.database.work() as work:
        found = work.questions.find(None, "DONE1")
        assert found is not None
        work.questions.settle(found.id, QuestionState.CLOSED)
        work.commit()
    seen = figures(door)

    assert (2, 540) == (seen["questions{emergency}"], seen["question_age_seconds{emergency}"])
    assert (1, 3000) == (seen["questions{ordinary}"], seen["question_age_seconds{ordinary}"])
    assert (0, 0) == (seen["questions{need_help}"], seen["question_age_seconds{need_help}"])


def test_receipts_are_a_share_of_what_was_sent(door: Desk, planter: Planter) -> None:
    """Two of three sent texts were delivered; what failed was not sent."""
    phone = planter.phone()
    for state in ("delivered", "delivered", "accepted", "failed", "due"):
        planter.text_out(phone, state, ago=timedelta(minutes=5), state=state)

    assert pytest.approx(2 / 3) == figures(door)["receipts_ratio"]


def test_the_tries_of_the_last_minutes_tell_how_the_gateway_does(door: Desk, house: StandInHouse) -> None:
    """Of ten tries one was throttled; the slowest took ten seconds; what is older is not told of."""
    for number in range(1, 11):
        house.put(
            outbox.attempt,
            reference=reference(house, timedelta(seconds=10 * number)),
            message_day=TODAY,
            message_id=number,
            number=1,
            began_at=NOW - timedelta(seconds=number),
            ended_at=NOW,
            outcome="refused_pace" if number == 1 else "accepted",
            gateway="simulator",
        )
    house.put(
        outbox.attempt, reference=reference(house, timedelta(minutes=6)), message_day=TODAY, message_id=1, number=1,
        began_at=NOW - timedelta(hours=1), ended_at=NOW, outcome="answer_lost", gateway="simulator",
    )  # fmt: skip
    found = figures(door)

    assert (9, 1) == (found["tries{accepted}"], found["tries{refused_pace}"])
    assert "tries{answer_lost}" not in found
    assert 0.1 == found["throttled_ratio"]
    assert (5, 10) == (found["submit_seconds{0.5}"], found["submit_seconds{0.99}"])


def test_worker_backup_budget_and_hold_are_told(door: Desk, house: StandInHouse) -> None:
    """How long ago the worker ticked and a backup was tried, what is paid of today's budget, and why texts wait."""
    house.setting("worker_seen_at", (REAL_NOW - timedelta(seconds=31)).isoformat())
    house.setting("backup_proved_at", (REAL_NOW - timedelta(days=2)).isoformat())
    house.put(outbox.budget, scope="day", day=TODAY, reserved=3, spent=40)
    with house.database.work() as work:
        begin_hold(work, HoldReason.CLOCK, "It jumped.", REAL_NOW)
        work.commit()
    found = figures(door)

    assert (31, 172_800) == (found["worker_seen_age_seconds"], found["backup_proved_age_seconds"])
    assert (3, 40) == (found["budget_parts{reserved}"], found["budget_parts{spent}"])
    assert (1, 0, 0) == tuple(found[f"hold{{{reason}}}"] for reason in ("clock", "restored", "disk"))
    assert found["disk_free_bytes"] > 0


@pytest.fixture
def ask(house: StandInHouse) -> Callable[..., int]:
    """Asks for the figures from somewhere, of a service with a token; returns the answer's number."""
    guarded = make_house(
        house.database.engine.url.render_as_string(), house.settings.data_dir, metrics_token="a long secret"
    )
    desk = Desk(house=guarded, app=create_app(guarded))

    def ask_from(address: str, **headers: str) -> int:
        given: dict[str, Any] = {"REMOTE_ADDR": address}
        answer = desk.client.get(
            "/metrics", base_url="https://figures", headers=headers, environ_overrides=given
        )
        return answer.status_code

    return ask_from


@pytest.mark.parametrize(
    ("address", "headers", "status"),
    [
        ("127.0.0.1", {}, 200),
        ("::1", {}, 200),
        ("192.0.2.7", {}, 403),
        ("127.0.0.1", {"X-Forwarded-For": "192.0.2.7"}, 403),
        ("127.0.0.1", {"Forwarded": "for=192.0.2.7"}, 403),
        ("192.0.2.7", {"Authorization": "Bearer a long secret"}, 200),
        ("192.0.2.7", {"Authorization": "Bearer another"}, 403),
        ("192.0.2.7", {"Authorization": "Bearer "}, 403),
    ],
    ids=[
        "here",
        "here, IPv6",
        "elsewhere",
        "a proxy here",
        "another proxy",
        "token",
        "wrong token",
        "no token",
    ],
)
def test_figures_are_for_this_machine_or_for_the_token(
    ask: Callable[..., int], address: str, headers: dict[str, str], status: int
) -> None:
    """192.0.2.0/24 is for documentation (RFC 5737): nobody is there."""
    assert status == ask(address, **headers)


def test_no_number_stands_among_the_figures(door: Desk, planter: Planter) -> None:
    """Figures are counts: no phone, no name, no words."""
    farmer, phone = planter.farmer("Asha Mwarobi")
    planter.text_out(phone, "siri", ago=timedelta(minutes=1), farmer_id=farmer, state="due")
    page = door.text("/metrics")

    assert not [word for word in ("Asha", "siri", "62123") if word in page]
