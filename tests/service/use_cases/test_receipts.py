"""Receipts by part, early, late, doubled, unknown and of another gateway."""

from datetime import timedelta

import pytest

from service.core.gateway import Progress, Stage
from service.core.kinds import MessageState
from service.use_cases.receipts import higher, take_receipt
from service.use_cases.upkeep import tidy
from tests.postroom import Key, Postroom
from tests.village import Village


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of a village nobody lives in yet."""
    return Postroom(village)


def hear(
    postroom: Postroom,
    stage: Stage,
    *,
    part: int | None = None,
    event_id: str | None = None,
    our_ref: str | None = None,
    gateway: str = "simulator",
) -> None:
    """Take in a receipt for the text the network knows as network-1."""
    event = Progress(
        event_id=event_id or f"{stage}-{part}",
        our_ref=our_ref,
        gateway_ref="network-1",
        stage=stage,
        code=stage.value,
        at=postroom.now,
        final=stage is not Stage.ENROUTE,
        part=part,
    )
    with postroom.village.database.work() as work:
        take_receipt(work, gateway, event, postroom.now)
        work.commit()


def tidied(postroom: Postroom) -> dict[str, int]:
    """Do what each tick does."""
    with postroom.village.database.work() as work:
        return tidy(work, postroom.village.tools, postroom.now)


@pytest.fixture
def sent(postroom: Postroom) -> Key:
    """A text of three parts that the network has accepted."""
    key = postroom.put(parts=3)
    postroom.sender.drain()
    return key


def test_a_text_is_delivered_when_all_of_its_parts_are(postroom: Postroom, sent: Key) -> None:
    """Each part has its receipt; until the last it is on its way, and a repeated one counts once."""
    states: list[str] = []
    for part in (2, 2, 1, 3):
        hear(postroom, Stage.DELIVERED, part=part, event_id=f"e{len(states)}")
        states.append(postroom.state(sent))

    assert ["enroute", "enroute", "enroute", "delivered"] == states


@pytest.mark.parametrize("order", [(1, 2, 3), (3, 2, 1), (2, 1, 3)])
def test_a_text_is_as_badly_off_as_its_worst_part(
    postroom: Postroom, sent: Key, order: tuple[int, ...]
) -> None:
    """One part that cannot be delivered spoils the text, in whatever order they are told of."""
    for part in order:
        hear(postroom, Stage.UNDELIVERABLE if part == 2 else Stage.DELIVERED, part=part)

    assert "undeliverable" == postroom.state(sent)


def test_a_receipt_for_the_whole_text_needs_no_parts(postroom: Postroom, sent: Key) -> None:
    """A network that speaks of the text only is believed."""
    hear(postroom, Stage.DELIVERED)

    assert "delivered" == postroom.state(sent)


def test_receipts_of_parts_may_come_before_the_answer(postroom: Postroom) -> None:
    """Parked until the answer names the text, they then count as if they had come in order."""
    for part in (1, 2, 3):
        hear(postroom, Stage.DELIVERED, part=part)
    key = postroom.put(parts=3)
    postroom.sender.drain()

    assert "delivered" == postroom.state(key)


def test_an_early_receipt_waits_for_three_days(postroom: Postroom) -> None:
    """For 72 hours it may still find its text, then it belongs to nobody here."""
    hear(postroom, Stage.DELIVERED)
    postroom.wait(hours=72)
    kept = tidied(postroom)["unknown_receipts"]
    postroom.wait(seconds=1)

    assert 0 == kept
    assert 1 == tidied(postroom)["unknown_receipts"]
    assert [] == postroom.village.rows("SELECT event_id FROM receipt")


def test_receipts_that_have_found_their_text_stay(postroom: Postroom, sent: Key) -> None:
    """The history of a text is kept."""
    hear(postroom, Stage.DELIVERED)
    postroom.wait(hours=100)

    assert 0 == tidied(postroom)["unknown_receipts"]
    assert "delivered" == postroom.state(sent)


def test_another_gateways_receipt_is_parked(postroom: Postroom, sent: Key) -> None:
    """References are unique within a gateway: what another one says, even by our reference, moves nothing."""
    reference = postroom.village.row("SELECT reference FROM attempt")["reference"]
    hear(postroom, Stage.UNDELIVERABLE, gateway="another", our_ref=str(reference))

    assert "accepted" == postroom.state(sent)
    assert [{"message_id": None}] == postroom.village.rows("SELECT message_id FROM receipt")


def test_ids_of_posts_are_known_for_a_week(postroom: Postroom) -> None:
    """As long as a gateway may post again, its ids are known; then they are let go."""
    database = postroom.village.database
    with database.work() as work:
        work.hooks.seen("http", "post-1", postroom.now)
        work.commit()
    postroom.wait(days=7)
    assert 0 == tidied(postroom)["old_posts"]
    assert [{"webhook_id": "post-1"}] == postroom.village.rows("SELECT webhook_id FROM hook_seen")

    postroom.village.clock.advance(timedelta(seconds=1))
    assert 1 == tidied(postroom)["old_posts"]


@pytest.mark.parametrize(
    ("state", "stage", "stands"),
    [
        pytest.param(MessageState.ACCEPTED, MessageState.ENROUTE, MessageState.ENROUTE, id="rises"),
        pytest.param(MessageState.ENROUTE, MessageState.ACCEPTED, MessageState.ENROUTE, id="never-falls"),
        pytest.param(MessageState.DELIVERED, MessageState.EXPIRED, MessageState.DELIVERED, id="has-arrived"),
        pytest.param(MessageState.EXPIRED, MessageState.DELIVERED, MessageState.EXPIRED, id="has-expired"),
        pytest.param(MessageState.CANCELLED, MessageState.DELIVERED, MessageState.DELIVERED, id="did-leave"),
    ],
)
def test_where_a_text_stands_after_a_receipt(
    state: MessageState, stage: MessageState, stands: MessageState
) -> None:
    """The first final word holds, whatever another receipt says later."""
    assert stands is higher(state, stage)
